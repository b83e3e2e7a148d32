"""What a work order takes from the shelf, in words."""

from collections.abc import Iterable
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.services.figures import Figures
from shopdesk.services.shelf_use import ShelfUse


@dataclass(frozen=True, kw_only=True, slots=True)
class UseWords:
    """One item: how much is or will be drawn, and what is left afterwards."""

    name: str
    amount: str
    left: str
    lots: str
    is_drawn: bool
    is_short: bool


def use_words(
    uses: Iterable[ShelfUse], figures: Figures, *, record_id: int = 0, live_ul: int | None = None
) -> tuple[UseWords, ...]:
    """Give every item; ``live_ul`` is what the open record says just now was put in."""
    return tuple(
        _words(use, figures, live_ul if use.record_id == record_id and live_ul is not None else use.wanted)
        for use in uses
    )


def _words(use: ShelfUse, figures: Figures, wanted: int) -> UseWords:
    rest = max(0, wanted - use.drawn)
    left = use.left - rest
    return UseWords(
        name=use.name,
        amount=figures.stock(use.base, max(wanted, use.drawn)),
        left=figures.stock(use.base, left),
        lots=", ".join(use.lots),
        is_drawn=use.drawn > 0 and rest == 0,
        is_short=left < 0,
    )


def shelf_note(rows: Iterable[UseWords]) -> str:
    """Say whether it has left the shelf already."""
    found = list(rows)
    if not found:
        return ""
    return _("drawn") if all(row.is_drawn for row in found) else _("drawn when the work is finished")
