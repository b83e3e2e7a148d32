"""What the demo's back room holds: suppliers and their orders, opened containers, a count, used oil.

Nothing here draws from the demo's own source of chance, so the work of the shop is the same without it.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from functools import partial
from random import Random

from shopdesk.domain.counting import CountMethod
from shopdesk.domain.dated_rules import OFFERED
from shopdesk.domain.hazards import Pictogram, SignalWord
from shopdesk.services.acting import Writing
from shopdesk.services.buying import (
    MoveOrder,
    OrderLineTyped,
    OrderState,
    SaveOrder,
    SaveSupplier,
    move_order,
    order_view,
    save_order,
    save_supplier,
)
from shopdesk.services.cards import SaveCard, save_card
from shopdesk.services.chosen_rules import ChooseRule, choose_rule
from shopdesk.services.containers import (
    ContainerView,
    EventKind,
    NoteContainer,
    container_views,
    note_container,
)
from shopdesk.services.counting import CloseSheet, Count, OpenSheet, close_sheet, count, open_sheet
from shopdesk.services.deliveries import DeliveryLineTyped, ReceiveDelivery, receive_delivery
from shopdesk.services.demo.crew import Crew
from shopdesk.services.demo.days import ZONE, Years
from shopdesk.services.demo.shelf import SCARCE
from shopdesk.services.items import ItemKind, SaveItem, save_item
from shopdesk.services.ledger import on_hand
from shopdesk.services.used_oil import Haul, SaveVessel, haul, held_ul, save_vessel

SHORT_FLUID = "Marlstone ATF 8"
"""The fluid of which less came than was ordered; a jug of it is the opened one."""
REBUILT = "Valve body KX8, rebuilt"
COUNTED = ("Marlstone ATF 6", "Marlstone Gear 75W-90")
WASHER = "Crush washer 14 x 20 x 1.5"
CARRIER = "Fenlark Oil Recovery"
_LOST_ML = 150
_GALLON_UL = 3_785_412
_SHEETS_ON = date(2024, 5, 14)


@dataclass(kw_only=True)
class BackRoom:
    """Plays the back room's part. Instants are counted in days before ``today``."""

    crew: Crew
    today: date
    suppliers: dict[str, int] = field(default_factory=dict)
    vessels: dict[str, int] = field(default_factory=dict)
    rebuilt_id: int = 0
    _orders: dict[str, int] = field(default_factory=dict)

    def when(self, days: int, hour: int, minute: int = 0) -> datetime:
        """Give an instant so many days back, on a working day at or before it."""
        on = self.today - timedelta(days=days)
        on -= timedelta(days=max(0, on.weekday() - 4))
        return datetime.combine(on, time(hour, minute), ZONE)

    def furnish(self, writing: Writing) -> None:
        """Write down suppliers, cards, vessels and the rules the shop follows."""
        self._meet_suppliers(writing)
        self._write_cards(writing)
        for name, capacity, place in (
            ("Used oil drum", "55 gal", "Beside bay 1"),
            ("Used oil tank", "275 gal", "Lean-to behind bay 3"),
        ):
            command = self.crew.command(SaveVessel, name=name, capacity=capacity, place=place)
            self.vessels[name] = save_vessel(writing, command).vessel_id
        for rule in OFFERED:
            choose_rule(writing, self.crew.command(ChooseRule, key=rule.key, from_on=writing.today))

    def _meet_suppliers(self, writing: Writing) -> None:
        for name, address, phone, account, days in (
            ("Larkmoor Lubricant Supply", "3 Staithe Yard\nColdwater Mills", "555-0191", "LL-2207", "5"),
            ("Hobs Gearbox Parts", "40 Weir Lane\nHob's Crossing", "555-0192", "ARD-18", "7"),
        ):
            command = self.crew.command(
                SaveSupplier, name=name, address=address, phone=phone, account_no=account, lead_days=days
            )
            self.suppliers[name] = save_supplier(writing, command).supplier_id

    def _write_cards(self, writing: Writing) -> None:
        """Copy what the safety sheets say, which are invented as the fluids are."""
        ids, oil = self.crew.shelf.ids, self.suppliers["Larkmoor Lubricant Supply"]
        for name in (*COUNTED, SHORT_FLUID, SCARCE):
            gear = name == "Marlstone Gear 75W-90"
            card = self.crew.command(
                SaveCard,
                item_id=ids[name],
                version=0,
                signal_word=SignalWord.WARNING if gear else SignalWord.NONE,
                hazard_text="May cause an allergic skin reaction." if gear else "",
                pictograms=(Pictogram.EXCLAMATION_MARK,) if gear else (),
                emergency_phone="555-0199",
                sds_on=_SHEETS_ON,
                opened_days="365",
                supplier_id=oil,
                supplier_code="-".join(name.upper().split()[1:]),
            )
            save_card(writing, card)
        self._write_rebuilt(writing)

    def _write_rebuilt(self, writing: Writing) -> None:
        """Put a part with a deposit on its old one on the list."""
        item = self.crew.command(
            SaveItem,
            name=REBUILT,
            kind=ItemKind.PART,
            part_number="VB-KX8-R",
            package="1",
            sale_unit="each",
            price="612.00",
        )
        self.rebuilt_id = save_item(writing, item).item_id
        parts = self.suppliers["Hobs Gearbox Parts"]
        card = self.crew.command(
            SaveCard, item_id=self.rebuilt_id, version=0, supplier_id=parts, core="150.00"
        )
        save_card(writing, card)

    def order_what_comes_short(self, writing: Writing) -> None:
        """Order fluid and washers from the one supplier, the rebuilt part from the other."""
        ids = self.crew.shelf.ids
        self._order(
            writing,
            "Larkmoor Lubricant Supply",
            5,
            OrderLineTyped(item_id=ids[SHORT_FLUID], packages="8", price="29.40", supplier_code="ATF-8"),
            OrderLineTyped(item_id=ids[WASHER], packages="40", price="0.45"),
        )
        self._order(
            writing,
            "Hobs Gearbox Parts",
            7,
            OrderLineTyped(item_id=self.rebuilt_id, packages="1", price="388.00"),
        )

    def order_for_winter(self, writing: Writing) -> None:
        """Order for the winter's work, above what the marks ask for; nothing of it has come yet."""
        ids = self.crew.shelf.ids
        self._order(
            writing,
            "Larkmoor Lubricant Supply",
            7,
            OrderLineTyped(item_id=ids["Marlstone Hybrid Drive"], packages="12", price="9.60"),
            OrderLineTyped(item_id=ids["Marlstone Transfer T"], packages="12", price="8.75"),
        )

    def _order(self, writing: Writing, supplier: str, days: int, *lines: OrderLineTyped) -> None:
        expected = writing.today + timedelta(days=days)
        command = self.crew.command(
            SaveOrder, supplier_id=self.suppliers[supplier], expected_on=expected, lines=lines
        )
        order_id = save_order(writing, command).order_id
        version = order_view(writing, order_id).version
        move = self.crew.command(
            MoveOrder, order_id=order_id, version=version, state=OrderState.ORDERED, on=writing.today
        )
        move_order(writing, move)
        self._orders[supplier] = order_id

    def receive_short(self, writing: Writing) -> None:
        """Two jugs of eight are still to come, of which one came leaking and went back."""
        fluid, washers = order_view(writing, self._orders["Larkmoor Lubricant Supply"]).lines
        jugs = DeliveryLineTyped(
            item_id=fluid.item_id,
            purchase_line_id=fluid.id,
            packages="6",
            damaged="1",
            lot="KX8-0447",
            best_before=date(writing.today.year + 3, 6, 30),
            note="One jug leaked at the cap and went back with the driver.",
        )
        rest = DeliveryLineTyped(item_id=washers.item_id, purchase_line_id=washers.id, packages="40")
        self._receive(writing, "Larkmoor Lubricant Supply", "LLS-30418", "11.60", jugs, rest)

    def receive_rebuilt(self, writing: Writing) -> None:
        """The rebuilt part comes; its deposit stays out until the old one goes back."""
        (line,) = order_view(writing, self._orders["Hobs Gearbox Parts"]).lines
        part = DeliveryLineTyped(item_id=line.item_id, purchase_line_id=line.id, packages="1")
        self._receive(writing, "Hobs Gearbox Parts", "HGP-5512", "14.00", part)

    def _receive(
        self, writing: Writing, supplier: str, document: str, freight: str, *lines: DeliveryLineTyped
    ) -> None:
        command = self.crew.command(
            ReceiveDelivery,
            supplier_id=self.suppliers[supplier],
            order_id=self._orders[supplier],
            document_no=document,
            freight=freight,
            lines=lines,
        )
        for line in receive_delivery(writing, command).lines:
            self.crew.shelf.stands_at(line.item_id, line.on_hand)

    def open_jugs(self, writing: Writing) -> None:
        """Note that the container poured from next of some fluids was opened."""
        for name in (*COUNTED, SHORT_FLUID):
            box = next(iter(self._boxes(writing, name)))
            command = self.crew.command(
                NoteContainer, container_id=box.id, kind=EventKind.OPENED, on=writing.today
            )
            note_container(writing, command)

    def _boxes(self, writing: Writing, name: str) -> Iterator[ContainerView]:
        item_id = self.crew.shelf.ids[name]
        return (
            box for box in container_views(writing, gone=False) if box.item_id == item_id and box.held > 0
        )

    def walk_the_shelf(self, writing: Writing) -> None:
        """Count two fluids and a washer on a sheet: a little of one fluid and one washer are missing."""
        sheet_id = open_sheet(writing, self.crew.command(OpenSheet, note="Monthly walk")).sheet_id
        lost = {COUNTED[0]: _LOST_ML}
        for name in COUNTED:
            for box in list(self._boxes(writing, name)):
                self._count_fluid(writing, sheet_id, box, lost.pop(name, 0))
        washer_id = self.crew.shelf.ids[WASHER]
        washers = self.crew.command(
            Count,
            item_id=washer_id,
            sheet_id=sheet_id,
            method=CountMethod.WHOLE,
            whole=str(on_hand(writing, washer_id) // 1000 - 1),
            reason="One was dropped into the floor drain.",
        )
        self._note(count(writing, washers).on_hand, washer_id)
        close_sheet(writing, self.crew.command(CloseSheet, sheet_id=sheet_id))

    def _count_fluid(self, writing: Writing, sheet_id: int, box: ContainerView, lost_ml: int) -> None:
        """Type what was read to the 10 mL below; ``lost_ml`` is missing, if there is as much."""
        read_ml = max(0, box.held // 10_000 * 10 - lost_ml)
        command = self.crew.command(
            Count,
            item_id=box.item_id,
            container_id=box.id,
            sheet_id=sheet_id,
            method=CountMethod.SIGHT_GLASS,
            reading=f"{read_ml} mL",
            within="50 mL",
            temperature="68 degF",
            reason="Left in the pump hose when it was changed." if lost_ml else "",
        )
        self._note(count(writing, command).on_hand, box.item_id)

    def _note(self, level: int, item_id: int) -> None:
        self.crew.shelf.stands_at(item_id, level)

    def have_it_hauled(self, writing: Writing) -> None:
        """Have whole gallons of the drum picked up; what is below one stays in it."""
        vessel_id = self.vessels["Used oil drum"]
        gallons = held_ul(writing, vessel_id) // _GALLON_UL
        if gallons == 0:
            return
        command = self.crew.command(
            Haul,
            vessel_id=vessel_id,
            quantity=f"{gallons} gal",
            carrier=CARRIER,
            carrier_id="LM-T-0042 (invented)",
            destination="Re-refinery at Coldwater Mills",
            document_no="UO-0317",
        )
        haul(writing, command)


def furnish_back_room(years: Years, seed: int) -> None:
    """Furnish the back room on the shop's first day and note what is to happen in it."""
    chance = Random(f"{seed} back room")  # noqa: S311 - it makes up a shop, no secret
    crew = replace(years.crew, rng=chance)
    room = BackRoom(crew=crew, today=years.plan.today)
    crew.step("furnish the back room", 0, room.furnish)
    for at, what, deed in (
        (room.when(60, 17, 30), "have used oil hauled", room.have_it_hauled),
        (room.when(17, 8, 10), "order", room.order_what_comes_short),
        (room.when(12, 17, 40), "count", room.walk_the_shelf),
        (room.when(10, 9, 40), "receive short", room.receive_short),
        (room.when(9, 11, 5), "receive a rebuilt part", room.receive_rebuilt),
        (room.when(8, 17, 45), "open containers", room.open_jugs),
        (room.when(3, 16, 55), "order", room.order_for_winter),
    ):
        years.at(at, partial(crew.step, what, 0, deed))
