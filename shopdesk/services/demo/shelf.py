"""The demo shop's catalogue and its deliveries, kept so that work never waits for fluid."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from random import Random
from typing import Any
from uuid import UUID

from shopdesk.domain.numerals import NumberStyle
from shopdesk.services.acting import Actor, Writing
from shopdesk.services.items import SaveItem, save_item
from shopdesk.services.plain import fields_from_plain
from shopdesk.services.stock import Drawn, Receive, receive

MAKER = "Marlstone Blending (invented)"
SCARCE = "Marlstone CVT B"
"""The fluid whose supplier falls behind towards the end, so that it stands below its order mark."""

_FLUIDS = (
    # name, specification, basis, licence, density, price, cost, order at, fill to, package
    ("Marlstone ATF 6", "TX-6", "claims to meet", "", 848, "11.40", "6.10", "16 qt", "60 qt", "1 gal"),
    ("Marlstone ATF 8", "KX-8", "licensed", "LM-8-0031", 845, "13.20", "7.35", "20 qt", "64 qt", "1 gal"),
    ("Marlstone CVT B", "BC-2", "licensed", "LM-B-0107", 852, "14.60", "8.20", "12 qt", "36 qt", "1 qt"),
    ("Marlstone DCT W", "UD-7", "claims to meet", "", 856, "17.80", "9.90", "12 qt", "36 qt", "1 qt"),
    ("Marlstone Gear 75W-85", "UG-4", "suitable for use", "", 868, "12.90", "6.80", "5 qt", "16 qt", "1 qt"),
    ("Marlstone Gear 75W-90", "KX-90", "claims to meet", "", 876, "13.50", "7.10", "12 qt", "40 qt", "1 gal"),
    ("Marlstone Transfer T", "KX-T", "maker's own", "", 850, "15.40", "8.75", "4 qt", "16 qt", "1 qt"),
    ("Marlstone Hybrid Drive", "BH-1", "maker's own", "", 849, "16.90", "9.60", "6 qt", "20 qt", "1 qt"),
)
_PARTS = (
    ("Crush washer 14 x 20 x 1.5", "CW-1420", "1.90", "0.45", "20", "100"),
    ("Crush washer 18 x 24 x 1.5", "CW-1824", "2.10", "0.55", "20", "100"),
    ("Crush washer 22 x 27 x 2", "CW-2227", "2.60", "0.70", "12", "60"),
    ("Pan with filter KX8", "PF-KX8", "138.00", "79.00", "1", "4"),
    ("Filter UD7", "F-UD7", "34.00", "17.50", "1", "4"),
)


def _fluid(row: tuple[Any, ...]) -> dict[str, Any]:
    name, specification, basis, licence, density, price, _cost, order_at, fill_to, package = row
    claim = {"specification": specification, "basis": basis}
    return {
        "name": name,
        "maker": MAKER,
        "package": package,
        "sale_unit": "qt",
        "price": price,
        "density": f"{density} kg/m3",
        "claims": [{**claim, "licence_no": licence} if licence else claim],
        "order_at": order_at,
        "fill_to": fill_to,
    }


def _part(row: tuple[str, ...]) -> dict[str, Any]:
    name, number, price, _cost, order_at, fill_to = row
    return {
        "name": name,
        "kind": "part",
        "part_number": number,
        "package": "1",
        "sale_unit": "each",
        "price": price,
        "order_at": order_at,
        "fill_to": fill_to,
    }


#: Every item as a job file writes it, by name.
ITEMS: Mapping[str, Mapping[str, Any]] = {
    values["name"]: values for values in (*map(_fluid, _FLUIDS), *map(_part, _PARTS))
}
#: What one sale unit costs the shop, in cents.
_COSTS = {row[0]: round(float(row[6]) * 100) for row in _FLUIDS} | {
    row[0]: round(float(row[3]) * 100) for row in _PARTS
}
_QUART_UL = 946_353


@dataclass(kw_only=True)
class Shelf:
    """What the shop believes is on its shelf, in each item's base unit, and when it orders.

    From ``scarce_from`` on, SCARCE comes only in a few quarts at a time.
    """

    actor: Actor
    rng: Random
    scarce_from: datetime
    ids: dict[str, int] = field(default_factory=dict)
    _levels: dict[int, int] = field(default_factory=dict)
    _deliveries: int = 0

    def stock_up(self, writing: Writing) -> None:
        """Put the catalogue up and fill the shelf for the first time."""
        for name, values in ITEMS.items():
            given = fields_from_plain(SaveItem, values)
            command = SaveItem(actor=self.actor, uid=uid_from(self.rng), style=NumberStyle.STRICT, **given)
            self.ids[name] = save_item(writing, command).item_id
            self._deliver(writing, name, _number(name, "fill_to"))

    def restock(self, writing: Writing) -> None:
        """Receive what has fallen to its order mark; the scarce fluid only when it would run out."""
        for name, item_id in self.ids.items():
            mark, full = _number(name, "order_at"), _number(name, "fill_to")
            level = self._levels[item_id] // _base(name)
            if name == SCARCE and writing.now >= self.scarce_from:
                mark, full = 8, 10
            if level <= mark:
                self._deliver(writing, name, full - level)

    def took(self, drawn: tuple[Drawn, ...]) -> None:
        """Note what finished work left on the shelf."""
        for each in drawn:
            self.stands_at(each.item_id, each.left)

    def stands_at(self, item_id: int, level: int) -> None:
        """Note what is on hand of an item after a count or a delivery."""
        self._levels[item_id] = level

    def _deliver(self, writing: Writing, name: str, count: int) -> None:
        self._deliveries += 1
        fluid = _is_fluid(name)
        command = Receive(
            actor=self.actor,
            uid=uid_from(self.rng),
            style=NumberStyle.STRICT,
            item_id=self.ids[name],
            quantity=f"{count} qt" if fluid else str(count),
            cost=f"{_COSTS[name] * count // 100}.{_COSTS[name] * count % 100:02d}",
            lot=f"{writing.today:%y%m}-{self._deliveries}" if fluid else "",
            document_no=f"D-{2000 + self._deliveries}",
            best_before=date(writing.today.year + 3, writing.today.month, 1) if fluid else None,
        )
        self._levels[self.ids[name]] = receive(writing, command).on_hand


def uid_from(rng: Random) -> str:
    """Give an id that follows from the seed."""
    return str(UUID(int=rng.getrandbits(128), version=4))


def _number(name: str, key: str) -> int:
    return int(str(ITEMS[name][key]).split()[0])


def _is_fluid(name: str) -> bool:
    return "kind" not in ITEMS[name]


def _base(name: str) -> int:
    return _QUART_UL if _is_fluid(name) else 1000
