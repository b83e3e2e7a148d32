"""The count sheet: what should be where, with room to write what was read."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.documents import blocks
from shopdesk.documents.facts import ShopHead, TextBlock
from shopdesk.documents.fonts import Fonts
from shopdesk.documents.ink import Box, Ink
from shopdesk.documents.page import Flow, PaperName, finish
from shopdesk.documents.parts import Band, Column, Words, gap, row, ruled, split, write_line
from shopdesk.documents.stock import PaperSize
from shopdesk.documents.theme import BODY, GAP, HAIR, LABEL, STRONG

_WRITE_HEIGHT = 22.0


@dataclass(frozen=True, kw_only=True, slots=True)
class CountSheetLine:
    """One container (or one sort of pieces). `how` names the reading to take; `expected` may be empty."""

    item: str
    container: str = ""
    lot: str = ""
    size: str = ""
    how: str = ""
    expected: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class CountSheetPaper:
    """A count sheet. Without expected figures nobody counts towards them."""

    shop: ShopHead
    number: str
    date: str
    note: str = ""
    lines: tuple[CountSheetLine, ...] = ()


def render_count_sheet(paper: CountSheetPaper, *, size: PaperSize, fonts: Fonts) -> bytes:
    """The sheet as a PDF; every line has boxes for the reading, ± and the temperature."""
    title = _("Count sheet {number}").format(number=paper.number)
    flow = Flow(size=size, fonts=fonts, name=PaperName(shop=paper.shop.name, title=title))
    blocks.head(flow, paper.shop, title)
    blocks.heads_up(flow, [(_("Printed"), paper.date), (_("Lines"), str(len(paper.lines)))])
    blocks.text_blocks(flow, [TextBlock(title=_("Note"), text=paper.note), _how_to()])
    with_expected = any(line.expected for line in paper.lines)
    columns = _columns(flow, with_expected)
    titles = [_("Product and container"), _("Holds"), _("How"), _("Reading"), _("±"), _("°"), _("Reason")]
    if with_expected:
        titles.insert(3, _("Ledger"))
    heading = row(flow.fonts, columns, [[Words(text, LABEL)] for text in titles])
    rows = [
        ruled(_line(flow, columns, line, with_expected), flow.column, above=3, below=3)
        for line in paper.lines
    ]
    flow.table(gap(GAP), heading, rows)
    flow.add(
        [
            *gap(GAP),
            write_line(flow.fonts, split(flow.column, 1, of=2)[0], _("Counted by, date and time"), height=26),
        ]
    )
    return finish(flow, "")


def _how_to() -> TextBlock:
    return TextBlock(
        title=_("How"),
        text=_(
            "Write what you read, not what should be there. With every reading write how closely it can be "
            "read, and for drums the temperature of the fluid."
        ),
    )


def _columns(flow: Flow, with_expected: bool) -> list[Column]:
    if with_expected:
        return blocks.shares(flow.column, (0.3, 0.11, 0.12, 0.11, 0.12, 0.07, 0.06, 0.11))
    return blocks.shares(flow.column, (0.33, 0.12, 0.14, 0.15, 0.08, 0.07, 0.11))


def _line(flow: Flow, columns: list[Column], line: CountSheetLine, with_expected: bool) -> list[Band]:
    under = " · ".join(text for text in (line.container, line.lot) if text)
    cells = [
        [Words(line.item, STRONG), Words(under, LABEL)],
        [Words(line.size, LABEL)],
        [Words(line.how, LABEL)],
    ]
    if with_expected:
        cells.append([Words(line.expected, BODY)])
    boxes = columns[len(cells) :]
    text = row(flow.fonts, columns[: len(cells)], cells)
    frames: tuple[Ink, ...] = tuple(Box(column.x, 0, column.width, _WRITE_HEIGHT, HAIR) for column in boxes)
    height = sum(band.height for band in text)
    first = Band(text[0].height, (*text[0].ink, *frames))
    rest = [*text[1:], Band(max(0.0, _WRITE_HEIGHT - height))]
    return [first, *rest]
