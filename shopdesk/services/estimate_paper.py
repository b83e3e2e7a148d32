"""Fills the estimate from a frozen revision and the consents recorded so far."""

import json
from gettext import gettext as _

from shopdesk.documents.estimate import EstimatePaper
from shopdesk.persistence.tables.work import estimate
from shopdesk.services.acting import Reading
from shopdesk.services.figures import Figures
from shopdesk.services.lines import PricedWork
from shopdesk.services.paper_parts import consents, party, price_lines, shop_head, subtotals, vehicle_block
from shopdesk.services.plain import from_plain
from shopdesk.services.work import the_work_order


def estimate_paper(reading: Reading, estimate_id: int) -> EstimatePaper:
    """Give an estimate revision's content. Sales tax is left to the invoice, as estimates are net."""
    row = reading.one(estimate, estimate_id, _("That estimate is not there."))
    order = the_work_order(reading, row.work_order_id)
    work = from_plain(PricedWork, json.loads(row.snapshot))
    figures = Figures(reading.shop)
    net = figures.money(row.net_minor)
    return EstimatePaper(
        shop=shop_head(reading.shop),
        number=str(order.number),
        work_order=str(order.number),
        revision=str(row.revision),
        date=figures.day_of(row.at_utc),
        time=figures.clock(row.at_utc),
        customer=party(reading, order.customer_id),
        vehicle=vehicle_block(reading, order),
        asked=order.complaint,
        po_number=order.po_number,
        promised=figures.stamp(order.promised_at) if order.promised_at else "",
        valid_until=figures.day(row.valid_until) if row.valid_until else "",
        replaced_parts=_(order.parts_choice) if order.parts_choice else "",
        lines=price_lines(figures, work.lines),
        subtotals=subtotals(figures, work.totals),
        net=net,
        authorise_up_to=net,
        authorisations=consents(reading, order.id),
        warranty=reading.shop.warranty_text,
    )
