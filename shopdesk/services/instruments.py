"""The shop's measuring tools: what they read, how well, and until when they are in calibration."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import text
from shopdesk.domain.budget import half_width_of_resolution
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.service import instrument
from shopdesk.services.acting import Command, Office, Writing
from shopdesk.services.typed import Typed


class InstrumentKind(StrEnum):
    """What a tool reads."""

    PAN = N_("graduated pan")
    JUG = N_("jug or pump")
    THERMOMETER = N_("thermometer or scan tool")
    TORQUE_WRENCH = N_("torque wrench")


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveInstrument(Command):
    """A tool as typed: ``tolerance`` ("you can read it to ±"), or the step of its ``marks``."""

    kind: InstrumentKind
    name: str
    tolerance: str = ""
    marks: str = ""
    calibrated_on: date | None = None
    due_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class InstrumentRow:
    """A tool; ``half_width`` in µL, 1/1000 °C or mN·m by its kind."""

    id: int
    kind: InstrumentKind
    name: str
    half_width: int
    half_width_from: str
    calibrated_on: date | None
    due_on: date | None


def save_instrument(writing: Writing, command: SaveInstrument) -> InstrumentRow:
    """Keep a tool with how well it can be read."""
    half_width, came_from = _half_width(writing.typed_here(), command)
    values = {
        "kind": command.kind.value,
        "name": text.required(command.name, field="name", label=_("the tool's name"), most=120),
        "half_width": half_width,
        "half_width_from": came_from,
        "calibrated_on": command.calibrated_on,
        "due_on": command.due_on,
    }
    return InstrumentRow(id=writing.add(instrument, **values), **{**values, "kind": command.kind})  # type: ignore[arg-type]


def _half_width(typed: Typed, command: SaveInstrument) -> tuple[int, str]:
    read = {
        InstrumentKind.PAN: typed.volume,
        InstrumentKind.JUG: typed.volume,
        InstrumentKind.THERMOMETER: typed.temperature_step,
        InstrumentKind.TORQUE_WRENCH: typed.torque,
    }[command.kind]
    if command.tolerance.strip():
        return read(command.tolerance, "tolerance").value, "tolerance"
    if command.marks.strip():
        return half_width_of_resolution(read(command.marks, "marks").value), "half of its marks"
    raise RuleBroken(_("Write to within what it can be read, such as 50 mL."), "tolerance")


class Instruments:
    """The room where the shop's measuring tools are kept."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save(self, command: SaveInstrument) -> InstrumentRow:
        """Keep a tool."""
        return self._office.carry_out(
            command, lambda writing: save_instrument(writing, command), InstrumentRow
        )

    def all(self) -> Sequence[InstrumentRow]:
        """Give every tool in use, by kind and name."""
        with self._office.reading() as reading:
            rows = reading.connection.execute(
                select(instrument).where(instrument.c.active).order_by(instrument.c.kind, instrument.c.name)
            )
            return tuple(
                InstrumentRow(
                    id=row.id,
                    kind=InstrumentKind(row.kind),
                    name=row.name,
                    half_width=row.half_width,
                    half_width_from=row.half_width_from,
                    calibrated_on=row.calibrated_on,
                    due_on=row.due_on,
                )
                for row in rows
            )
