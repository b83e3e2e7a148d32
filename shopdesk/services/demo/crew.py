"""Who works in the demo shop and with what: the rooms, the shelf, the people and their tools."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import datetime
from random import Random
from typing import Any, TypeVar

from shopdesk.domain.numerals import NumberStyle
from shopdesk.services.acting import Actor, Command, Writing
from shopdesk.services.demo import cast
from shopdesk.services.demo.clock import DemoClock
from shopdesk.services.demo.measuring import Tools
from shopdesk.services.demo.sheets import SHEETS
from shopdesk.services.demo.shelf import Shelf, uid_from
from shopdesk.services.desk import Desk
from shopdesk.services.instruments import InstrumentKind, SaveInstrument
from shopdesk.services.plain import fields_from_plain
from shopdesk.services.setup import AddPerson, Done, FirstRun
from shopdesk.services.sheets import SaveSheet

C = TypeVar("C", bound=Command)


@dataclass(frozen=True, kw_only=True, slots=True)
class DemoStep(Command):
    """One moment of the demo's work, carried out whole: what, and which work it belongs to."""

    what: str
    subject: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Crew:
    """The shop at work. ``counter`` is the owner's, ``bays`` are the technicians' actors."""

    desk: Desk
    clock: DemoClock
    rng: Random
    shelf: Shelf
    counter: Actor
    bays: tuple[Actor, ...]
    tools: Tools
    sheet_ids: dict[str, int]

    def step(
        self, what: str, subject: int, work: Callable[[Writing], None], actor: Actor | None = None
    ) -> None:
        """Carry out work in one transaction, at the clock's time and by the counter's person unless said."""
        command = DemoStep(actor=actor or self.counter, uid=uid_from(self.rng), what=what, subject=subject)

        def and_done(writing: Writing) -> Done:
            work(writing)
            return Done(id=subject)

        self.desk.office.carry_out(command, and_done, Done)

    def moment(self, writing: Writing, at: datetime, bay: int | None = None) -> None:
        """Go on within a transaction: later the same day, at the counter or by a bay's technician."""
        self.clock.set(at)
        writing.now = self.clock.now()
        writing.actor = self.counter if bay is None else self.bays[bay % len(self.bays)]

    def command(self, kind: type[C], /, **values: Any) -> C:
        """Give a command whose quantities carry their units."""
        return kind(actor=self.counter, uid=uid_from(self.rng), style=NumberStyle.STRICT, **values)


def open_shop(desk: Desk, clock: DemoClock, rng: Random, *, scarce_from: datetime) -> Crew:
    """Set the shop up: people, stations, tools, unit sheets and a filled shelf."""
    counter = desk.setup.first_run(FirstRun(actor=desk.actor(), uid=uid_from(rng), **cast.SHOP))
    crew = Crew(
        desk=desk,
        clock=clock,
        rng=rng,
        shelf=Shelf(actor=counter, rng=rng, scarce_from=scarce_from),
        counter=counter,
        bays=tuple(_hire(desk, counter, rng)),
        tools=_tools(desk, counter, clock, rng),
        sheet_ids=dict(_write_sheets(desk, counter, rng)),
    )
    crew.step("stock up", 0, crew.shelf.stock_up)
    return crew


def _hire(desk: Desk, counter: Actor, rng: Random) -> Iterator[Actor]:
    for name, station in cast.TECHNICIANS:
        person = desk.setup.add_person(AddPerson(actor=counter, uid=uid_from(rng), name=name))
        yield Actor(person_id=person.id, station_id=desk.office.note_station(uid_from(rng), station))


def _write_sheets(desk: Desk, counter: Actor, rng: Random) -> Iterator[tuple[str, int]]:
    for designation, sheet in SHEETS.items():
        given = fields_from_plain(SaveSheet, sheet.values)
        command = SaveSheet(actor=counter, uid=uid_from(rng), style=NumberStyle.STRICT, **given)
        yield designation, desk.sheets.save(command).sheet_id


def _tools(desk: Desk, counter: Actor, clock: DemoClock, rng: Random) -> Tools:
    """Buy the shop's tools; the thermometer's calibration has run out since."""
    bought = clock.now().date()
    rows = {
        kind: desk.instruments.save(
            SaveInstrument(
                actor=counter,
                uid=uid_from(rng),
                style=NumberStyle.STRICT,
                kind=kind,
                name=name,
                calibrated_on=bought,
                due_on=bought.replace(year=bought.year + years, day=1),
                **reads,
            )
        )
        for kind, name, years, reads in (
            (InstrumentKind.PAN, "Drain pan, marked every 0.1 qt", 9, {"marks": "0.1 qt"}),
            (InstrumentKind.JUG, "Pump jug", 9, {"tolerance": "30 mL"}),
            (InstrumentKind.THERMOMETER, "Scan tool", 1, {"tolerance": "4 degF"}),
            (InstrumentKind.TORQUE_WRENCH, "Torque wrench 3/8", 3, {"tolerance": "2 lbf*ft"}),
        )
    }
    return Tools(pan=rows[InstrumentKind.PAN].id, jug=rows[InstrumentKind.JUG].id)
