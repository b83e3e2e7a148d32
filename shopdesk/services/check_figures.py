"""Whether figures that follow from others still do: invoices, payments, stock, numbers, due dates, index."""

import json
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from gettext import gettext as _
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.sql.functions import coalesce

from shopdesk.persistence import canonical, search
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.billing import (
    invoice,
    invoice_line,
    number_series,
    payment,
    payment_part,
)
from shopdesk.persistence.tables.service import next_due
from shopdesk.persistence.tables.stock import stock_move
from shopdesk.persistence.tables.units import unit
from shopdesk.services.acting import AnyRow, Office, Reading
from shopdesk.services.checking import Report, pages
from shopdesk.services.duedates import due_row, work_out_due
from shopdesk.services.findable import SUBJECTS, documents_of
from shopdesk.services.finding import strays


def check_invoices(office: Office, report: Report) -> None:
    """Lines add up to the invoice, and the frozen paper says the same as its row and lines."""
    for reading, rows in pages(office, invoice):
        lines = _lines_by_invoice(reading, rows)
        for row in rows:
            for sentence in _invoice_faults(row, lines.get(row.id, [])):
                report.say("invoice", row.id, sentence)
        report.looked_at["invoices"] += len(rows)


def _lines_by_invoice(reading: Reading, invoices: Sequence[AnyRow]) -> dict[int, list[AnyRow]]:
    found: dict[int, list[AnyRow]] = {}
    for line in reading.connection.execute(
        select(invoice_line)
        .where(invoice_line.c.invoice_id.in_([row.id for row in invoices]))
        .order_by(invoice_line.c.invoice_id, invoice_line.c.position)
    ):
        found.setdefault(line.invoice_id, []).append(line)
    return found


def _invoice_faults(row: AnyRow, lines: Sequence[AnyRow]) -> Iterable[str]:
    if sum(line.net_minor for line in lines) != row.net_minor:
        yield _("Its lines do not add up to its sum before tax.")
    if sum(line.tax_minor for line in lines) != row.tax_minor:
        yield _("The tax of its lines does not add up to its tax.")
    if row.net_minor + row.tax_minor != row.total_minor:
        yield _("Its total is not the sum before tax and the tax together.")
    if canonical.sha256_text(row.snapshot) != row.sha:
        yield _("What the invoice froze does not fit its hash.")
    if _of_paper(row.snapshot) != _of_rows(row, lines):
        yield _("Its frozen paper says other figures than the invoice and its lines.")


def _of_rows(row: AnyRow, lines: Sequence[AnyRow]) -> tuple[object, ...]:
    sums = (row.net_minor, row.tax_minor, row.total_minor)
    return str(row.number), row.currency, *sums, [_of_line(line) for line in lines]


def _of_line(line: AnyRow) -> tuple[str, int, int]:
    return line.text, line.unit_price_minor, line.net_minor


def _of_paper(snapshot: str) -> tuple[object, ...] | None:
    """Read the figures off a frozen invoice; None when it is none."""
    try:
        content: Mapping[str, Any] = json.loads(snapshot)
        tax = sum(_minor(each["amount"]) for each in content["taxes"])
        sums = (_minor(content["net"]), tax, _minor(content["total"]))
        lines = [
            (line["text"], _minor(line["unit_price"]), _minor(line["amount"])) for line in content["lines"]
        ]
        return content["number"], content["currency"], *sums, lines
    except (ValueError, KeyError, TypeError):
        return None


def _minor(amount: str) -> int:
    """Read an amount as printed: every digit counts, whatever stands between them in that language."""
    digits = "".join(str(unicodedata.decimal(each)) for each in amount if each.isdecimal())
    return -int(digits) if "-" in amount or "\N{MINUS SIGN}" in amount else int(digits)


def check_payments(office: Office, report: Report) -> None:
    """What a payment was for adds up to the payment."""
    parts = (
        select(payment_part.c.payment_id, int_sum(payment_part.c.amount_minor).label("amount_minor"))
        .group_by(payment_part.c.payment_id)
        .subquery()
    )
    wrong = (
        select(payment.c.id)
        .outerjoin(parts, parts.c.payment_id == payment.c.id)
        .where(coalesce(parts.c.amount_minor, 0) != payment.c.amount_minor)
        .order_by(payment.c.id)
    )
    with office.reading() as reading:
        for payment_id in reading.connection.execute(wrong).scalars():
            report.say("payment", payment_id, _("What it was for does not add up to the payment."))


def check_stock(office: Office, report: Report) -> None:
    """No layer gave more than it held, and the cost that came in is what went out and what is left.

    Layers less shortages not yet covered are what is on hand, and no shortage waits beside a layer.
    """
    with office.reading() as reading:
        layers = _layers(reading)
        costs = _costs(reading)
        short = _shortages(reading)
        held = _held(reading)
    left: dict[int, tuple[int, int]] = {}
    for layer in layers:
        quantity, cost_minor = left.get(layer.item_id, (0, 0))
        left[layer.item_id] = quantity + layer.quantity, cost_minor + layer.cost_minor
        if layer.quantity < 0:
            report.say("stock_move", layer.id, _("More was taken from this delivery than it held."))
        if layer.strangers:
            report.say("stock_move", layer.id, _("Moves of other items are taken from this delivery."))
    for row in short:
        if row.quantity < 0:
            report.say("stock_move", row.id, _("More was made good than this move was short of."))
    for item_id, cost_minor in costs.items():
        quantity_left, cost_left = left.get(item_id, (0, 0))
        missing = sum(row.quantity for row in short if row.item_id == item_id)
        if quantity_left - missing != held[item_id]:
            report.say("item", item_id, _("Its deliveries less what is short are not what is on hand."))
        if missing > 0 and quantity_left > 0:
            report.say("item", item_id, _("A shortage was not covered by what came in after it."))
        if cost_left != cost_minor:
            report.say("item", item_id, _("The cost that came in is not what went out and what is left."))
        if quantity_left == 0 and cost_left != 0:
            report.say("item", item_id, _("Nothing is left of its deliveries, but cost is."))
    report.looked_at["layers"] += len(layers)


def _layers(reading: Reading) -> Sequence[AnyRow]:
    """Give every delivery with what its takes left of it, and how many takes are of another item."""
    take = stock_move.alias("take")
    taken = (
        select(
            take.c.layer_move_id,
            int_sum(take.c.quantity).label("quantity"),
            int_sum(take.c.cost_minor).label("cost_minor"),
            func.min(take.c.item_id).label("lowest"),
            func.max(take.c.item_id).label("highest"),
        )
        .where(take.c.layer_move_id.is_not(None))
        .group_by(take.c.layer_move_id)
        .subquery("taken")
    )
    mine = stock_move.c.item_id
    strangers = (taken.c.lowest != mine) | (taken.c.highest != mine)
    return reading.connection.execute(
        select(
            stock_move.c.id,
            stock_move.c.item_id,
            (stock_move.c.quantity + coalesce(taken.c.quantity, 0)).label("quantity"),
            (stock_move.c.cost_minor + coalesce(taken.c.cost_minor, 0)).label("cost_minor"),
            coalesce(strangers, False).label("strangers"),
        )
        .outerjoin(taken, taken.c.layer_move_id == stock_move.c.id)
        .where(stock_move.c.layer_move_id.is_(None), stock_move.c.quantity > 0)
        .order_by(stock_move.c.id)
    ).all()


def _shortages(reading: Reading) -> Sequence[AnyRow]:
    """Give every move that took more than was held, with what no later row made good."""
    cover = stock_move.alias("cover")
    covered = (
        select(cover.c.layer_move_id, int_sum(cover.c.quantity).label("quantity"))
        .where(cover.c.layer_move_id.is_not(None))
        .group_by(cover.c.layer_move_id)
        .subquery("covered")
    )
    left = (-stock_move.c.quantity - coalesce(covered.c.quantity, 0)).label("quantity")
    columns: list[Any] = [stock_move.c.id, stock_move.c.item_id, left]
    return reading.connection.execute(
        select(*columns)
        .outerjoin(covered, covered.c.layer_move_id == stock_move.c.id)
        .where(stock_move.c.layer_move_id.is_(None), stock_move.c.quantity < 0)
        .order_by(stock_move.c.id)
    ).all()


def _held(reading: Reading) -> dict[int, int]:
    """Give what is on hand of each item."""
    rows = reading.connection.execute(
        select(stock_move.c.item_id, int_sum(stock_move.c.quantity).label("quantity")).group_by(
            stock_move.c.item_id
        )
    )
    return {row.item_id: int(row.quantity) for row in rows}


def _costs(reading: Reading) -> dict[int, int]:
    """Give what all moves of each item cost together: in less out."""
    rows = reading.connection.execute(
        select(stock_move.c.item_id, int_sum(stock_move.c.cost_minor).label("cost_minor"))
        .group_by(stock_move.c.item_id)
        .order_by(stock_move.c.item_id)
    )
    return {row.item_id: int(row.cost_minor) for row in rows}


def check_numbers(office: Office, report: Report) -> None:
    """Invoice numbers follow one another without a gap, up to the next one to be taken."""
    before = func.lag(invoice.c.number).over(partition_by=invoice.c.series, order_by=invoice.c.number)
    numbered = select(invoice.c.id, invoice.c.number, before.label("before")).subquery("numbered")
    gaps = select(numbered).where(numbered.c.number != numbered.c.before + 1).order_by(numbered.c.number)
    last = (
        select(invoice.c.series, func.max(invoice.c.number).label("number"), number_series.c.next_number)
        .outerjoin(number_series, number_series.c.name == invoice.c.series)
        .group_by(invoice.c.series, number_series.c.next_number)
    )
    with office.reading() as reading:
        for row in reading.connection.execute(gaps):
            sentence = _("Between the numbers {before} and {number} there is a gap.")
            report.say("invoice", row.id, sentence.format(before=row.before, number=row.number))
        for row in reading.connection.execute(last):
            if row.next_number != row.number + 1:
                sentence = _("The last number of {series} is {number}, but {next} comes next.")
                words = {"series": row.series, "number": row.number, "next": row.next_number}
                report.say("number_series", 0, sentence.format(**words))


def check_due(office: Office, report: Report) -> None:
    """Every kept next due is what follows from the facts now; units that left their vehicle rest."""
    for reading, rows in pages(office, unit, page=50):
        kept: dict[int, list[dict[str, Any]]] = {row.id: [] for row in rows}
        for due in reading.connection.execute(select(next_due).where(next_due.c.unit_id.in_(kept))):
            kept[due.unit_id].append(dict(due._mapping))
        for row in rows:
            if row.removed_on is None:
                worked_out = work_out_due(reading, row.id)
                if kept[row.id] != ([due_row(worked_out)] if worked_out else []):
                    report.say("next_due", row.id, _("The kept next due is not what the facts say."))
        report.looked_at["units"] += len(rows)


def check_index(office: Office, report: Report) -> None:
    """What can be found is what would be indexed now."""
    wrong = _("What can be found of it is not what is kept; make the index again.")
    for kind, table in SUBJECTS.items():
        for reading, rows in pages(office, table):
            ids = [row.id for row in rows]
            made = documents_of(reading.connection, kind, ids)
            for subject_id in search.differing(reading.connection, kind.value, ids, made):
                report.say(table.name, subject_id, wrong)
            report.looked_at["documents"] += len(made)
        with office.reading() as reading:
            for subject_id in reading.connection.execute(strays(kind)).scalars():
                report.say(table.name, subject_id, wrong)
