"""Pieces of a paper. Each gives bands: strips across the page that may be moved to the next page, but not
cut."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import zip_longest

from shopdesk.documents.fonts import Fonts
from shopdesk.documents.ink import Ink, Mark, Rule, Shape, Text
from shopdesk.documents.theme import BODY, GAP, HAIR, LABEL, SECTION, SMALL_GAP, STRONG, Style


class Align(StrEnum):
    """Where a column's text stands."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Band:
    """A strip of the page: its height, and ink placed from its top."""

    height: float
    ink: tuple[Ink, ...] = ()


@dataclass(frozen=True, slots=True)
class Words:
    """A text in a style, before it is broken into lines; `mark` is drawn before its first line."""

    text: str
    style: Style = BODY
    mark: Shape | None = None

    @property
    def inset(self) -> float:
        """How far the lines stand in, to leave room for the mark."""
        return self.style.size * 1.15 + SMALL_GAP if self.mark else 0.0


@dataclass(frozen=True, slots=True)
class _Line:
    text: str
    style: Style
    inset: float = 0.0
    mark: Shape | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """A place for text across the page."""

    x: float
    width: float
    align: Align = Align.LEFT


Cell = Sequence[Words]


def wrap(fonts: Fonts, text: str, style: Style, width: float) -> list[str]:
    """The lines of a text within a width; a word wider than that is broken, nothing is left out."""
    lines: list[str] = []
    for paragraph in fonts.printable(text).split("\n"):
        lines.extend(_wrap_paragraph(fonts, paragraph, style, width))
    return lines


def _wrap_paragraph(fonts: Fonts, paragraph: str, style: Style, width: float) -> list[str]:
    if fonts.width(paragraph, style.face, style.size) <= width:
        return [paragraph]
    lines, line, used = [], "", 0.0
    space = fonts.width(" ", style.face, style.size)
    for word in paragraph.split(" "):
        wide = fonts.width(word, style.face, style.size)
        if line and used + space + wide <= width:
            line, used = f"{line} {word}", used + space + wide
            continue
        if line:
            lines.append(line)
        *whole, line = _pieces(fonts, word, style, width) if wide > width else [word]
        lines.extend(whole)
        used = fonts.width(line, style.face, style.size)
    return [*lines, line]


def _pieces(fonts: Fonts, word: str, style: Style, width: float) -> list[str]:
    """A word too wide for its line, in pieces of at least one letter each."""
    pieces, piece, used = [], "", 0.0
    for letter in word:
        wide = fonts.width(letter, style.face, style.size)
        if piece and used + wide > width:
            pieces.append(piece)
            piece, used = "", 0.0
        piece, used = piece + letter, used + wide
    return [*pieces, piece]


def shortened(fonts: Fonts, text: str, style: Style, width: float) -> str:
    """A text's first line within a width, with an ellipsis when there is more: for repeats only."""
    first, *others = wrap(fonts, text, style, width - fonts.width("…", style.face, style.size))
    return f"{first}…" if others else first


def gap(height: float) -> list[Band]:
    """Empty room."""
    return [Band(height)]


def rule(x: float, width: float, weight: float, *, above: float = 0.0, below: float = 0.0) -> list[Band]:
    """A line across, with room above and below."""
    return [Band(above + below, (Rule(x, above, x + width, above, weight),))]


def row(fonts: Fonts, columns: Sequence[Column], cells: Sequence[Cell]) -> list[Band]:
    """Cells side by side; long ones run on through as many bands as they need."""
    broken = [_broken(fonts, cell, column.width) for cell, column in zip(cells, columns, strict=True)]
    return [_band(fonts, columns, lines) for lines in zip_longest(*broken)]


def _broken(fonts: Fonts, cell: Cell, width: float) -> list[_Line]:
    lines: list[_Line] = []
    for words in cell:
        if words.text:
            first, *others = wrap(fonts, words.text, words.style, width - words.inset)
            lines.append(_Line(first, words.style, words.inset, words.mark))
            lines += [_Line(other, words.style, words.inset) for other in others]
    return lines


def _band(fonts: Fonts, columns: Sequence[Column], lines: Sequence[_Line | None]) -> Band:
    styles = [line.style for line in lines if line]
    baseline = max(style.baseline for style in styles)
    ink: list[Ink] = []
    for column, line in zip(columns, lines, strict=True):
        if line:
            ink += _line_ink(fonts, column, line, baseline)
    return Band(max(style.leading for style in styles), tuple(ink))


def _line_ink(fonts: Fonts, column: Column, line: _Line, baseline: float) -> list[Ink]:
    x, style = column.x + line.inset, line.style
    if column.align is Align.RIGHT:
        x = column.x + column.width - fonts.width(line.text, style.face, style.size)
    text = Text(x, baseline, line.text, style.face, style.size)
    return [text, _mark(column.x, baseline, style, line.mark)] if line.mark else [text]


def _mark(x: float, baseline: float, style: Style, shape: Shape) -> Mark:
    """A mark in the middle of its line's capitals; a warning sign stands a little taller than they do."""
    size = style.size * (1.15 if shape in (Shape.CAUTION, Shape.SQUARE) else 0.8)
    return Mark(x, baseline - style.size * 0.349 - size / 2, size, shape)


def paragraph(
    fonts: Fonts, column: Column, text: str, style: Style = BODY, *, mark: Shape | None = None
) -> list[Band]:
    """Running text, one band a line; no text, no band."""
    return row(fonts, [column], [[Words(text, style, mark)]])


def spaced(groups: Sequence[Sequence[Band]], between: float) -> list[Band]:
    """Groups one after another with room between."""
    bands = list(groups[0]) if groups else []
    for group in groups[1:]:
        bands += [*gap(between), *group]
    return bands


def section(fonts: Fonts, column: Column, title: str) -> list[Band]:
    """A section's title with the room that sets it off."""
    return [*gap(GAP + SMALL_GAP), *paragraph(fonts, column, title, SECTION), *gap(2)]


def facts(
    fonts: Fonts, column: Column, pairs: Sequence[tuple[str, str]], *, across: int, style: Style
) -> list[Band]:
    """Labels with their values beneath, `across` to a line; pairs without a value are left out."""
    shown = [pair for pair in pairs if pair[1]]
    bands: list[Band] = []
    for start in range(0, len(shown), across):
        group = shown[start : start + across]
        places = split(column, len(group), of=across)
        bands += row(fonts, places, [[Words(label, LABEL), Words(value, style)] for label, value in group])
        bands += gap(SMALL_GAP)
    return bands


def split(column: Column, count: int, *, of: int, between: float = GAP) -> list[Column]:
    """The first `count` of `of` equal columns within one."""
    width = (column.width - between * (of - 1)) / of
    return [Column(column.x + at * (width + between), width) for at in range(count)]


def ruled(bands: Sequence[Band], column: Column, *, above: float, below: float) -> list[Band]:
    """A table's row: a hair line over it, and room around its text."""
    line = Band(above, (Rule(column.x, 0, column.x + column.width, 0, HAIR),))
    return [line, *bands, Band(below)]


def boxed(bands: Sequence[Band], column: Column, weight: float, *, padding: float) -> list[Band]:
    """Bands within a frame that stays a frame when it runs over pages: its sides belong to each band."""
    inside = [Band(padding), *bands, Band(padding)]
    return _framed(inside, (column.x, column.x + column.width), weight)


def _framed(bands: Sequence[Band], edges: Sequence[float], weight: float) -> list[Band]:
    """Upright lines beside bands, and a line across above the first and below the last."""
    across = Rule(edges[0], 0, edges[-1], 0, weight)
    sided = [
        Band(band.height, (*band.ink, *(Rule(x, 0, x, band.height, weight) for x in edges))) for band in bands
    ]
    return [Band(0, (across,)), *sided, Band(0, (across,))]


def write_line(fonts: Fonts, column: Column, label: str, *, height: float) -> Band:
    """A line to write on by hand, its label beneath."""
    printed = fonts.printable(label)
    text = Text(column.x, height + LABEL.baseline, printed, LABEL.face, LABEL.size)
    return Band(height + LABEL.leading, (Rule(column.x, height, column.x + column.width, height, HAIR), text))


def write_boxes(
    fonts: Fonts, places: Sequence[Column], boxes: Sequence[tuple[str, str]], *, room: float
) -> list[Band]:
    """Boxes side by side to write in, given as (label, unit): label at the top, unit at the bottom right."""
    columns = [Column(place.x + SMALL_GAP, place.width - 2 * SMALL_GAP) for place in places]
    right = [Column(column.x, column.width, Align.RIGHT) for column in columns]
    labels = row(fonts, columns, [[Words(label, LABEL)] for label, _unit in boxes])
    units = row(fonts, right, [[Words(unit, STRONG)] for _label, unit in boxes])
    inside = [*gap(2), *labels, *gap(room - sum(band.height for band in units[:1])), *units, *gap(2)]
    return _framed(inside, [places[0].x, *(place.x + place.width for place in places)], HAIR * 2)
