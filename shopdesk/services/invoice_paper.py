"""Fills the invoice: frozen text from the work order, its lines, consents and fluids."""

from gettext import gettext as _

from shopdesk.documents.invoice import InvoicePaper, TaxLine
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.bay import record_view, records_of
from shopdesk.services.figures import Figures
from shopdesk.services.lines import PricedWork
from shopdesk.services.paper_parts import (
    consents,
    fluid_used,
    party,
    price_lines,
    shop_head,
    subtotals,
    vehicle_block,
)


def invoice_paper(reading: Reading, order: AnyRow, work: PricedWork, number: int) -> InvoicePaper:
    """Give the invoice's content as it will print for as long as it is kept."""
    shop = reading.shop
    figures = Figures(shop)
    views = [record_view(reading, record_id) for record_id in records_of(reading, order.id)]
    fluids = [fluid_used(reading, view) for view in views]
    totals = work.totals
    return InvoicePaper(
        shop=shop_head(shop),
        number=str(number),
        issued_on=figures.day(reading.today),
        work_done_on=", ".join(dict.fromkeys(figures.day(view.done_on) for view in views)),
        customer=party(reading, order.customer_id),
        vehicle=vehicle_block(reading, order, ", ".join(view.unit_label for view in views)),
        work_order=str(order.number),
        po_number=order.po_number,
        replaced_parts=_(order.parts_choice) if order.parts_choice else "",
        lines=price_lines(figures, work.lines),
        subtotals=subtotals(figures, totals),
        net=figures.money(totals.net_minor, sign=False),
        taxes=tuple(
            TaxLine(
                label=f"{total.rate.name} {figures.rate(total.rate.rate_ppm)}",
                base=figures.money(total.base_minor, sign=False),
                amount=figures.money(total.tax_minor, sign=False),
            )
            for total in totals.by_rate
        ),
        total=figures.money(totals.total_minor, sign=False),
        balance=figures.money(totals.total_minor, sign=False),
        currency=shop.currency.code,
        fluids=tuple(fluid for fluid in fluids if fluid is not None),
        authorisations=consents(reading, order.id),
        notes=_notes(figures, order),
        warranty=shop.warranty_text,
        qr_text=_("{shop}: invoice {number} of {day}, total {total} {currency}").format(
            shop=shop.name,
            number=number,
            day=reading.today.isoformat(),
            total=figures.money(totals.total_minor, sign=False),
            currency=shop.currency.code,
        ),
    )


def _notes(figures: Figures, order: AnyRow) -> tuple[str, ...]:
    if not order.wheel_off or order.wheel_torque_mnm is None:
        return ()
    sentence = _(
        "A wheel was off; its nuts were set to {torque}. "
        "Have them checked again after 50 to 100 mi (80 to 160 km)."
    )
    return (sentence.format(torque=figures.torque(order.wheel_torque_mnm)),)
