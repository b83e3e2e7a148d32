"""A delivery as a file: its text, what it would put on the shelf, and what is wrong in it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from gettext import gettext as _
from gettext import ngettext
from pathlib import Path

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.deliveries import DeliveryReceived
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemView
from shopdesk.services.receiving_file import MOST_CHARACTERS, FilePreview, FileTrouble
from shopdesk.ui.presenters.shelf import base_of

_MOST_BYTES = 4 * MOST_CHARACTERS


@dataclass(frozen=True, kw_only=True, slots=True)
class ComingRow:
    """One line of a file as it would go on the shelf."""

    at: int
    item: str
    quantity: str
    cost: str
    condition: str


def file_text(file: Path) -> str:
    """Read a file that was chosen; a spreadsheet's older encoding is taken too. Refuses one too large."""
    try:
        if file.stat().st_size > _MOST_BYTES:
            raise RuleBroken(_("The file is too large to be a delivery."), "file")
        content = file.read_bytes()
    except OSError as trouble:
        sentence = _("{name} cannot be read.").format(name=file.name)
        raise RuleBroken(sentence, "file") from trouble
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def coming_rows(
    deliveries: Iterable[DeliveryReceived], items: Mapping[int, ItemView], figures: Figures
) -> tuple[ComingRow, ...]:
    """Give the lines that a file would put on the shelf."""
    lines = [line for delivery in deliveries for line in delivery.lines]
    return tuple(
        ComingRow(
            at=at,
            item=items[line.item_id].name,
            quantity=figures.stock(base_of(items[line.item_id].kind), line.quantity),
            cost=figures.money(line.cost_minor, sign=False),
            condition=_(line.condition.value),
        )
        for at, line in enumerate(lines)
    )


def place_words(trouble: FileTrouble, figures: Figures) -> str:
    """Say the line of a trouble; nothing for the file as a whole."""
    return figures.number(trouble.line, 0) if trouble.line else ""


def preview_words(preview: FilePreview, figures: Figures) -> str:
    """Say what a file would do, or that nothing is kept until it is mended."""
    if preview.troubles:
        found = len(preview.troubles)
        return ngettext(
            "{n} line is in trouble: nothing of the file is kept until it is mended.",
            "{n} lines are in trouble: nothing of the file is kept until they are mended.",
            found,
        ).format(n=found)
    notes = [note for delivery in preview.deliveries for note in delivery.notes]
    return " ".join(
        [_("{said} Nothing is kept yet.").format(said=sum_words(preview.deliveries, figures)), *notes]
    )


def sum_words(deliveries: Iterable[DeliveryReceived], figures: Figures) -> str:
    """Say how many lines a file has and what they cost with freight."""
    lines = [line for delivery in deliveries for line in delivery.lines]
    cost = figures.money(sum(line.cost_minor for line in lines))
    said = ngettext("{n} line, {cost} with freight.", "{n} lines, {cost} with freight.", len(lines))
    return said.format(n=len(lines), cost=cost)
