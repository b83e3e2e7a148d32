"""The catalogue: fluids and parts, what they claim to meet, and what they sell for."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import Row, delete, insert, select

from shopdesk.domain import text, units
from shopdesk.domain.errors import Conflict, NotFound, RuleBroken
from shopdesk.domain.expansion import LEAST_DENSITY, MOST_DENSITY
from shopdesk.domain.matching import ClaimBasis as ClaimBasis
from shopdesk.persistence.tables.billing import tax_class
from shopdesk.persistence.tables.stock import item, item_claim
from shopdesk.persistence.tables.units import specification
from shopdesk.services.acting import Command, Office, Reading, Writing
from shopdesk.services.setup import PARTS, class_id_of
from shopdesk.services.sheets import specification_id_of
from shopdesk.services.typed import key_of, under


class ItemKind(StrEnum):
    """What an item is: fluid is kept in microlitres, the others in thousandths of a piece."""

    FLUID = "fluid"
    PART = "part"
    VESSEL = "vessel"


@dataclass(frozen=True, kw_only=True, slots=True)
class Claim:
    """One specification a product is said to suit."""

    specification: str
    basis: ClaimBasis
    licence_no: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveItem(Command):
    """A new item, or new particulars of the item with this name. Quantities and money are text.

    ``package`` is one package: a volume for a fluid ("1 qt"), a count for the rest ("1").
    ``price`` is for one ``sale_unit``: qt, l, gal, ml, or each.
    """

    name: str
    kind: ItemKind = ItemKind.FLUID
    maker: str = ""
    part_number: str = ""
    package: str
    sale_unit: str
    price: str
    tax_class: str = PARTS
    density: str = ""
    claims: tuple[Claim, ...] = ()
    order_at: str = ""
    fill_to: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class EditItem(SaveItem):
    """New particulars, and perhaps another name, of the item that was read at ``version``."""

    item_id: int
    version: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemKept:
    """Which item a command made or changed."""

    item_id: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ItemView:
    """An item; quantities in its base unit (microlitres, or thousandths of a piece), money in minor units."""

    id: int
    version: int
    kind: ItemKind
    name: str
    maker: str
    part_number: str
    density_kg_m3: int | None
    package_quantity: int
    package_text: str
    sale_unit: str
    price_minor: int
    tax_class_id: int
    tax_class: str
    order_at: int | None
    fill_to: int | None
    claims: tuple[Claim, ...]


SALE_UNITS = ("qt", "l", "gal", "ml", "each")


def save_item(writing: Writing, command: SaveItem) -> ItemKept:
    """Keep an item with its claims; an item of the same name gets the new particulars."""
    name = text.required(command.name, field="name", label=_("the item's name"), most=200)
    key = key_of(name, field="name", most=200)
    values = {"name": name, "sort_key": key, **_particulars(writing, command)}
    known = writing.connection.execute(
        select(item.c.id, item.c.kind).where(item.c.sort_key == key)
    ).one_or_none()
    if known is None:
        item_id = writing.add(item, **values)
    else:
        if known.kind != command.kind.value:
            raise RuleBroken(_("An item of this name is already kept as another kind."), "kind")
        item_id = int(known.id)
        writing.change(item, item_id, **values)
    _keep_claims(writing, item_id, command.claims)
    return ItemKept(item_id=item_id)


def edit_item(writing: Writing, command: EditItem) -> ItemKept:
    """Change an item; Conflict when somebody else changed it since it was read."""
    row = writing.one(item, command.item_id, _("That item is not there."))
    if row.version != command.version:
        raise Conflict(_("Somebody else changed this item meanwhile; look at it again."))
    if row.kind != command.kind.value:
        raise RuleBroken(_("What is kept as one kind cannot become another; make a new item."), "kind")
    name = text.required(command.name, field="name", label=_("the item's name"), most=200)
    key = key_of(name, field="name", most=200)
    taken = writing.connection.execute(
        select(item.c.id).where(item.c.sort_key == key, item.c.id != command.item_id)
    ).scalar()
    if taken is not None:
        raise RuleBroken(_("Another item has this name already."), "name")
    writing.change(item, command.item_id, name=name, sort_key=key, **_particulars(writing, command))
    _keep_claims(writing, command.item_id, command.claims)
    return ItemKept(item_id=command.item_id)


def _particulars(writing: Writing, command: SaveItem) -> dict[str, object]:
    typed = writing.typed_here()
    if command.sale_unit not in SALE_UNITS or (command.sale_unit == "each") == (
        command.kind is ItemKind.FLUID
    ):
        sentence = _("A fluid is sold by qt, l, gal or ml; anything else by each.")
        raise RuleBroken(sentence, "sale_unit")
    package = quantity_of(writing, command.kind, command.package, "package")
    if package <= 0:
        raise RuleBroken(_("One package holds more than nothing."), "package")
    density = None
    if command.density.strip():  # volumes at other temperatures follow from it, and only within these bounds
        density = units.read_density(
            command.density, field="density", least=LEAST_DENSITY, most=MOST_DENSITY
        ).value
    marks = {
        field: quantity_of(writing, command.kind, value, field) if value.strip() else None
        for field, value in (("order_at", command.order_at), ("fill_to", command.fill_to))
    }
    return {
        "kind": command.kind.value,
        "maker_text": text.clean(command.maker, field="maker", most=120),
        "part_number": text.clean(command.part_number, field="part_number", most=80),
        "base": "ul" if command.kind is ItemKind.FLUID else "milli_each",
        "density_kg_m3": density,
        "package_quantity": package,
        "package_text": text.clean(command.package, field="package", most=60),
        "sale_unit": command.sale_unit,
        "price_minor": typed.money(command.price, "price"),
        "tax_class_id": class_id_of(writing, command.tax_class, "tax_class"),
        **marks,
    }


def quantity_of(reading: Writing, kind: ItemKind, typed_text: str, field: str) -> int:
    """Read a quantity of an item in its base unit."""
    typed = reading.typed_here()
    if kind is ItemKind.FLUID:
        return typed.volume(typed_text, field).value
    return typed.pieces(typed_text, field)


def _keep_claims(writing: Writing, item_id: int, claims: tuple[Claim, ...]) -> None:
    writing.connection.execute(delete(item_claim).where(item_claim.c.item_id == item_id))
    claimed: set[int] = set()
    for at, claim in enumerate(claims):
        with under(f"claims/{at}"):
            licence = text.clean(claim.licence_no, field="licence_no", most=60)
            if claim.basis is ClaimBasis.LICENSED and not licence:
                raise RuleBroken(_("A licensed product has a license number; write it."), "licence_no")
            specification_id = specification_id_of(writing, claim.specification, "specification")
            if specification_id in claimed:
                raise RuleBroken(_("This specification is claimed twice; keep one of them."), "specification")
            claimed.add(specification_id)
            writing.connection.execute(
                insert(item_claim).values(
                    item_id=item_id,
                    specification_id=specification_id,
                    basis=claim.basis.value,
                    licence_no=licence,
                )
            )


def item_by_name(reading: Reading, name: str, field: str) -> ItemView:
    """Give the item of this name, or refuse naming the field."""
    wanted = text.clean(name, field=field, most=200)
    key = key_of(wanted, field=field, most=200)
    row = reading.connection.execute(select(item).where(item.c.sort_key == key)).one_or_none()
    if row is None:
        raise NotFound(_("There is no item called {name} on the list.").format(name=wanted), field)
    return view_of(reading, row)


def item_view(reading: Reading, item_id: int) -> ItemView:
    """Give one item with its claims."""
    return view_of(reading, reading.one(item, item_id, _("That item is not there.")))


def view_of(reading: Reading, row: Row[tuple[object, ...]]) -> ItemView:
    """Give an item's row with the claims it carries."""
    claims = reading.connection.execute(
        select(specification.c.name, item_claim.c.basis, item_claim.c.licence_no)
        .join(item_claim, item_claim.c.specification_id == specification.c.id)
        .where(item_claim.c.item_id == row.id)
        .order_by(item_claim.c.id)
    )
    return ItemView(
        id=row.id,
        version=row.version,
        kind=ItemKind(row.kind),
        name=row.name,
        maker=row.maker_text,
        part_number=row.part_number,
        density_kg_m3=row.density_kg_m3,
        package_quantity=row.package_quantity,
        package_text=row.package_text,
        sale_unit=row.sale_unit,
        price_minor=row.price_minor,
        tax_class_id=row.tax_class_id,
        tax_class=_class_name(reading, row.tax_class_id),
        order_at=row.order_at,
        fill_to=row.fill_to,
        claims=tuple(
            Claim(specification=c.name, basis=ClaimBasis(c.basis), licence_no=c.licence_no) for c in claims
        ),
    )


def _class_name(reading: Reading, class_id: int) -> str:
    return str(
        reading.connection.execute(select(tax_class.c.name).where(tax_class.c.id == class_id)).scalar_one()
    )


class Items:
    """The room where the catalogue is kept."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save(self, command: SaveItem) -> ItemKept:
        """Keep an item or its new particulars."""
        return self._office.carry_out(command, lambda writing: save_item(writing, command), ItemKept)

    def edit(self, command: EditItem) -> ItemKept:
        """Change an item's particulars."""
        return self._office.carry_out(command, lambda writing: edit_item(writing, command), ItemKept)

    def item(self, item_id: int) -> ItemView:
        """Give one item with its claims."""
        with self._office.reading() as reading:
            return item_view(reading, item_id)

    def all(self, kind: ItemKind | None = None) -> Sequence[ItemView]:
        """Give the items of one kind, or all, by name."""
        query = select(item).where(item.c.active).order_by(item.c.sort_key)
        if kind is not None:
            query = query.where(item.c.kind == kind.value)
        with self._office.reading() as reading:
            rows = reading.connection.execute(query).all()
            return tuple(view_of(reading, row) for row in rows)
