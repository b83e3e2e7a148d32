"""Whether deliveries and counts say what the ledger's moves for them say."""

from collections.abc import Sequence
from gettext import gettext as _
from typing import Any

from sqlalchemy import select
from sqlalchemy.sql.functions import coalesce

from shopdesk.domain.stock import MoveKind
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.buying import delivery_line
from shopdesk.persistence.tables.shelf import count_line
from shopdesk.persistence.tables.stock import stock_move
from shopdesk.services.acting import Office
from shopdesk.services.checking import Report


def check_deliveries(office: Office, report: Report) -> None:
    """What a delivered line accepted, with its freight, is what its moves brought onto the shelf."""
    moved = (
        select(
            stock_move.c.group_uid,
            int_sum(stock_move.c.quantity).label("quantity"),
            int_sum(stock_move.c.cost_minor).label("cost_minor"),
        )
        .where(stock_move.c.kind == MoveKind.RECEIVE.value)
        .group_by(stock_move.c.group_uid)
        .subquery("moved")
    )
    wrong = (
        select(delivery_line.c.id)
        .outerjoin(moved, moved.c.group_uid == delivery_line.c.group_uid)
        .where(
            (coalesce(moved.c.quantity, 0) != delivery_line.c.quantity)
            | (
                (delivery_line.c.quantity > 0)
                & (moved.c.cost_minor != delivery_line.c.goods_minor + delivery_line.c.freight_minor)
            )
        )
        .order_by(delivery_line.c.id)
    )
    with office.reading() as reading:
        for line_id in reading.connection.execute(wrong).scalars():
            report.say("delivery_line", line_id, _("Its moves brought in something else than it says."))


def check_counts(office: Office, report: Report) -> None:
    """The difference of every count is what was booked for it."""
    moved = (
        select(stock_move.c.group_uid, int_sum(stock_move.c.quantity).label("quantity"))
        .where(stock_move.c.kind == MoveKind.COUNT.value)
        .group_by(stock_move.c.group_uid)
        .subquery("moved")
    )
    wrong = (
        select(count_line.c.id)
        .outerjoin(moved, moved.c.group_uid == count_line.c.group_uid)
        .where(coalesce(moved.c.quantity, 0) != count_line.c.counted - count_line.c.expected)
        .order_by(count_line.c.id)
    )
    with office.reading() as reading:
        lines: Sequence[Any] = reading.connection.execute(wrong).scalars().all()
    for line_id in lines:
        report.say("count_line", line_id, _("Another difference was booked than was counted."))
