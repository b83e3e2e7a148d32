"""What several papers share: the shop's head, the customer, the vehicle, prices, consents, fluids.

Everything becomes text here, with its unit; papers only lay out.
"""

from collections.abc import Iterable
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.documents.facts import (
    Authorisation,
    FluidUsed,
    Party,
    PriceLine,
    ShopHead,
    SumLine,
    VehicleBlock,
)
from shopdesk.domain.matching import RuleOf
from shopdesk.domain.pricing import LineKind, Totals
from shopdesk.domain.record import Facts
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.customers import address, contact, customer
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.stock import container, stock_move
from shopdesk.persistence.tables.vehicles import odometer_reading, vehicle
from shopdesk.persistence.tables.work import consent
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.items import item_view
from shopdesk.services.lines import LineRow
from shopdesk.services.matching import kept_match
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.vehicles import vehicle_words

LINE_KIND_WORDS = {
    LineKind.LABOUR: N_("Labor"),
    LineKind.FLUID: N_("Fluid"),
    LineKind.PART: N_("Part"),
    LineKind.FEE: N_("Fee"),
    LineKind.DISCOUNT: N_("Discount"),
    LineKind.SUBLET: N_("Sublet work"),
}


def _text_lines(text: str) -> tuple[str, ...]:
    return tuple(line for line in text.split("\n") if line.strip())


def shop_head(shop: ShopFacts) -> ShopHead:
    """Give who issues the paper."""
    return ShopHead(
        name=shop.name,
        address=_text_lines(shop.address),
        phone=shop.phone,
        email=shop.email,
        registrations=_text_lines(shop.registration_text),
    )


def party(reading: Reading, customer_id: int) -> Party:
    """Give a customer with address and ways to reach them."""
    name = reading.one(customer, customer_id, _("That customer is not there.")).name
    places = reading.connection.execute(
        select(address.c.lines).where(address.c.customer_id == customer_id).order_by(address.c.position)
    ).scalars()
    ways = reading.connection.execute(
        select(contact.c.typed)
        .where(contact.c.customer_id == customer_id)
        .order_by(contact.c.kind.desc(), contact.c.position)
    ).scalars()
    return Party(
        name=name, lines=tuple(line for place in places for line in _text_lines(place)) + tuple(ways)
    )


def vehicle_block(reading: Reading, order: AnyRow, unit_label: str = "") -> VehicleBlock:
    """Give the vehicle of a work order as it stands on a paper."""
    row = reading.one(vehicle, order.vehicle_id, _("That vehicle is not there."))
    return VehicleBlock(
        description=vehicle_words(row),
        plate=" ".join(part for part in (row.plate, row.plate_place) if part),
        vin=row.vin,
        unit=unit_label,
        odometer_in=odometer_words(reading, order.odometer_in_id, row.odometer_unit),
    )


def odometer_words(reading: Reading, odometer_id: int | None, unit: str) -> str:
    """Give an odometer reading with its unit and any doubt, empty when there is none."""
    if odometer_id is None:
        return ""
    row = reading.one(odometer_reading, odometer_id, _("That reading is not there."))
    words = [Figures(reading.shop).distance(row.value_tenths, unit)]
    if row.source != "read":
        words.append(_(row.source))
    if row.doubt:
        words.append(_("doubtful: {reason}").format(reason=row.reason))
    if not row.actual:
        words.append(_("not the actual distance"))
    return ", ".join(words)


def price_lines(figures: Figures, lines: Iterable[LineRow]) -> tuple[PriceLine, ...]:
    """Give the lines as they print; amounts in the currency named once on the paper."""
    return tuple(
        PriceLine(
            kind=_(LINE_KIND_WORDS[line.kind]),
            text=line.text,
            condition=_(line.condition) if line.condition else "",
            quantity=figures.pieces(line.quantity_milli),
            unit=shown_unit(line.quantity_unit),
            unit_price=figures.money(line.unit_price_minor, sign=False),
            amount=figures.money(line.net_minor, sign=False),
            detail=_detail(figures, line),
        )
        for line in lines
    )


def _detail(figures: Figures, line: LineRow) -> tuple[str, ...]:
    if not line.discount_minor:
        return ()
    return (_("less discount {amount}").format(amount=figures.money(line.discount_minor)),)


def subtotals(figures: Figures, totals: Totals) -> tuple[SumLine, ...]:
    """Give labour, parts with fluids, and other, each where there is some."""
    named = (
        (_("Labor"), totals.labour_minor),
        (_("Parts and fluids"), totals.parts_minor),
        (_("Other"), totals.other_minor),
    )
    return tuple(
        SumLine(label=label, amount=figures.money(minor, sign=False)) for label, minor in named if minor
    )


def consents(reading: Reading, work_order_id: int) -> tuple[Authorisation, ...]:
    """Give every consent to a work order, word for word, in the order they were given."""
    figures = Figures(reading.shop)
    rows = reading.connection.execute(
        select(consent, person.c.name.label("taken_by"))
        .join(person, person.c.id == consent.c.person_id)
        .where(consent.c.work_order_id == work_order_id)
        .order_by(consent.c.id)
    )
    return tuple(
        Authorisation(
            who=row.person_text,
            when=figures.stamp(row.given_at),
            how=_(row.how),
            words=row.said_text,
            up_to=figures.money(row.up_to_minor),
            relation=row.relation,
            contact=row.reached_at,
            taken_by=row.taken_by,
        )
        for row in rows
    )


def fluid_used(reading: Reading, view: RecordView) -> FluidUsed | None:
    """Give what identifies the fluid that was put in, or None when none was."""
    put_in = Facts(each.entry for each in view.entries).used_ul()
    if view.item_id is None or not put_in:
        return None
    goods = item_view(reading, view.item_id)
    return FluidUsed(
        product=goods.name,
        maker=goods.maker,
        kind=view.sheet.specification,
        claim=claim_words(reading, view),
        quantity=Figures(reading.shop).volume_both(put_in),
        lot=", ".join(lots(reading, view.record_id)),
    )


def claim_words(reading: Reading, view: RecordView) -> str:
    """Say on what ground the fluid suits the unit, or that its maker claims nothing for it."""
    if view.item_id is None:
        return ""
    for claim in item_view(reading, view.item_id).claims:
        if claim.specification == view.sheet.specification:
            words = f"{_(claim.basis)}: {claim.specification}"
            words = f"{words} ({claim.licence_no})" if claim.licence_no else words
            return words + _accepted(reading, view)
    return _("no claim on record for {specification}").format(specification=view.sheet.specification)


def _accepted(reading: Reading, view: RecordView) -> str:
    """Say that the customer's own rule let it in, where it did."""
    kept = kept_match(reading, view.record_id)
    if kept is None or kept.item_id != view.item_id or kept.rule_of is not RuleOf.CUSTOMER:
        return ""
    return ". " + _("The customer accepts: {rule}").format(rule=_(kept.rule))


def lots(reading: Reading, record_id: int) -> tuple[str, ...]:
    """Give the lots a record's fluid came from."""
    return tuple(
        reading.connection.execute(
            select(container.c.lot)
            .join(stock_move, stock_move.c.container_id == container.c.id)
            .where(stock_move.c.record_id == record_id, container.c.lot != "")
            .distinct()
            .order_by(container.c.lot)
        ).scalars()
    )
