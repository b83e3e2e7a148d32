"""The purchase order: whole packages, with the supplier's own codes."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.documents import blocks
from shopdesk.documents.facts import Party, ShopHead, SumLine, TextBlock
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import Words, gap, row, split
from shopdesk.documents.stock import PaperSize
from shopdesk.documents.theme import LABEL, SMALL_GAP, STRONG


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderPaperLine:
    """One line: so many packages of an item at a price for one."""

    item: str
    codes: str
    packages: str
    package: str
    price: str
    amount: str
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class OrderPaper:
    """An order as it goes to the supplier; sums as text."""

    shop: ShopHead
    number: str
    date: str
    supplier: Party
    lines: tuple[OrderPaperLine, ...]
    total: str
    account_no: str = ""
    expected: str = ""
    note: str = ""


def render_purchase_order(paper: OrderPaper, *, size: PaperSize, fonts: Fonts) -> bytes:
    """The order as a PDF."""
    title = _("Order {number}").format(number=paper.number)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop.name, title=title))
    blocks.head(flow, paper.shop, title)
    blocks.heads_up(
        flow,
        [(_("Date"), paper.date), (_("Our account"), paper.account_no), (_("Expected"), paper.expected)],
    )
    (place,) = split(flow.column, 1, of=2)
    flow.add(
        [
            *gap(SMALL_GAP),
            *row(flow.fonts, [place], [[Words(_("Supplier"), LABEL), *blocks.party_cell(paper.supplier)]]),
        ]
    )
    columns = blocks.shares(flow.column, (0.42, 0.18, 0.2, 0.2), right=(2, 3))
    titles = (_("Item"), _("Packages"), _("Price of one"), _("Amount"))
    rows = [
        row(
            flow.fonts,
            columns,
            [
                [Words(line.item, STRONG), Words(" · ".join(t for t in (line.codes, line.note) if t), LABEL)],
                [Words(_("{n} × {package}").format(n=line.packages, package=line.package))],
                [Words(line.price)],
                [Words(line.amount)],
            ],
        )
        for line in paper.lines
    ]
    blocks.plain_table(flow, "", columns, titles, rows)
    total = SumLine(label=_("Total before tax"), amount=paper.total)
    flow.add(blocks.grand_total(flow.fonts, blocks.sums_column(flow), total))
    blocks.text_blocks(flow, [TextBlock(title=_("Note"), text=paper.note)])
    return finish(flow, "")
