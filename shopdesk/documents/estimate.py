"""The estimate: what was asked, what it will cost, and the consent to it."""

from dataclasses import dataclass

from shopdesk.documents.facts import (
    Authorisation,
    Party,
    PriceLine,
    ShopHead,
    SumLine,
    TextBlock,
    VehicleBlock,
)


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
