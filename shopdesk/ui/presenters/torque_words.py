"""Torques in words: the wrench's setting with an adapter, and figures that look like another unit's."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from gettext import gettext as _

from shopdesk.domain import units
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.sheet import Plug
from shopdesk.domain.torque import (
    Adapter,
    BetweenWrenchAndSocket,
    setting_mnm,
    slip_question,
    unit_slip,
)
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.record_shape import plug_field
from shopdesk.ui.presenters.record_slots import Change

_NUMBER = re.compile(r"\s*([\d\s.,']*\d)")


@dataclass(frozen=True, kw_only=True, slots=True)
class Slip:
    """A torque whose unit seems taken for the other; ``other`` is the same figure in that unit."""

    slot: str
    question: str
    as_typed: str
    other: str
    other_text: str


def slips(sent: Iterable[Change], view: RecordView, typed: Typed, figures: Figures) -> tuple[Slip, ...]:
    """Give every torque about to be kept whose unit should be asked about."""
    return tuple(slip for change in sent for slip in _slip(change, view, typed, figures))


def slip_of(field: str, text: str, view: RecordView, typed: Typed) -> str:
    """Give the question about one torque as typed, or nothing."""
    wanted = wanted_torque(field, view)
    if wanted is None or not text.strip():
        return ""
    found = unit_slip(typed.torque(text, "value").value, wanted)
    return slip_question(found) if found is not None else ""


def _slip(change: Change, view: RecordView, typed: Typed, figures: Figures) -> Iterator[Slip]:
    entry = change.entry
    wanted = wanted_torque(entry.field, view)
    number = _NUMBER.match(entry.value)
    if wanted is None or number is None:
        return
    read = typed.torque(entry.value, "value")
    found = unit_slip(read.value, wanted)
    if found is None or read.unit not in ("nm", "lbf*ft"):
        return
    other = "nm" if read.unit == "lbf*ft" else "lbf*ft"
    text = f"{number.group(1)} {shown_unit(other)}"
    yield Slip(
        slot=change.slot.name,
        question=slip_question(found),
        as_typed=figures.torque(read.value),
        other=figures.torque(typed.torque(text, "value").value),
        other_text=text,
    )


def wanted_torque(field: str, view: RecordView) -> int | None:
    """Give the sheet's torque for a field, in mN·m; None where it gives none."""
    for plug in Plug:
        if field == plug_field(plug, "torque"):
            torque = view.sheet.body.torque_of(plug)
            return torque.torque_mnm if torque else None
    return None


def answers(slip: Slip) -> list[tuple[str, str]]:
    """Give the two answers: the unit was mistyped, or the wrench really was set so."""
    return [
        ("other", _("It was {torque}: put it right").format(torque=slip.other)),
        ("typed", _("It really was {torque}").format(torque=slip.as_typed)),
    ]


def put_right(sent: Sequence[Change], slip: Slip) -> tuple[Change, ...]:
    """Give the entries with the slip's figure in the other unit."""
    return tuple(
        replace(change, entry=replace(change.entry, value=slip.other_text))
        if change.slot.name == slip.slot
        else change
        for change in sent
    )


@dataclass(frozen=True, kw_only=True, slots=True)
class Setting:
    """What to set the wrench to, in words, and what it was worked out from."""

    words: str
    note: str
    rows: tuple[tuple[str, str], ...] = ()
    formula: str = ""


def between_choices() -> list[tuple[str, str]]:
    """Give what may stand between wrench and socket, in answer to "does it move the socket sideways?"."""
    return [
        (BetweenWrenchAndSocket.NOTHING.value, _("Nothing between")),
        (BetweenWrenchAndSocket.STRAIGHT_BAR.value, _("No: a straight bar")),
        (BetweenWrenchAndSocket.OFFSET.value, _("Yes: crowfoot or offset adapter")),
    ]


def setting_words(
    wanted: str, between: str, lengths: tuple[str, str, str], typed: Typed, figures: Figures
) -> Setting:
    """Work out the wrench's setting from texts: wrench length, adapter length, angle.

    Raises RuleBroken naming ``torque``, ``wrench_length``, ``adapter_length`` or ``angle``.
    """
    kind = BetweenWrenchAndSocket(between)
    if not wanted.strip():
        raise RuleBroken(_("Write the torque that the fastener needs."), "torque")
    wanted_mnm = typed.torque(wanted, "torque").value
    if kind is not BetweenWrenchAndSocket.OFFSET:
        note = _("A straight bar, however long, does not change the setting.")
        return Setting(words=figures.torque(setting_mnm(wanted_mnm, kind)), note=note)
    adapter = _adapter(lengths, typed)
    set_mnm = setting_mnm(wanted_mnm, kind, adapter)
    note = _("At {set} on the wrench, {wanted} reaches the fastener.").format(
        set=figures.torque(set_mnm), wanted=figures.torque(wanted_mnm)
    )
    rows = (
        (_("Torque wanted"), figures.torque(wanted_mnm)),
        (_("Wrench, grip to drive"), figures.length(adapter.wrench_um)),
        (_("Adapter, drive to socket"), figures.length(adapter.adapter_um)),
        (_("Angle from straight out"), _("{n}°").format(n=adapter.angle_deg)),
    )
    return Setting(
        words=figures.torque(set_mnm),
        note=note,
        rows=rows,
        formula=_("wanted × wrench / (wrench + adapter × cos angle)"),
    )


def _adapter(lengths: tuple[str, str, str], typed: Typed) -> Adapter:
    wrench, length, angle = (text.strip() for text in lengths)
    for text, field in ((wrench, "wrench_length"), (length, "adapter_length")):
        if not text:
            raise RuleBroken(_("Write a length with its unit, such as 16 in or 400 mm."), field)
    return Adapter(
        wrench_um=typed.length(wrench, "wrench_length").value,
        adapter_um=typed.length(length, "adapter_length").value,
        angle_deg=units.read_whole(angle, field="angle", least=0, most=180) if angle else 0,
    )
