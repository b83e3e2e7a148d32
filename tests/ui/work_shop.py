"""More of the small shop, for the pages of work: a 4WD in the bay, its gearbox's record begun.

Work order 1001 is invoiced and paid. 1002 is in the bay on a vehicle with four units, one of them
without a unit sheet; 1003 is quoted and has no line yet. Everything is invented.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, TypeVar

from shopdesk.domain.methods import LevelMethod, UnitKind
from shopdesk.domain.pricing import LineKind
from shopdesk.launch import open_desk
from shopdesk.services.acting import Command
from shopdesk.services.bay import OpenRecord
from shopdesk.services.customers import AddCustomer
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.instruments import InstrumentKind, SaveInstrument
from shopdesk.services.items import Claim, ClaimBasis, SaveItem
from shopdesk.services.lines import LineTyped
from shopdesk.services.odometers import ReadOdometer
from shopdesk.services.sheets import IntervalTyped, SaveSheet
from shopdesk.services.stock import Receive
from shopdesk.services.vehicles import AddUnit, AddVehicle
from shopdesk.services.work import ConsentHow, MakeEstimate, OpenWorkOrder, RecordConsent, SetLines
from shopdesk.ui.theme.look import Look
from tests.ui.shop_window import ShopInWindow, StandingClock, make_shop, shop_in_window

C = TypeVar("C", bound=Command)
TOOLS = (
    (InstrumentKind.PAN, "Drain pan 2", "", "100 mL"),
    (InstrumentKind.JUG, "Pump 1", "30 mL", ""),
    (InstrumentKind.THERMOMETER, "Scan tool", "2 degC", ""),
    (InstrumentKind.TORQUE_WRENCH, "Wrench 20-100", "3 N*m", ""),
)
UNITS = (
    (UnitKind.AUTOMATIC, "6-speed automatic", "PX6-A"),
    (UnitKind.TRANSFER_CASE, "Transfer case", "TC-2"),
    (UnitKind.FRONT_DIFFERENTIAL, "Front differential", ""),
    (UnitKind.REAR_DIFFERENTIAL, "Rear differential", ""),
)
LINES = (
    LineTyped(
        kind=LineKind.LABOUR,
        text="Automatic fluid service, level set at temperature",
        quantity="1.4",
        unit_price="118.00",
    ),
    LineTyped(kind=LineKind.FLUID, item="Halden ATF-6", quantity="4"),
    LineTyped(kind=LineKind.PART, item="Crush washer 18 x 24 x 1.5", quantity="2"),
)


PAGES = ("work orders", "work order", "bay", "paper", "verify", "unit", "plan")


@contextmanager
def work_in_window(
    look: Look, migrated: Path, file: Path, clock: StandingClock | None = None
) -> Iterator[ShopInWindow]:
    """Open a copy of the shop behind a window in which the pages of work are the program's own."""
    shutil.copyfile(_filled(migrated), file)
    with shop_in_window(look, file, real=PAGES, clock=clock) as shop:
        shop.show()
        yield shop


@cache
def _filled(migrated: Path) -> Path:
    """Give the filled shop, made once beside the empty database. Copies of it are opened."""
    file = migrated.with_name("work.db")
    make_work_shop(migrated, file)
    return file


def make_work_shop(migrated: Path, file: Path) -> None:
    """Copy a migrated empty database to ``file`` and fill it."""
    make_shop(migrated, file)
    rooms = open_desk(f"sqlite:///{file}", clock=StandingClock())
    try:
        _Filling(rooms).fill()
    finally:
        rooms.close()


class _Filling:
    def __init__(self, rooms: Rooms) -> None:
        self._rooms = rooms
        self._actor = rooms.actor()

    def _by(self, command: type[C], **values: Any) -> C:
        return command(actor=self._actor, **values)

    def fill(self) -> None:
        for kind, name, tolerance, marks in TOOLS:
            self._rooms.instruments.save(
                self._by(SaveInstrument, kind=kind, name=name, tolerance=tolerance, marks=marks)
            )
        self._catalogue()
        customer, vehicle, odometer = self._taken_in()
        order = self._in_the_bay(customer, vehicle, odometer)
        unit = self._rooms.board.work_order(order).units[0]
        fluid = next(each for each in self._rooms.items.all() if each.name == "Halden ATF-6")
        self._rooms.bay.open(self._by(OpenRecord, work_order_id=order, unit_id=unit.id, item_id=fluid.id))
        self._rooms.work.open(
            self._by(
                OpenWorkOrder,
                vehicle_id=vehicle,
                customer_id=customer,
                complaint="Wants the rear axle looked at.",
            )
        )

    def _catalogue(self) -> None:
        oil = self._rooms.items.save(
            self._by(
                SaveItem,
                name="Halden Gear 75W-90",
                package="1 qt",
                sale_unit="qt",
                price="14.20",
                claims=(Claim(specification="GX-5", basis=ClaimBasis.LICENSED, licence_no="LX-4410"),),
                order_at="6 qt",
                fill_to="24 qt",
            )
        )
        self._rooms.stock.receive(
            self._by(Receive, item_id=oil.item_id, quantity="12 qt", cost="81.00", lot="G-114")
        )
        self._rooms.sheets.save(
            self._by(
                SaveSheet,
                designation="TC-2",
                kind=UnitKind.TRANSFER_CASE,
                specification="GX-5",
                level_method=LevelMethod.FILL_HOLE,
                service_fill="1.5 qt",
                total="1.6 qt",
                maker_normal=IntervalTyped(distance="60000 mi", months=60),
                source="Invented workshop manual, edition 2, page 9-3",
            )
        )

    def _taken_in(self) -> tuple[int, int, int]:
        customer = self._rooms.intake.add_customer(
            self._by(
                AddCustomer,
                name="Odalys Brandt",
                phones=("303 555 0121",),
                warning="Call before 5, works nights.",
            )
        ).customer_id
        vehicle = self._rooms.intake.add_vehicle(
            self._by(
                AddVehicle,
                customer_id=customer,
                plate="LM 902",
                make="Northgate",
                model="Ridge 4WD",
                year=2018,
                odometer_unit="mi",
                warning="Drain thread repaired, 18 ft-lb at most.",
            )
        ).vehicle_id
        sheets = {sheet.designation: sheet.sheet_id for sheet in self._rooms.sheets.all()}
        for kind, label, sheet in UNITS:
            self._rooms.intake.add_unit(
                self._by(AddUnit, vehicle_id=vehicle, kind=kind, label=label, sheet_id=sheets.get(sheet))
            )
        reading = self._rooms.intake.read_odometer(
            self._by(ReadOdometer, vehicle_id=vehicle, reading="61220 mi")
        )
        return customer, vehicle, reading.odometer_id

    def _in_the_bay(self, customer: int, vehicle: int, odometer: int) -> int:
        order = self._rooms.work.open(
            self._by(
                OpenWorkOrder,
                vehicle_id=vehicle,
                customer_id=customer,
                odometer_id=odometer,
                complaint="Shudders when pulling away.",
                driver="Tamsin Brandt",
                bay="1",
                key_tag="12",
                waits_here=True,
                promised_at=datetime(2026, 11, 25, 23, 30, tzinfo=UTC),
            )
        ).work_order_id
        version = self._rooms.board.work_order(order).version
        self._rooms.work.set_lines(self._by(SetLines, work_order_id=order, version=version, lines=LINES))
        self._rooms.work.estimate(self._by(MakeEstimate, work_order_id=order))
        self._rooms.work.consent(
            self._by(
                RecordConsent,
                work_order_id=order,
                person="Odalys Brandt",
                relation="owner",
                how=ConsentHow.PHONE,
                reached_at="303 555 0121",
                said="Go ahead as quoted.",
            )
        )
        return order
