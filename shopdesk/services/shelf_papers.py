"""Papers of the shelf: labels for containers and vessels, count sheets, purchase orders."""

from collections.abc import Callable
from gettext import gettext as _

from shopdesk.documents.container_label import (
    ContainerLabel,
    UsedOilLabel,
    render_container_label,
    render_container_label_sheet,
    render_used_oil_label,
)
from shopdesk.documents.count_sheet import CountSheetLine, CountSheetPaper, render_count_sheet
from shopdesk.documents.facts import Party
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.lot_list import LotContainer, LotPaper, LotVehicle, render_lot_list
from shopdesk.documents.purchase_order import OrderPaper, OrderPaperLine, render_purchase_order
from shopdesk.documents.stock import LABEL_SIZES, PAPER_SIZES
from shopdesk.domain.errors import NotFound
from shopdesk.services.acting import Office, Reading
from shopdesk.services.buying import OrderView, order_view, the_supplier
from shopdesk.services.cards import Card, card_of
from shopdesk.services.containers import ContainerView, container_view
from shopdesk.services.count_sheets import CountSheetView, ToCount, sheet_view
from shopdesk.services.figures import Figures
from shopdesk.services.items import ItemKind, ItemView, item_view
from shopdesk.services.paper_parts import shop_head
from shopdesk.services.papers import PaperBytes
from shopdesk.services.recall import Recall, recall
from shopdesk.services.used_oil import VesselRow, vessel_rows


class ShelfPapers:
    """The room where the shelf's papers are made."""

    def __init__(self, office: Office, fonts: Callable[[], Fonts]) -> None:
        self._office = office
        self._fonts = fonts  # read on first use: not every run makes a paper

    def container_label(self, container_id: int, *, on_sheet: bool = False) -> PaperBytes:
        """Give the label of a container, on the shop's label or on a sheet of paper for a drum."""
        with self._office.reading() as reading:
            box = container_view(reading, container_id)
            content = _label(reading, item_view(reading, box.item_id), box)
            return self._label(reading, content, f"container-label-{box.id}", on_sheet=on_sheet)

    def secondary_label(
        self, item_id: int, *, container_id: int | None = None, on_sheet: bool = False
    ) -> PaperBytes:
        """Give the label of a jug or can of an item, filled from a container where that is known."""
        with self._office.reading() as reading:
            goods = item_view(reading, item_id)
            if goods.kind is not ItemKind.FLUID:
                raise NotFound(_("A secondary container holds a fluid."), "item_id")
            box = container_view(reading, container_id) if container_id is not None else None
            content = _label(reading, goods, box, secondary=True)
            return self._label(reading, content, f"secondary-label-{goods.id}", on_sheet=on_sheet)

    def _label(self, reading: Reading, content: ContainerLabel, name: str, *, on_sheet: bool) -> PaperBytes:
        fonts, shop = self._fonts(), reading.shop
        if on_sheet:
            made = render_container_label_sheet(content, size=PAPER_SIZES[shop.paper_size], fonts=fonts)
        else:
            made = render_container_label(content, label=LABEL_SIZES[shop.label_size], fonts=fonts)
        return self._paper("container label", f"{name}.pdf", made, str(content))

    def used_oil_label(self, vessel_id: int) -> PaperBytes:
        """Give the label of a used-oil vessel, on a sheet of paper."""
        with self._office.reading() as reading:
            row = next((each for each in vessel_rows(reading) if each.id == vessel_id), None)
            if row is None:
                raise NotFound(_("That vessel is not there."), "vessel_id")
            content = _used_oil_label(reading, row)
            size = PAPER_SIZES[reading.shop.paper_size]
        made = render_used_oil_label(content, size=size, fonts=self._fonts())
        return self._paper("used oil label", f"used-oil-{vessel_id}.pdf", made, str(content))

    def count_sheet(self, sheet_id: int, *, with_expected: bool = False) -> PaperBytes:
        """Give a count sheet to print and to write on; without the ledger's figures unless asked."""
        with self._office.reading() as reading:
            view = sheet_view(reading, sheet_id)
            content = _count_sheet(reading, view, with_expected=with_expected)
            size = PAPER_SIZES[reading.shop.paper_size]
        made = render_count_sheet(content, size=size, fonts=self._fonts())
        return self._paper("count sheet", f"count-sheet-{view.number}.pdf", made, str(content))

    def lot_list(self, container_id: int) -> PaperBytes:
        """Give the list of where the lot of a container went, with whom to call."""
        with self._office.reading() as reading:
            found = recall(reading, container_view(reading, container_id).lot)
            content = _lot_list(reading, found)
            size = PAPER_SIZES[reading.shop.paper_size]
        made = render_lot_list(content, size=size, fonts=self._fonts())
        return self._paper("lot list", f"lot-{container_id}.pdf", made, str(content))

    def purchase_order(self, order_id: int) -> PaperBytes:
        """Give a purchase order as it goes to the supplier."""
        with self._office.reading() as reading:
            view = order_view(reading, order_id)
            content = _order(reading, view)
            size = PAPER_SIZES[reading.shop.paper_size]
        made = render_purchase_order(content, size=size, fonts=self._fonts())
        return self._paper("purchase order", f"order-{view.number}.pdf", made, str(content))

    def _paper(self, kind: str, name: str, made: bytes, text: str) -> PaperBytes:
        return PaperBytes(
            kind=kind,
            name=name,
            media="application/pdf",
            content=made,
            unprintable=self._fonts().missing_glyphs(text),
        )


def _label(
    reading: Reading, goods: ItemView, box: ContainerView | None, *, secondary: bool = False
) -> ContainerLabel:
    card, figures = card_of(reading, goods.id), Figures(reading.shop)
    return ContainerLabel(
        shop=reading.shop.name,
        product=goods.name,
        maker=goods.maker,
        secondary=secondary,
        signal_word=_(card.signal_word) if card.signal_word else "",
        hazards=card.hazard_text,
        pictograms=card.pictograms,
        facts=_box_facts(figures, goods, box),
        sheet=_sheet_words(figures, card),
        emergency=card.emergency_phone,
    )


def _box_facts(figures: Figures, goods: ItemView, box: ContainerView | None) -> tuple[tuple[str, str], ...]:
    claims = ", ".join(claim.specification for claim in goods.claims[:3])
    if box is None:
        return ((_("Specification"), claims),)
    return (
        (_("Specification"), claims),
        (_("Container"), box.label),
        (_("Lot"), box.lot),
        (_("Received"), figures.day(box.received_on)),
        (_("Opened"), figures.day(box.opened_on) if box.opened_on else ""),
        (_("Good until"), figures.day(box.good_until) if box.good_until else ""),
    )


def _sheet_words(figures: Figures, card: Card) -> str:
    if card.sds_on is None:
        return ""
    day = figures.day(card.sds_on)
    return _("{name} of {day}").format(name=card.sds_name, day=day) if card.sds_name else day


def _used_oil_label(reading: Reading, row: VesselRow) -> UsedOilLabel:
    figures = Figures(reading.shop)
    return UsedOilLabel(
        shop=reading.shop.name,
        vessel=row.name,
        facts=((_("Holds"), figures.volume_both(row.capacity_ul)), (_("Where"), row.place)),
    )


def _count_sheet(reading: Reading, view: CountSheetView, *, with_expected: bool) -> CountSheetPaper:
    figures = Figures(reading.shop)
    return CountSheetPaper(
        shop=shop_head(reading.shop),
        number=str(view.number),
        date=figures.stamp(reading.now),
        note=view.note,
        lines=tuple(_count_line(figures, line, with_expected=with_expected) for line in view.lines),
    )


def _count_line(figures: Figures, line: ToCount, *, with_expected: bool) -> CountSheetLine:
    if line.kind is not ItemKind.FLUID:
        how = _("pieces")
    elif line.can_dip:
        how = _("dip or weigh")
    else:
        how = _("whole and opened")
    return CountSheetLine(
        item=line.item,
        container=line.container,
        lot=_("lot {lot}").format(lot=line.lot) if line.lot else "",
        size=figures.stock(line.base, line.capacity) if line.capacity else "",
        how=how,
        expected=figures.stock(line.base, line.expected) if with_expected else "",
    )


def _lot_list(reading: Reading, found: Recall) -> LotPaper:
    figures = Figures(reading.shop)
    return LotPaper(
        shop=shop_head(reading.shop),
        lot=found.lot,
        date=figures.stamp(reading.now),
        vehicles=tuple(
            LotVehicle(
                plate=each.plate,
                vehicle=" ".join(part for part in (each.vehicle, each.vin) if part),
                customer=each.customer,
                ways=(*each.phones, *each.emails),
                work_order=str(each.work_order_number),
                date=figures.day(each.on_date),
                item=each.item,
                quantity=figures.stock(each.base, each.quantity),
            )
            for each in found.vehicles
        ),
        containers=tuple(
            LotContainer(name=each.label, held=figures.stock(each.base, each.held), state=_(each.state))
            for each in found.containers
        ),
    )


def _order(reading: Reading, view: OrderView) -> OrderPaper:
    figures = Figures(reading.shop)
    supplier = the_supplier(reading, view.supplier.id)
    lines = (*supplier.address.split("\n"), supplier.phone, supplier.email)
    return OrderPaper(
        shop=shop_head(reading.shop),
        number=str(view.number),
        date=figures.day(view.ordered_on or reading.today),
        supplier=Party(name=supplier.name, lines=tuple(line for line in lines if line.strip())),
        lines=tuple(
            OrderPaperLine(
                item=line.item,
                codes=" / ".join(code for code in (line.supplier_code, line.part_number) if code),
                packages=figures.number(line.packages, 0),
                package=line.package_text,
                price=figures.money(line.price_minor),
                amount=figures.money(line.amount_minor),
                note=_("for work order {number}").format(number=line.work_order_number)
                if line.work_order_number
                else "",
            )
            for line in view.lines
        ),
        total=figures.money(view.total_minor),
        account_no=supplier.account_no,
        expected=figures.day(view.expected_on) if view.expected_on else "",
        note=view.note,
    )
