"""The estimate: what was asked, what it will cost, and the consent to it."""

from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from shopdesk.documents import blocks
from shopdesk.documents.facts import (
    Authorisation,
    Party,
    PriceLine,
    ShopHead,
    SumLine,
    TextBlock,
    VehicleBlock,
)
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import Band, gap, paragraph, split, write_line
from shopdesk.documents.stock import PaperSize
from shopdesk.documents.theme import NOTE, SMALL_GAP, WIDE_GAP

_WRITING_HEIGHT: Final = 30.0


@dataclass(frozen=True, kw_only=True, slots=True)
class EstimatePaper:
    """`subtotals` are labour, parts and fluids, other; `net` their sum before tax, as text with the
    currency's mark.

    Without `authorisations` the paper ends in a line to sign, for at most `authorise_up_to`.
    `consent_words` is the sentence the customer signs; empty prints the plain one.
    """

    shop: ShopHead
    number: str
    revision: str
    date: str
    time: str
    customer: Party
    vehicle: VehicleBlock
    asked: str
    lines: tuple[PriceLine, ...]
    subtotals: tuple[SumLine, ...]
    net: str
    taxes: tuple[SumLine, ...] = ()
    total: str = ""
    work_order: str = ""
    po_number: str = ""
    valid_until: str = ""
    promised: str = ""
    replaced_parts: str = ""
    authorise_up_to: str = ""
    consent_words: str = ""
    authorisations: tuple[Authorisation, ...] = ()
    warranty: str = ""
    texts: tuple[TextBlock, ...] = ()


def render_estimate(paper: EstimatePaper, *, size: PaperSize, fonts: Fonts, copy_note: str = "") -> bytes:
    """The estimate as a PDF. `copy_note` ("printed 4 Mar 2027 10:14") marks every page as a copy."""
    title = _("Estimate {number}").format(number=paper.number)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop.name, title=title))
    blocks.head(flow, paper.shop, title)
    blocks.heads_up(flow, _heading_facts(paper))
    blocks.parties(flow, [(_("Customer"), paper.customer)], paper.vehicle)
    blocks.text_blocks(flow, [TextBlock(title=_("What was asked"), text=paper.asked)])
    blocks.price_table(flow, paper.lines)
    _sums(flow, paper)
    blocks.text_blocks(flow, _terms(paper))
    if paper.authorisations:
        blocks.authorisations(flow, paper.authorisations)
    else:
        _to_sign(flow, paper)
    return finish(flow, copy_note)


def _heading_facts(paper: EstimatePaper) -> list[tuple[str, str]]:
    return [
        (_("Revision"), paper.revision),
        (_("Date and time"), " ".join(text for text in (paper.date, paper.time) if text)),
        (_("Valid until"), paper.valid_until),
        (_("Promised for"), paper.promised),
        (_("Work order"), paper.work_order),
        (_("Purchase order"), paper.po_number),
    ]


def _terms(paper: EstimatePaper) -> list[TextBlock]:
    return [
        TextBlock(title=_("Replaced parts"), text=paper.replaced_parts),
        TextBlock(title=_("Warranty"), text=paper.warranty),
        *paper.texts,
    ]


def _sums(flow: Flow, paper: EstimatePaper) -> None:
    column = blocks.sums_column(flow)
    bands = [*gap(SMALL_GAP), *blocks.sum_rows(flow.fonts, column, paper.subtotals)]
    net = SumLine(label=_("Estimate before tax"), amount=paper.net)
    if paper.taxes:
        bands += blocks.sum_rows(flow.fonts, column, [net, *paper.taxes])
        bands += blocks.grand_total(flow.fonts, column, SumLine(label=_("Total"), amount=paper.total))
    else:
        bands += blocks.grand_total(flow.fonts, column, net)
        bands += paragraph(flow.fonts, column, _("Sales tax is added on the invoice."), NOTE)
    flow.add(bands)


def _to_sign(flow: Flow, paper: EstimatePaper) -> None:
    """A sentence and lines for the customer's name, signature, date and time."""
    words = paper.consent_words or _("I authorize the work listed above.")
    if paper.authorise_up_to:
        most = _("At most {sum} before tax without asking me again.").format(sum=paper.authorise_up_to)
        words = f"{words} {most}"
    blocks.text_blocks(flow, [TextBlock(title=_("Consent"), text=words)])
    flow.add([_signature(flow)])


def _signature(flow: Flow) -> Band:
    labels = (_("Name"), _("Signature"), _("Date and time"))
    places = split(flow.column, len(labels), of=len(labels), between=WIDE_GAP)
    lines = [
        write_line(flow.fonts, place, label, height=_WRITING_HEIGHT)
        for place, label in zip(places, labels, strict=True)
    ]
    return Band(lines[0].height, tuple(ink for line in lines for ink in line.ink))
