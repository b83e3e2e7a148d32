"""Texts of the containers that a service's fluid came from."""

from collections.abc import Mapping, Sequence
from gettext import gettext as _

from shopdesk.services.acting import Actor
from shopdesk.services.containers import GONE, ContainerView
from shopdesk.services.figures import Figures
from shopdesk.services.ledger import QUARANTINE
from shopdesk.services.pouring import Billed, PourCheck, SaySources, SourceTyped
from shopdesk.ui.presenters.containers import box_name

MOST = 3
"""How many containers one form has room for."""

NAMES = ("box", "before", "after", "quantity", "within", "reason")
_FIELDS = {"container_id": "box"}


def field_name(name: str, place: int) -> str:
    """Name the field of one container, the first being 0."""
    return f"{name}{place}"


def field_of(path: str) -> str:
    """Give the form's field that a refusal is about."""
    steps = path.split("/")
    if len(steps) < 3 or not steps[1].isdecimal():
        return field_name("box", 0)
    return field_name(_FIELDS.get(steps[2], steps[2]), int(steps[1]))


def box_choices(
    boxes: Sequence[ContainerView], item_id: int | None, fluids: frozenset[int], figures: Figures
) -> tuple[tuple[str, str], ...]:
    """Offer the containers that may be poured from: those of the record's own fluid first."""
    usable = [
        box for box in boxes if box.item_id in fluids and box.state not in (QUARANTINE, GONE) and box.held > 0
    ]
    usable.sort(key=lambda box: box.item_id != item_id)
    return (
        ("", _("None")),
        *((str(box.id), _box_words(box, figures)) for box in usable),
    )


def _box_words(box: ContainerView, figures: Figures) -> str:
    parts = (box_name(box), box.lot, figures.volume(box.held))
    return " · ".join(part for part in parts if part)


def say_command(record_id: int, texts: Mapping[str, str], actor: Actor, uid: str) -> SaySources:
    """Give the command that says out of which containers a record's fluid came."""
    chosen = [place for place in range(MOST) if texts[field_name("box", place)]]
    return SaySources(
        actor=actor,
        uid=uid,
        record_id=record_id,
        sources=tuple(
            SourceTyped(
                container_id=int(texts[field_name("box", place)]),
                before=texts[field_name("before", place)],
                after=texts[field_name("after", place)],
                quantity=texts[field_name("quantity", place)],
                within=texts[field_name("within", place)],
                reason=texts[field_name("reason", place)],
            )
            for place in chosen
        ),
    )


def check_facts(check: PourCheck, billed: Billed | None, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Say what the containers gave against what was put in, and what is billed for it."""
    gave = [(f"{row.item} · {row.lot or row.label}", figures.volume(row.quantity)) for row in check.sources]
    put_in = figures.volume(check.put_in_ul) if check.put_in_ul is not None else _("not recorded yet")
    return (
        *gave,
        (_("Gave together"), figures.volume(check.given_ul) if check.sources else ""),
        (_("Put in"), put_in),
        (_("Billed"), billed.sentence if billed else ""),
    )


def check_state(check: PourCheck) -> tuple[str, str]:
    """Say whether the two agree: the key of a mark, and words."""
    if check.agrees is None:
        return "unknown", _("Not checked yet")
    return ("fine", _("They agree")) if check.agrees else ("soon", _("They differ"))
