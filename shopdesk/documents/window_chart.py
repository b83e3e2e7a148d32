"""The warm-up as a small drawing: readings against the clock, the window, when the plug was opened and
closed.

Places are shares of the drawing's sides, counted from its lower left corner; every label arrives as text.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from shopdesk.documents.fonts import Fonts
from shopdesk.documents.ink import Box, Curve, Ink, Mark, Rule, Shape, Text
from shopdesk.documents.parts import Band, Column, paragraph
from shopdesk.documents.theme import HAIR, LABEL, LINE, NOTE, SMALL_GAP, Style

_HEIGHT: Final = 120.0
_LEFT: Final = 44.0
_FOOT: Final = 13.0
_HEAD: Final = 11.0
_DASH: Final = 4.0
_BAR: Final = 3.0
_DOT: Final = 2.6
_EVENT: Final = 6.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Tick:
    """A place on an axis with what stands there."""

    at: float
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Event:
    """Opening or closing of the level plug."""

    at: float
    height: float
    text: str
    closes: bool = False


@dataclass(frozen=True, kw_only=True, slots=True)
class WindowChart:
    """A warm-up ready to be drawn. ``low`` and ``high`` bound the window; ``note`` stands beneath."""

    readings: tuple[tuple[float, float], ...]
    low: float
    high: float
    window: str
    events: tuple[Event, ...]
    across: tuple[Tick, ...]
    upward: tuple[Tick, ...]
    note: str = ""


def chart_bands(fonts: Fonts, column: Column, chart: WindowChart) -> list[Band]:
    """The drawing as one band, and its note beneath."""
    plot = _Plot(
        x=column.x + _LEFT, width=column.width - _LEFT, top=_HEAD, height=_HEIGHT - _HEAD - _FOOT, fonts=fonts
    )
    drawing = Band(_HEIGHT, tuple(_ink(plot, chart)))
    return [drawing, *paragraph(fonts, column, chart.note, NOTE)]


@dataclass(frozen=True, kw_only=True, slots=True)
class _Plot:
    """The rectangle that is drawn in."""

    x: float
    width: float
    top: float
    height: float
    fonts: Fonts

    def across(self, share: float) -> float:
        return self.x + share * self.width

    def down(self, share: float) -> float:
        return self.top + (1 - share) * self.height

    def wide(self, text: str, style: Style) -> float:
        return self.fonts.width(self.fonts.printable(text), style.face, style.size)


def _ink(plot: _Plot, chart: WindowChart) -> Iterator[Ink]:
    yield Box(plot.x, plot.top, plot.width, plot.height, HAIR)
    yield from _window(plot, chart)
    yield from _ticks(plot, chart)
    if len(chart.readings) > 1:
        points = tuple((x * plot.width, (1 - y) * plot.height) for x, y in chart.readings)
        yield Curve(plot.x, plot.top, points, LINE)
    if len(chart.readings) <= plot.width / (2 * _DOT):
        for x, y in chart.readings:
            yield Mark(plot.across(x) - _DOT / 2, plot.down(y) - _DOT / 2, _DOT, Shape.DOT)
    for event in chart.events:
        yield from _event(plot, event)


def _window(plot: _Plot, chart: WindowChart) -> Iterator[Ink]:
    """Dashed bounds, a bar between them on the axis, and the window's name inside, at the left."""
    top, foot = plot.down(chart.high), plot.down(chart.low)
    yield Rule(plot.x + _BAR / 2, top, plot.x + _BAR / 2, foot, _BAR)
    for y in (top, foot):
        x = plot.x
        while x < plot.x + plot.width:
            yield Rule(x, y, min(x + _DASH, plot.x + plot.width), y, LINE)
            x += 2 * _DASH
    yield _text(plot, plot.x + _BAR + SMALL_GAP, top + NOTE.leading, chart.window)


def _ticks(plot: _Plot, chart: WindowChart) -> Iterator[Ink]:
    for tick in chart.across:
        x = plot.across(tick.at)
        half = plot.wide(tick.text, NOTE) / 2
        left = min(max(x - half, plot.x), plot.x + plot.width - 2 * half)
        yield Rule(x, plot.top + plot.height, x, plot.top + plot.height + 2, HAIR)
        yield _text(plot, left, plot.top + plot.height + 10, tick.text)
    for tick in chart.upward:
        y = plot.down(tick.at)
        yield Rule(plot.x - 2, y, plot.x, y, HAIR)
        yield _text(plot, plot.x - 4 - plot.wide(tick.text, NOTE), y + NOTE.size * 0.35, tick.text)


def _event(plot: _Plot, event: Event) -> Iterator[Ink]:
    """A mark on the curve (a dot where the plug was opened, a triangle where it was closed) and its words."""
    x, y = plot.across(event.at), plot.down(event.height)
    shape = Shape.TRIANGLE if event.closes else Shape.DOT
    yield Rule(x, plot.top, x, plot.top + plot.height, HAIR)
    yield Mark(x - _EVENT / 2, y - _EVENT / 2, _EVENT, shape)
    wide = plot.wide(event.text, LABEL)
    left = x + 3 if event.closes and x + 3 + wide < plot.x + plot.width else x - 3 - wide
    yield _text(plot, max(left, plot.x), plot.top - 3, event.text, LABEL)


def _text(plot: _Plot, x: float, y: float, text: str, style: Style = NOTE) -> Text:
    return Text(x, y, plot.fonts.printable(text), style.face, style.size)
