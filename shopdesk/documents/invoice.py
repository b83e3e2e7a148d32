"""The invoice: frozen lines, taxes by rate, what was paid, and what identifies the fluid put in."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.documents import blocks
from shopdesk.documents.facts import (
    Authorisation,
    FluidUsed,
    Party,
    PriceLine,
    ShopHead,
    SumLine,
    TextBlock,
    VehicleBlock,
)
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import Band, gap, rule
from shopdesk.documents.stock import PaperSize
from shopdesk.documents.theme import GAP, HAIR, LINE, STRONG


@dataclass(frozen=True, kw_only=True, slots=True)
class TaxLine:
    """One rate: its name with the rate ("Sales tax 8.25 %"), the net sum it was taken on, the tax."""

    label: str
    base: str
    amount: str


@dataclass(frozen=True, kw_only=True, slots=True)
class InvoicePaper:
    """Sums stand as text in `currency` (ISO 4217 code printed once). `notes` are sentences that must be read,
    such as the one on wheel nuts. `qr_text` is plain text, printed as a symbol.
    """

    shop: ShopHead
    number: str
    issued_on: str
    customer: Party
    vehicle: VehicleBlock
    lines: tuple[PriceLine, ...]
    subtotals: tuple[SumLine, ...]
    net: str
    total: str
    balance: str
    currency: str
    taxes: tuple[TaxLine, ...] = ()
    paid: tuple[SumLine, ...] = ()
    payer: Party | None = None
    work_done_on: str = ""
    pay_by: str = ""
    work_order: str = ""
    po_number: str = ""
    replaced_parts: str = ""
    fluids: tuple[FluidUsed, ...] = ()
    authorisations: tuple[Authorisation, ...] = ()
    notes: tuple[str, ...] = ()
    warranty: str = ""
    texts: tuple[TextBlock, ...] = ()
    qr_text: str = ""


def render_invoice(paper: InvoicePaper, *, size: PaperSize, fonts: Fonts, copy_note: str = "") -> bytes:
    """The invoice as a PDF. `copy_note` ("printed 4 Mar 2027 10:14") marks every page as a copy."""
    title = _("Invoice {number}").format(number=paper.number)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop.name, title=title))
    blocks.head(flow, paper.shop, title)
    blocks.heads_up(flow, _heading_facts(paper))
    blocks.parties(flow, [(_("Customer"), paper.customer), (_("Payer"), paper.payer)], paper.vehicle)
    blocks.price_table(flow, paper.lines)
    flow.add(_sums(flow, paper))
    blocks.fluid_table(flow, paper.fluids, _("Fluid put in"))
    blocks.notice(flow, paper.notes, STRONG, LINE)
    blocks.text_blocks(flow, _terms(paper))
    blocks.authorisations(flow, paper.authorisations)
    return finish(flow, copy_note)


def _heading_facts(paper: InvoicePaper) -> list[tuple[str, str]]:
    return [
        (_("Issued"), paper.issued_on),
        (_("Work done"), paper.work_done_on),
        (_("Pay by"), paper.pay_by),
        (_("Work order"), paper.work_order),
        (_("Purchase order"), paper.po_number),
        (_("Currency"), paper.currency),
    ]


def _terms(paper: InvoicePaper) -> list[TextBlock]:
    return [
        TextBlock(title=_("Replaced parts"), text=paper.replaced_parts),
        TextBlock(title=_("Warranty"), text=paper.warranty),
        *paper.texts,
    ]


def _sums(flow: Flow, paper: InvoicePaper) -> list[Band]:
    """Subtotals, taxes with the sum each was taken on, total, payments, balance; the symbol at the left."""
    fonts, column = flow.fonts, blocks.sums_column(flow)
    bands = blocks.sum_rows(fonts, column, paper.subtotals)
    bands += rule(column.x, column.width, HAIR, above=2, below=2)
    bands += blocks.sum_rows(fonts, column, [SumLine(label=_("Net"), amount=paper.net)])
    bands += blocks.sum_rows(fonts, column, [_tax_sum(tax) for tax in paper.taxes])
    bands += blocks.grand_total(fonts, column, SumLine(label=_("Total"), amount=paper.total))
    bands += blocks.sum_rows(fonts, column, paper.paid)
    bands += blocks.sum_rows(fonts, column, [SumLine(label=_("Balance due"), amount=paper.balance)], STRONG)
    return [*gap(GAP), *blocks.with_symbol(flow, bands, paper.qr_text)]


def _tax_sum(tax: TaxLine) -> SumLine:
    return SumLine(label=_("{rate} on {base}").format(rate=tax.label, base=tax.base), amount=tax.amount)
