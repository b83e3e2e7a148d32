"""An item's texts: from what is kept to the fields of a form, and back to a command."""

import re
from collections.abc import Callable, Mapping
from gettext import gettext as _

from shopdesk.domain import units
from shopdesk.domain.expansion import LEAST_DENSITY, MOST_DENSITY
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.items import (
    SALE_UNITS,
    Claim,
    ClaimBasis,
    EditItem,
    ItemKind,
    ItemView,
    SaveItem,
)
from shopdesk.services.setup import FEES, LABOUR, PARTS, UNTAXED
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.exact import exact_pieces, exact_volume, plain_money
from shopdesk.ui.presenters.shelf import base_of

_CLAIM = re.compile(r"claims/(\d+)/")
LEAST_CLAIMS = 1
MOST_CLAIMS = 24

_KINDS = {
    ItemKind.FLUID: lambda: _("Fluid"),
    ItemKind.PART: lambda: _("Part"),
    ItemKind.VESSEL: lambda: _("Vessel"),
}
_CLASSES = {
    PARTS: lambda: _("Parts and fluids"),
    LABOUR: lambda: _("Labor"),
    FEES: lambda: _("Fees"),
    UNTAXED: lambda: _("Not taxed"),
}
_BASES = {
    ClaimBasis.MAKERS_OWN: lambda: _("The vehicle maker's own"),
    ClaimBasis.LICENSED: lambda: _("Licensed"),
    ClaimBasis.CLAIMS: lambda: _("Claims to meet it"),
    ClaimBasis.SUITABLE: lambda: _("Said to be suitable"),
}


def kind_words(kind: ItemKind) -> str:
    """Name a kind of item."""
    return _KINDS[kind]()


def kind_choices() -> list[tuple[str, str]]:
    """Give the kinds of item as key and words."""
    return [(kind.value, kind_words(kind)) for kind in ItemKind]


def class_words(name: str) -> str:
    """Name a tax class in the reader's language; a class of the shop's own keeps its name."""
    return _CLASSES[name]() if name in _CLASSES else name


def class_choices() -> list[tuple[str, str]]:
    """Give the tax classes as key and words."""
    return [(name, class_words(name)) for name in _CLASSES]


def basis_choices() -> list[tuple[str, str]]:
    """Give the grounds of a claim as key and words, strongest first."""
    return [(basis.value, _BASES[basis]()) for basis in ClaimBasis]


def sale_unit_choices(kind: ItemKind) -> list[tuple[str, str]]:
    """Give the units in which a kind of item is sold."""
    if kind is not ItemKind.FLUID:
        return [("each", _("each"))]
    return [(unit, shown_unit(unit)) for unit in SALE_UNITS if unit != "each"]


def claim_field(at: int, what: str) -> str:
    """Name the field of a claim as a refusal does."""
    return f"claims/{at}/{what}"


def claims_in(texts: Mapping[str, str]) -> int:
    """Say how many rows of claims these texts need."""
    found = [int(match[1]) for name, text in texts.items() if text and (match := _CLAIM.match(name))]
    return min(MOST_CLAIMS, max(found, default=-1) + 1)


def item_texts(goods: ItemView, shop: ShopFacts) -> dict[str, str]:
    """Give the texts of a form that shows an item; reading them again gives what is kept."""
    amount: Callable[[int | None], str] = (
        (lambda ul: exact_volume(ul, shop)) if goods.kind is ItemKind.FLUID else exact_pieces
    )
    texts = {
        "name": goods.name,
        "kind": goods.kind.value,
        "maker": goods.maker,
        "part_number": goods.part_number,
        "package": goods.package_text,
        "sale_unit": goods.sale_unit,
        "price": plain_money(goods.price_minor, shop.currency.digits),
        "tax_class": goods.tax_class,
        "density": "" if goods.density_kg_m3 is None else f"{goods.density_kg_m3} kg/m3",
        "order_at": amount(goods.order_at),
        "fill_to": amount(goods.fill_to),
    }
    for at, claim in enumerate(goods.claims):
        texts[claim_field(at, "specification")] = claim.specification
        texts[claim_field(at, "basis")] = claim.basis.value
        texts[claim_field(at, "licence_no")] = claim.licence_no
    return texts


def usual_texts(shop: ShopFacts, name: str = "") -> dict[str, str]:
    """Give the texts a new item begins with."""
    return {
        "name": name,
        "kind": ItemKind.FLUID.value,
        "package": usual_package(shop, ItemKind.FLUID),
        "sale_unit": shop.volume_unit,
        "tax_class": PARTS,
    }


def usual_package(shop: ShopFacts, kind: ItemKind) -> str:
    """Give the package a new item of a kind begins with."""
    if kind is not ItemKind.FLUID:
        return "1"
    return "1 qt" if shop.volume_unit == "qt" else "1 L"


def claims_of(texts: Mapping[str, str]) -> tuple[tuple[Claim, ...], tuple[int, ...]]:
    """Give the claims that were typed, and in which row of the form each of them stands."""
    claims, rows = [], []
    for at in range(claims_in(texts)):
        name = texts.get(claim_field(at, "specification"), "")
        licence = texts.get(claim_field(at, "licence_no"), "")
        if not name.strip() and not licence.strip():
            continue
        basis = ClaimBasis(texts.get(claim_field(at, "basis")) or ClaimBasis.CLAIMS)
        claims.append(Claim(specification=name, basis=basis, licence_no=licence))
        rows.append(at)
    return tuple(claims), tuple(rows)


def field_of_refusal(path: str, rows: tuple[int, ...]) -> str:
    """Give the form's field a refusal is about: the second claim sent may stand in the third row."""
    found = _CLAIM.match(path.strip("/"))
    if found is None or int(found[1]) >= len(rows):
        return path
    return claim_field(rows[int(found[1])], path.rsplit("/", 1)[-1])


def item_command(texts: Mapping[str, str], actor: Actor, uid: str, goods: ItemView | None) -> SaveItem:
    """Give the command that keeps a new item, or the new particulars of ``goods``."""
    given = {
        "actor": actor,
        "uid": uid,
        "name": texts["name"],
        "kind": ItemKind(texts["kind"]),
        "maker": texts["maker"],
        "part_number": texts["part_number"],
        "package": texts["package"],
        "sale_unit": texts["sale_unit"],
        "price": texts["price"],
        "tax_class": texts["tax_class"],
        "density": texts["density"] if texts["kind"] == ItemKind.FLUID else "",
        "claims": claims_of(texts)[0] if texts["kind"] == ItemKind.FLUID else (),
        "order_at": texts["order_at"],
        "fill_to": texts["fill_to"],
    }
    if goods is None:
        return SaveItem(**given)  # type: ignore[arg-type]
    return EditItem(**given, item_id=goods.id, version=goods.version)  # type: ignore[arg-type]


def amount_reader(figures: Figures, kind: Callable[[], ItemKind], field: str) -> Callable[[str], str]:
    """Give what reads a package or a mark while it is typed."""

    def read(text: str) -> str:
        typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
        if kind() is ItemKind.FLUID:
            return figures.volume_both(typed.volume(text, field).value)
        return figures.stock(base_of(kind()), typed.pieces(text, field))

    return read


def price_reader(figures: Figures, unit: Callable[[], str]) -> Callable[[str], str]:
    """Give what reads a price while it is typed."""

    def read(text: str) -> str:
        typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
        money = figures.money(typed.money(text, "price"))
        if unit() == "each":
            return _("{money} each").format(money=money)
        return _("{money} a {unit}").format(money=money, unit=shown_unit(unit()))

    return read


def density_reader(text: str) -> str:
    """Read a density while it is typed."""
    read = units.read_density(text, field="density", least=LEAST_DENSITY, most=MOST_DENSITY)
    return _("{value} kg/m³ at 15 °C").format(value=read.value)


def price_words(goods: ItemView, figures: Figures) -> str:
    """Say what one sale unit is sold for."""
    return price_reader(figures, lambda: goods.sale_unit)(
        plain_money(goods.price_minor, figures.shop.currency.digits)
    )


def particulars(goods: ItemView, figures: Figures) -> list[tuple[str, str]]:
    """Give what is known of an item, as names and values."""
    base = base_of(goods.kind)

    def mark(quantity: int | None) -> str:
        return "" if quantity is None else figures.stock(base, quantity)

    density = "" if goods.density_kg_m3 is None else density_reader(f"{goods.density_kg_m3} kg/m3")
    return [
        (_("Kind"), kind_words(goods.kind)),
        (_("Maker"), goods.maker),
        (_("Part number"), goods.part_number),
        (_("Package"), goods.package_text),
        (_("Price"), price_words(goods, figures)),
        (_("Taxed as"), class_words(goods.tax_class)),
        (_("Density"), density),
        (_("Order at"), mark(goods.order_at)),
        (_("Fill up to"), mark(goods.fill_to)),
    ]


def claim_line(claim: Claim) -> str:
    """Say what a product is said to suit, on what ground, and by which licence."""
    words = f"{_BASES[claim.basis]()}"
    return f"{words}, {claim.licence_no}" if claim.licence_no else words
