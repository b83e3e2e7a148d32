"""A month of a shelf: orders, deliveries, forty jobs, two counts, a haul, a recall; every total kept twice.

Beside the program a shopkeeper keeps his own books (``stock_books``); at the month's end every figure of
the program is asked for and must be his.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from typing import Any

from shopdesk.domain.counting import CountMethod
from shopdesk.domain.dated_rules import RuleKey
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stock import CostMethod
from shopdesk.services.bills import BillLineTyped, EnterBill
from shopdesk.services.buying import MoveOrder, OrderLineTyped, OrderState, SaveOrder, SaveSupplier
from shopdesk.services.cards import SaveCard
from shopdesk.services.chosen_rules import ChooseRule
from shopdesk.services.cores import ReturnCores
from shopdesk.services.counting import CloseSheet, Count, OpenSheet
from shopdesk.services.deliveries import DeliveryLineTyped, DeliveryReceived, ReceiveDelivery
from shopdesk.services.kits import KitPartTyped, SaveKit
from shopdesk.services.lines import LineTyped
from shopdesk.services.recall import PutLotAside
from shopdesk.services.used_oil import CountVessel, Haul, SaveVessel
from tests.journeys.stock_books import Goods
from tests.services.floors import Floor
from tests.services.floors import floor as floor
from tests.services.floors import postgresql_ground as postgresql_ground
from tests.services.floors import sqlite_ground as sqlite_ground
from tests.services.stockroom import LABOUR, Job, Stockroom, stockroom

DAYS = [day for day in range(2, 28) if date(2026, 11, day).weekday() < 5]
ATF, GEAR, WASHER, GASKET, KIT = "Clear ATF", "Gear oil", "Washer 14", "Pan gasket", "Pan kit"
CONVERTER = "Converter, rebuilt"
LITRE = 1_000_000


@dataclass
class Month:
    """The shop, its shopkeeper's books, and what happens on which day."""

    room: Stockroom
    clock: Any
    average: bool
    source: random.Random = field(default_factory=lambda: random.Random(1126))
    ids: dict[str, int] = field(default_factory=dict)
    books: dict[str, Goods] = field(default_factory=dict)
    boxes: dict[str, int] = field(default_factory=dict)
    jobs: list[Job] = field(default_factory=list)
    billed: dict[int, tuple[int, int]] = field(default_factory=dict)
    oil_in: int = 0
    oil_out: int = 0
    supplier: int = 0
    document: int = 0

    def begin(self) -> None:
        """Put the catalogue up."""
        room, actor = self.room, self.room.actor
        self.clock.at = datetime(2026, 11, 2, 8, tzinfo=UTC)
        self.ids[ATF] = room.fluid(ATF, package="60 l", order_at="40 l", fill_to="120 l")
        # The gear oil claims nothing, so every job with it says why it is used.
        self.ids[GEAR] = room.fluid(GEAR, package="1 l", claims=())
        for name in (WASHER, GASKET, KIT, CONVERTER):
            self.ids[name] = room.part(name)
        parts = (
            KitPartTyped(item_id=self.ids[GASKET], quantity="1"),
            KitPartTyped(item_id=self.ids[WASHER], quantity="2"),
        )
        room.desk.kits.save(SaveKit(actor=actor, item_id=self.ids[KIT], parts=parts))
        room.desk.cards.save(SaveCard(actor=actor, item_id=self.ids[CONVERTER], version=0, core="120.00"))
        self.books = {name: Goods(self.average) for name in (ATF, GEAR, WASHER, GASKET, CONVERTER)}
        self.supplier = room.desk.buying.save_supplier(SaveSupplier(actor=actor, name="Quarry")).supplier_id
        room.desk.used_oil.save_vessel(SaveVessel(actor=actor, name="Drum", capacity="300 l"))
        room.desk.chosen_rules.choose(
            ChooseRule(actor=actor, key=RuleKey.SELF_HAUL_MOST, from_on=date(2026, 1, 1))
        )

    def buy(
        self, *wanted: tuple[str, int, int, str, date | None], came: int | None = None, freight: int
    ) -> None:
        """Order and receive: (item, packages, price in cents, lot, best before); ``came``: only so many."""
        room, actor = self.room, self.room.actor
        lines = tuple(
            OrderLineTyped(item_id=self.ids[name], packages=str(count), price=money(price))
            for name, count, price, _lot, _day in wanted
        )
        buying = room.desk.buying
        order = buying.save_order(SaveOrder(actor=actor, supplier_id=self.supplier, lines=lines))
        move = MoveOrder(actor=actor, order_id=order.order_id, version=1, state=OrderState.ORDERED)
        buying.move_order(move)
        ordered = buying.order(order.order_id).lines
        self.document += 1
        received = room.desk.deliveries.receive(
            ReceiveDelivery(
                actor=actor,
                supplier_id=self.supplier,
                order_id=order.order_id,
                document_no=f"D-{self.document}",
                freight=money(freight),
                lines=tuple(
                    DeliveryLineTyped(
                        item_id=self.ids[name],
                        purchase_line_id=line.id,
                        packages=str(came if came is not None else count),
                        damaged=str(count - came) if came is not None else "",
                        lot=lot,
                        best_before=day,
                    )
                    for (name, count, _price, lot, day), line in zip(wanted, ordered, strict=True)
                ),
            )
        )
        self._write_down(received, wanted, came, freight)
        self._bill(received, freight)

    def _write_down(
        self, received: DeliveryReceived, wanted: tuple[Any, ...], came: int | None, freight: int
    ) -> None:
        goods = [(came if came is not None else count) * price for _name, count, price, _lot, _day in wanted]
        shares = largest_remainder(freight, goods)
        for (name, count, _price, lot, day), cost, kept, worth in zip(
            wanted, (g + s for g, s in zip(goods, shares, strict=True)), received.lines, goods, strict=True
        ):
            assert kept.cost_minor == cost >= worth
            number = came if came is not None else count
            quantity = number * {ATF: 60 * LITRE, GEAR: LITRE}.get(name, 1_000)
            pieces = [60 * LITRE] * number if name == ATF else [quantity]
            for part, share, container_id in zip(
                pieces, largest_remainder(cost, pieces), kept.container_ids, strict=True
            ):
                label = f"box {container_id}"
                self.boxes[label] = container_id
                self.books[name].receive(label, part, share, lot=lot, best_before=day or date.max)

    def _bill(self, received: DeliveryReceived, freight: int) -> None:
        view = self.room.desk.deliveries.delivery(received.delivery_id)
        total = sum(line.goods_minor + line.core_minor for line in view.lines) + freight
        bill = EnterBill(
            actor=self.room.actor,
            supplier_id=self.supplier,
            bill_no=f"R-{self.document}",
            billed_on=self.room.desk.intake.now().date(),
            freight=money(freight),
            total=money(total),
            lines=tuple(
                BillLineTyped(
                    delivery_line_id=line.id, amount=money(line.goods_minor), core=money(line.core_minor)
                )
                for line in view.lines
            ),
        )
        assert self.room.desk.bills.match(self.room.desk.bills.enter(bill).bill_id).agrees

    def work(self, number: int) -> None:
        """One job: the fluid in turn, a kit on every fourth, a washer on the others."""
        name = ATF if number % 2 else GEAR
        if number < 10:
            self.jobs.append(
                self.room.vehicle(f"AB {number:02}", f"Keeper {number}", f"+1202555{100 + number:04}")
            )
            job = self.jobs[-1]
        else:
            job = self.jobs[number % 10].open()
        put_in, drained = self.source.randint(300, 420) * 10, self.source.randint(290, 400) * 10
        part = KIT if number % 4 == 0 else WASHER
        job.priced(
            LABOUR,
            LineTyped(kind=LineKind.FLUID, item=name, quantity="4"),
            LineTyped(kind=LineKind.PART, item=part, quantity="1"),
        )
        reason = "" if name == ATF else "gear oil the customer asked for"
        job.serviced(self.ids[name], f"{put_in} ml", drained=f"{drained} ml", match_reason=reason).finished()
        self.books[name].use(put_in * 1_000, job.order_id)
        for each, count in {KIT: ((GASKET, 1), (WASHER, 2)), WASHER: ((WASHER, 1),)}[part]:
            self.books[each].use(count * 1_000, job.order_id)
        self.billed[job.order_id] = (4 * LITRE, put_in * 1_000)
        self.oil_in += drained * 1_000

    def count_all(self, losses: dict[str, int]) -> None:
        """Walk along the shelf with a sheet; ``losses`` say by how much each item's first box is short."""
        counting, actor = self.room.desk.counting, self.room.actor
        sheet_id = counting.open_sheet(OpenSheet(actor=actor)).sheet_id
        labels = {container_id: label for label, container_id in self.boxes.items()}
        for line in counting.sheet(sheet_id).lines:
            book, lost = self.books[line.item], losses.pop(line.item, 0)
            found = max(0, line.expected - lost)
            if line.container_id is None:
                self._count_pieces(line.item, sheet_id, found)
                continue
            label = labels[line.container_id]
            assert line.expected == book.boxes[label].holds
            counting.count(
                Count(
                    actor=actor,
                    item_id=line.item_id,
                    container_id=line.container_id,
                    sheet_id=sheet_id,
                    method=CountMethod.SIGHT_GLASS,
                    reading=f"{found // 1000} ml",
                    within="50 ml",
                    temperature="20 degC",
                    reason="month's count",
                )
            )
            book.count(label, found)
        for name in (ATF, GEAR):
            if self.books[name].nowhere:
                self.books[name].count(None, 0)
        counting.close_sheet(CloseSheet(actor=actor, sheet_id=sheet_id))

    def _count_pieces(self, name: str, sheet_id: int, found: int) -> None:
        """Pieces are counted together; what is missing is missing from no box in particular."""
        command = Count(
            actor=self.room.actor,
            item_id=self.ids[name],
            sheet_id=sheet_id,
            method=CountMethod.WHOLE,
            whole=str(found // 1_000),
            reason="month's count",
        )
        self.room.desk.counting.count(command)
        book = self.books[name]
        before = book.on_hand
        held = book.nowhere
        book.count(None, held + found - before)
        book.counted[-1] = (before, found)

    def haul(self, litres: int, **how: Any) -> None:
        command = Haul(actor=self.room.actor, vessel_id=1, quantity=f"{litres} l", **how)
        self.room.desk.used_oil.haul(command)
        self.oil_out += litres * LITRE


def money(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02}"


def largest_remainder(total: int, weights: list[int]) -> list[int]:
    """Share a sum by weights to the last penny: the largest rests get one more, the first of equals."""
    whole = sum(weights)
    parts = [total * weight // whole for weight in weights]
    rests = sorted(range(len(weights)), key=lambda at: (-(total * weights[at] % whole), at))
    for at in rests[: total - sum(parts)]:
        parts[at] += 1
    return parts


def live_through(month: Month) -> None:
    """The month, day by day."""
    month.begin()
    for at, day in enumerate(DAYS):
        month.clock.at = datetime(2026, 11, day, 8, tzinfo=UTC)
        if at == 0:
            month.buy(
                (ATF, 3, 30_000, "A-1", date(2029, 1, 31)),
                (GEAR, 24, 500, "G-1", date(2028, 6, 30)),
                (WASHER, 60, 45, "", None),
                (GASKET, 15, 1_037, "", None),
                (CONVERTER, 1, 41_000, "", None),
                freight=2_711,
            )
        elif at == 5:
            month.buy((GEAR, 24, 520, "G-2", date(2027, 12, 31)), came=18, freight=450)
        elif at == 9:
            month.count_all({ATF: 350_000, GEAR: 120_000, WASHER: 2_000})
        elif at == 12:
            month.buy((ATF, 1, 31_000, "A-2", date(2029, 6, 30)), freight=901)
            month.room.desk.cores.give_back(
                ReturnCores(
                    actor=month.room.actor,
                    supplier_id=month.supplier,
                    item_id=month.ids[CONVERTER],
                    pieces="1",
                )
            )
        elif at == 14:
            month.haul(90, own_vehicle=True, destination="County yard")
        elif at == 17:
            assert month.books[GEAR].short > 0  # jobs used more than the shelf was said to hold
            month.buy((GEAR, 40, 560, "G-3", date(2028, 12, 31)), freight=777)
        month.clock.forward(hours=2)
        for number in (2 * at, 2 * at + 1):
            if number < 40:
                month.work(number)
    month.clock.forward(hours=8)
    month.count_all({ATF: 500_000, GEAR: -200_000, GASKET: 1_000})
    month.haul(40, carrier="Tallow Road Oils", carrier_id="XYR000000001", document_no="M-17")


def test_that_every_total_of_a_month_is_the_shopkeepers_own(floor: Floor) -> None:
    """By FIFO on one engine and by the moving average on the other; the rules know no engine."""
    method = CostMethod.FIFO if floor.url.startswith("sqlite") else CostMethod.AVERAGE
    room = stockroom(floor.desk, floor.url, cost_method=method)
    month = Month(room=room, clock=floor.clock, average=method is CostMethod.AVERAGE)
    live_through(month)
    assert len(month.billed) == 40
    assert month.books[GEAR].users.keys() == {"G-1", "G-2", "G-3"}
    assert_the_shelf(month)
    assert_the_reports(month)
    assert_the_used_oil(month)
    assert_the_recall(month)
    assert room.faults() == []


def assert_the_shelf(month: Month) -> None:
    """Levels, containers and money."""
    value = {row.name: row for row in month.room.desk.shelf_reports.value().rows}
    assert value.keys() == month.books.keys()
    for name, book in month.books.items():
        row = value[name]
        assert (row.on_hand, row.left_minor) == (book.on_hand, book.left_cost), name
        assert (row.in_minor, row.used_minor, row.other_minor) == (
            book.paid,
            book.used_cost,
            book.other_cost,
        ), name
        assert row.in_minor == row.used_minor + row.other_minor + row.left_minor
        assert row.short == book.short == 0
    held = {
        row.id: row.on_hand
        for name in (ATF, GEAR)
        for row in month.room.desk.stock.containers(month.ids[name])
    }
    boxes = {label: box for name in (ATF, GEAR) for label, box in month.books[name].boxes.items()}
    assert held == {month.boxes[label]: box.holds for label, box in boxes.items()}
    ((quantity, cost),) = month.room.ask("SELECT sum(quantity), sum(cost_minor) FROM stock_move")
    assert int(quantity) == sum(book.on_hand for book in month.books.values())
    assert int(cost) == sum(book.left_cost for book in month.books.values())


def assert_the_reports(month: Month) -> None:
    """Shrinkage and billed against used."""
    found = {row.name: row for row in month.room.desk.shelf_reports.shrinkage(date(2026, 11, 15))}
    for name in (ATF, GEAR, WASHER, GASKET):
        counted = month.books[name].counted
        row = found[name]
        assert (row.counts, row.shrinkage.expected, row.shrinkage.counted) == (
            len(counted),
            sum(before for before, _found in counted),
            sum(after for _before, after in counted),
        ), name
        assert row.cost_minor == month.books[name].other_cost
    assert found[WASHER].shrinkage.alarming
    rows = month.room.desk.shelf_reports.billed_against_used(date(2026, 11, 1))
    assert {row.work_order_id: (row.billed_ul, row.used_ul) for row in rows} == month.billed
    assert month.room.desk.cores.owed() == ()


def assert_the_used_oil(month: Month) -> None:
    """What came out of the vehicles went into the drum, and what was hauled is gone."""
    (vessel,) = month.room.desk.used_oil.vessels()
    assert vessel.held_ul == month.oil_in - month.oil_out
    books = month.room.desk.used_oil.reconcile(vessel.id, date(2026, 11, 1), date(2026, 11, 30))
    assert (books.in_ul, books.out_ul, books.opening_ul) == (month.oil_in, month.oil_out, 0)
    reading = vessel.held_ul // LITRE
    command = CountVessel(actor=month.room.actor, vessel_id=vessel.id, reading=f"{reading} l", within="2 l")
    month.room.desk.used_oil.count(command)
    after = month.room.desk.used_oil.reconcile(vessel.id, date(2026, 11, 1), date(2026, 11, 30))
    assert after.agrees
    assert after.difference_ul == reading * LITRE - vessel.held_ul


def assert_the_recall(month: Month) -> None:
    """Every vehicle of a lot with its telephone, and the rest of the lot put aside."""
    wanted = month.books[ATF].users["A-1"]
    found = month.room.desk.recalls.recall("a-1")
    orders = month.room.ask("SELECT id, number, vehicle_id FROM work_order")
    numbers = {number: (order_id, vehicle_id) for order_id, number, vehicle_id in orders}
    assert {numbers[each.work_order_number][0] for each in found.vehicles} == wanted
    assert {each.vehicle_id for each in found.vehicles} == {
        numbers[each.work_order_number][1] for each in found.vehicles
    }
    assert all(len(each.phones) == 1 and each.phones[0].startswith("+1202555") for each in found.vehicles)
    rest = {month.boxes[label] for label, box in month.books[ATF].boxes.items() if box.lot == "A-1"}
    assert {each.container_id for each in found.containers} == rest
    put = PutLotAside(actor=month.room.actor, lot="A-1", reason="blender's notice")
    assert set(month.room.desk.recalls.put_aside(put).container_ids) == rest
    suggested = {each.id for each in month.room.desk.containers.suggestion(month.ids[ATF])}
    assert not suggested & rest
