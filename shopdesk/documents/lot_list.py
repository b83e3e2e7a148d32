"""Where a lot went: the vehicles that had some of it with whom to call, and the containers still here."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.documents import blocks
from shopdesk.documents.facts import ShopHead
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import Words, row
from shopdesk.documents.stock import PaperSize
from shopdesk.documents.theme import LABEL, STRONG


@dataclass(frozen=True, kw_only=True, slots=True)
class LotVehicle:
    """A vehicle that had some of the lot, and its keeper."""

    plate: str
    vehicle: str
    customer: str
    ways: tuple[str, ...]
    work_order: str
    date: str
    item: str
    quantity: str


@dataclass(frozen=True, kw_only=True, slots=True)
class LotContainer:
    """A container of the lot."""

    name: str
    held: str
    state: str


@dataclass(frozen=True, kw_only=True, slots=True)
class LotPaper:
    """Everything about a lot."""

    shop: ShopHead
    lot: str
    date: str
    vehicles: tuple[LotVehicle, ...]
    containers: tuple[LotContainer, ...]


def render_lot_list(paper: LotPaper, *, size: PaperSize, fonts: Fonts) -> bytes:
    """The list as a PDF."""
    title = _("Where lot {lot} went").format(lot=paper.lot)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop.name, title=title))
    blocks.head(flow, paper.shop, title)
    counted = (_("Vehicles"), str(len(paper.vehicles)))
    blocks.heads_up(flow, [(_("Printed"), paper.date), counted])
    _vehicles(flow, paper)
    _containers(flow, paper)
    return finish(flow, "")


def _vehicles(flow: Flow, paper: LotPaper) -> None:
    columns = blocks.shares(flow.column, (0.26, 0.34, 0.24, 0.16), right=(3,))
    titles = (_("Vehicle"), _("Customer"), _("Work order"), _("Put in"))
    rows = [
        row(
            flow.fonts,
            columns,
            [
                [Words(line.plate or line.vehicle, STRONG), Words(line.vehicle if line.plate else "", LABEL)],
                [Words(line.customer, STRONG), *(Words(way) for way in line.ways)],
                [Words(line.work_order), Words(line.date, LABEL)],
                [Words(line.quantity), Words(line.item, LABEL)],
            ],
        )
        for line in paper.vehicles
    ]
    blocks.plain_table(flow, _("Vehicles that had it"), columns, titles, rows)


def _containers(flow: Flow, paper: LotPaper) -> None:
    columns = blocks.shares(flow.column, (0.6, 0.2, 0.2), right=(1,))
    titles = (_("Container"), _("Should hold"), _("State"))
    rows = [
        row(flow.fonts, columns, [[Words(line.name, STRONG)], [Words(line.held)], [Words(line.state)]])
        for line in paper.containers
    ]
    blocks.plain_table(flow, _("Containers of it"), columns, titles, rows)
