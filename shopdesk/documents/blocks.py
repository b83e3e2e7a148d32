"""Blocks that several papers share, made of parts: head, parties, priced lines, fluids, consent."""

from collections.abc import Sequence
from dataclasses import replace
from gettext import gettext as _
from typing import Final

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
from shopdesk.documents.ink import Shape
from shopdesk.documents.page import Flow
from shopdesk.documents.parts import (
    Align,
    Band,
    Cell,
    Column,
    Words,
    boxed,
    facts,
    gap,
    paragraph,
    row,
    rule,
    ruled,
    section,
    spaced,
    split,
)
from shopdesk.documents.qr import PAPER_DPI, QUIET_MODULES, module_points, qr_matrix
from shopdesk.documents.theme import (
    BODY,
    GAP,
    HEAVY,
    LABEL,
    LINE,
    SHOP,
    SMALL_GAP,
    STRONG,
    TITLE,
    TOTAL,
    WIDE_GAP,
    Style,
)

SUMS_SHARE: Final = 0.52
_PAPER_MODULE: Final = module_points(PAPER_DPI, at_least_mm=0.42)
_TITLED: Final = (0.2, 0.8)
_BETWEEN: Final = 12.0


def head(flow: Flow, shop: ShopHead, title: str) -> None:
    """The shop's own head, and the paper's title beneath it."""
    whole = flow.column
    left, right = split(whole, 2, of=2, between=GAP)
    reach = " · ".join(text for text in (shop.phone, shop.email) if text)
    contact = [Words(line, LABEL) for line in (*shop.address, reach, *shop.registrations)]
    columns = [left, Column(right.x, right.width, Align.RIGHT)]
    flow.add(row(flow.fonts, columns, [[Words(shop.name, SHOP)], contact]))
    flow.add(rule(whole.x, whole.width, HEAVY, above=6, below=WIDE_GAP))
    flow.add([*paragraph(flow.fonts, whole, title, TITLE), *gap(SMALL_GAP)])


def parties(flow: Flow, people: Sequence[tuple[str, Party | None]], vehicle: VehicleBlock) -> None:
    """Customer, payer and the vehicle, side by side under a line each."""
    stacks = [(label, party_cell(party)) for label, party in people if party]
    stacks.append((_("Vehicle"), vehicle_cell(vehicle)))
    places = split(flow.column, len(stacks), of=len(stacks), between=WIDE_GAP)
    lines = Band(SMALL_GAP, tuple(rule(place.x, place.width, LINE)[0].ink[0] for place in places))
    cells = [[Words(label, LABEL), *cell] for label, cell in stacks]
    flow.add([*gap(SMALL_GAP), lines, *row(flow.fonts, places, cells)])


def party_cell(party: Party) -> Cell:
    """A name and the lines beneath it."""
    return [Words(party.name, STRONG), *(Words(line) for line in party.lines)]


def vehicle_cell(vehicle: VehicleBlock) -> Cell:
    """What identifies a vehicle, one thing a line."""
    labelled = (
        (_("Plate {plate}"), "plate", vehicle.plate),
        (_("VIN {vin}"), "vin", vehicle.vin),
        (_("Unit: {unit}"), "unit", vehicle.unit),
        (_("Odometer in: {odometer}"), "odometer", vehicle.odometer_in),
        (_("Odometer out: {odometer}"), "odometer", vehicle.odometer_out),
    )
    texts = [Words(text.format(**{key: value})) for text, key, value in labelled if value]
    return [Words(vehicle.description, STRONG), *texts]


def price_table(flow: Flow, lines: Sequence[PriceLine]) -> None:
    """The lines, with columns as wide as their figures need and the text taking the rest."""
    columns = _price_columns(flow.fonts, flow.column, lines)
    titles = (_("Kind"), _("Work and goods"), _("Quantity"), "", _("Unit price"), _("Amount"))
    heading = row(flow.fonts, columns, [[Words(title, LABEL)] for title in titles])
    rows = [
        ruled(row(flow.fonts, columns, _price_cells(line)), flow.column, above=3, below=3) for line in lines
    ]
    flow.table(gap(WIDE_GAP), [*heading, *gap(2)], rows)


def _price_cells(line: PriceLine) -> list[Cell]:
    under = " · ".join(text for text in (line.condition, *line.detail) if text)
    return [
        [Words(line.kind)],
        [Words(line.text), Words(under, LABEL)],
        [Words(line.quantity)],
        [Words(line.unit)],
        [Words(line.unit_price)],
        [Words(line.amount)],
    ]


def _price_columns(fonts: Fonts, whole: Column, lines: Sequence[PriceLine]) -> list[Column]:
    def widest(title: str, texts: Sequence[str], most: float) -> float:
        natural = max((fonts.width(fonts.printable(text), BODY.face, BODY.size) for text in texts), default=0)
        return min(max(natural, fonts.width(title, LABEL.face, LABEL.size)) + 0.1, whole.width * most)

    kind = widest(_("Kind"), [line.kind for line in lines], 0.14)
    quantity = widest(_("Quantity"), [line.quantity for line in lines], 0.14)
    unit = widest("", [line.unit for line in lines], 0.1)
    price = widest(_("Unit price"), [line.unit_price for line in lines], 0.17)
    amount = widest(_("Amount"), [line.amount for line in lines], 0.17)
    text = whole.width - kind - quantity - unit - price - amount - 4 * _BETWEEN - SMALL_GAP - GAP
    widths = (kind, text, quantity, unit, price, amount)
    gaps = (_BETWEEN, _BETWEEN, SMALL_GAP, _BETWEEN, _BETWEEN + GAP)
    aligns = (Align.LEFT, Align.LEFT, Align.RIGHT, Align.LEFT, Align.RIGHT, Align.RIGHT)
    return _in_a_row(whole.x, widths, gaps, aligns)


def _in_a_row(
    x: float, widths: Sequence[float], gaps: Sequence[float], aligns: Sequence[Align]
) -> list[Column]:
    columns = []
    for width, space, align in zip(widths, (*gaps, 0.0), aligns, strict=True):
        columns.append(Column(x, width, align))
        x += width + space
    return columns


def sum_rows(fonts: Fonts, column: Column, sums: Sequence[SumLine], style: Style = BODY) -> list[Band]:
    """Labels at the left, sums on the right edge of the column."""
    places = sum_columns(column)
    return [
        band
        for line in sums
        for band in row(fonts, places, [[Words(line.label, style)], [Words(line.amount, style)]])
    ]


def sum_columns(column: Column) -> list[Column]:
    """Where the label and the sum of a total stand."""
    amount = column.width * 0.42
    return [
        Column(column.x, column.width - amount - GAP),
        Column(column.x + column.width - amount, amount, Align.RIGHT),
    ]


def grand_total(fonts: Fonts, column: Column, line: SumLine) -> list[Band]:
    """The sum that counts, between two lines."""
    over = rule(column.x, column.width, LINE, above=3, below=1)
    return [*over, *sum_rows(fonts, column, [line], TOTAL), *rule(column.x, column.width, LINE, below=3)]


def sums_column(flow: Flow) -> Column:
    """The right part of the page, so that every sum stands under the lines' amounts."""
    width = flow.column.width * SUMS_SHARE
    return Column(flow.column.x + flow.column.width - width, width)


def fluid_table(flow: Flow, fluids: Sequence[FluidUsed], title: str) -> None:
    """What identifies the fluid put in: product and who sells it, type, claim, quantity, lot."""
    if not fluids:
        return
    columns = shares(flow.column, (0.27, 0.13, 0.26, 0.2, 0.14))
    titles = (_("Product"), _("Type"), _("Claim and its basis"), _("Put in"), _("Lot"))
    rows = [
        row(
            flow.fonts,
            columns,
            [
                [Words(fluid.product, STRONG), Words(fluid.maker, LABEL)],
                *([Words(text)] for text in (fluid.kind, fluid.claim, fluid.quantity, fluid.lot)),
            ],
        )
        for fluid in fluids
    ]
    plain_table(flow, title, columns, titles, rows)


def plain_table(
    flow: Flow, title: str, columns: Sequence[Column], titles: Sequence[str], rows: Sequence[Sequence[Band]]
) -> None:
    """A titled table with hair lines between its rows."""
    heading = [*row(flow.fonts, columns, [[Words(text, LABEL)] for text in titles]), *gap(2)]
    lines = [ruled(bands, flow.column, above=3, below=3) for bands in rows]
    flow.table(section(flow.fonts, flow.column, title), heading, lines)


def shares(whole: Column, parts: Sequence[float], *, right: Sequence[int] = ()) -> list[Column]:
    """Columns by their share of the width (parts add up to 1); those numbered in `right` align right."""
    room = whole.width - _BETWEEN * (len(parts) - 1)
    aligns = [Align.RIGHT if at in right else Align.LEFT for at in range(len(parts))]
    return _in_a_row(whole.x, [part * room for part in parts], [_BETWEEN] * (len(parts) - 1), aligns)


def authorisations(flow: Flow, given: Sequence[Authorisation]) -> None:
    """Every consent: up to which sum, when, by whom and how, and the words agreed."""
    columns = shares(flow.column, _TITLED)
    title = _("Consent on record")
    for consent in given:
        flow.add([*gap(GAP), *row(flow.fonts, columns, [[Words(title, STRONG)], _consent_cell(consent)])])
        title = ""


def _consent_cell(consent: Authorisation) -> Cell:
    most = _("Up to {sum} before tax").format(sum=consent.up_to)
    taken = _("taken by {name}").format(name=consent.taken_by) if consent.taken_by else ""
    who = ", ".join(text for text in (consent.who, consent.relation) if text)
    return [
        Words(" · ".join((most, consent.when)), STRONG),
        Words(" · ".join(text for text in (who, consent.how, consent.contact, taken) if text)),
        Words(_("“{words}”").format(words=consent.words)),
    ]


def text_blocks(flow: Flow, texts: Sequence[TextBlock]) -> None:
    """Texts with their titles at the left; a long one runs over pages."""
    columns = shares(flow.column, _TITLED)
    for block in texts:
        if block.text:
            lines = row(flow.fonts, columns, [[Words(block.title, STRONG)], [Words(block.text)]])
            flow.add([*gap(GAP), *lines[:2]])
            flow.add(lines[2:], keep=False)


def cautions(flow: Flow, column: Column, texts: Sequence[str], style: Style) -> list[Band]:
    """Sentences, each behind a drawn warning sign."""
    groups = [paragraph(flow.fonts, column, text, style, mark=Shape.CAUTION) for text in texts]
    return spaced(groups, SMALL_GAP)


def notice(flow: Flow, texts: Sequence[str], style: Style, weight: float) -> None:
    """Sentences that must be read, in a frame."""
    if texts:
        inner = Column(flow.column.x + GAP, flow.column.width - 2 * GAP)
        flow.add(gap(GAP))
        flow.add(boxed(cautions(flow, inner, texts, style), flow.column, weight, padding=5))


def beside_symbol(flow: Flow, text: str) -> Column:
    """The page's column to the right of a text's symbol."""
    taken = qr_matrix(text).outer(_PAPER_MODULE) if text else 0.0
    return Column(flow.column.x + taken, flow.column.width - taken)


def with_symbol(flow: Flow, bands: Sequence[Band], text: str) -> list[Band]:
    """Bands with a QR symbol at the page's left beside them; only its quiet zone reaches past the margin."""
    if not text:
        return list(bands)
    matrix = qr_matrix(text)
    symbol = matrix.symbol(flow.column.x - QUIET_MODULES * _PAPER_MODULE, 0, _PAPER_MODULE)
    missing = matrix.outer(_PAPER_MODULE) - sum(band.height for band in bands)
    first = replace(bands[0], ink=(*bands[0].ink, symbol))
    return [first, *bands[1:], *gap(max(missing, 0))]


def heads_up(flow: Flow, pairs: Sequence[tuple[str, str]], style: Style = STRONG) -> None:
    """The facts under a title: all in one line when they are short enough, else four to a line."""
    texts = [flow.fonts.printable(value) for _label, value in pairs if value]
    widest = max((flow.fonts.width(text, style.face, style.size) for text in texts), default=0.0)
    in_one = (widest + GAP) * len(texts) <= flow.column.width
    flow.add(facts(flow.fonts, flow.column, pairs, across=len(texts) if in_one and texts else 4, style=style))
