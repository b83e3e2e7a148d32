"""The invoice: frozen lines, taxes by rate, what was paid, and what identifies the fluid put in."""

from dataclasses import dataclass

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
