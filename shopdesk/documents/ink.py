"""What can stand on a page, and how it is put there. Positions count from the page's top left, in points.

User text reaches a page only as a drawn string: nothing on the way reads markup.
"""

from dataclasses import dataclass
from enum import StrEnum
from io import BytesIO
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

from shopdesk.documents.fonts import Face


class Shape(StrEnum):
    """Marks that are drawn, because the typeface has no glyph for them."""

    DOT = "dot"
    DIAMOND = "diamond"
    TRIANGLE = "triangle"
    CAUTION = "caution"
    SQUARE = "square"


@dataclass(frozen=True, slots=True)
class Text:
    """A string; x at its left end, y at its baseline."""

    x: float
    y: float
    text: str
    face: Face
    size: float


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line."""

    x: float
    y: float
    to_x: float
    to_y: float
    weight: float


@dataclass(frozen=True, slots=True)
class Box:
    """An empty rectangle; x, y its top left corner."""

    x: float
    y: float
    width: float
    height: float
    weight: float


@dataclass(frozen=True, slots=True)
class Mark:
    """A drawn mark in a square of `size` whose top left corner is x, y."""

    x: float
    y: float
    size: float
    shape: Shape


@dataclass(frozen=True, slots=True)
class Symbol:
    """A matrix symbol; each run is (row, first column, modules) of dark modules; x, y the top left of the
    modules."""

    x: float
    y: float
    module: float
    runs: tuple[tuple[int, int, int], ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A line through points, each right of and below x, y."""

    x: float
    y: float
    points: tuple[tuple[float, float], ...]
    weight: float


@dataclass(frozen=True, slots=True)
class Photograph:
    """A JPEG in a rectangle whose top left corner is x, y; its own sides must have the same ratio."""

    x: float
    y: float
    width: float
    height: float
    jpeg: bytes


class Tint(StrEnum):
    """What a drawn shape is printed in."""

    BLACK = "black"
    WHITE = "white"
    RED = "red"


@dataclass(frozen=True, slots=True)
class Stroke:
    """One shape of a drawing in a square of 100 by 100, y counted downwards.

    `path` is made of ("m", x, y), ("l", x, y), ("c", x1, y1, x2, y2, x, y) and ("z",); `weight` of its
    line in the same units, 0 to fill it.
    """

    path: tuple[tuple[str | float, ...], ...]
    weight: float = 0.0
    tint: Tint = Tint.BLACK


@dataclass(frozen=True, slots=True)
class Drawing:
    """Strokes, one over another, in a square of `size` whose top left corner is x, y."""

    x: float
    y: float
    size: float
    strokes: tuple[Stroke, ...]


Ink = Text | Rule | Box | Mark | Symbol | Curve | Photograph | Drawing


_TINTS = {Tint.BLACK: (0.0, 0.0, 0.0), Tint.WHITE: (1.0, 1.0, 1.0), Tint.RED: (0.85, 0.0, 0.0)}


class Page:
    """One page of a reportlab canvas, addressed from its top left corner."""

    def __init__(self, canvas: "Canvas", height: float) -> None:
        self._canvas = canvas
        self._height = height

    def put(self, ink: Ink, dx: float, dy: float) -> None:
        """Draw one thing, moved by dx, dy."""
        x, y = ink.x + dx, self._height - ink.y - dy
        match ink:
            case Text():
                self._canvas.setFont(ink.face.value, ink.size)
                self._canvas.drawString(x, y, ink.text)
            case Rule():
                self._canvas.setLineWidth(ink.weight)
                self._canvas.line(x, y, ink.to_x + dx, self._height - ink.to_y - dy)
            case Box():
                self._canvas.setLineWidth(ink.weight)
                self._canvas.rect(x, y - ink.height, ink.width, ink.height)
            case Mark():
                self._mark(ink.shape, x, y, ink.size)
            case Drawing():
                for stroke in ink.strokes:
                    self._stroke(stroke, x, y, ink.size / 100)
            case Symbol():
                self._symbol(ink, x, y)
            case Curve():
                self._curve(ink, x, y)
            case Photograph():
                self._photograph(ink, x, y)

    def _stroke(self, stroke: Stroke, x: float, y: float, unit: float) -> None:
        path = self._canvas.beginPath()
        draw = {"m": path.moveTo, "l": path.lineTo, "c": path.curveTo}
        for kind, *numbers in stroke.path:
            if kind == "z":
                path.close()
                continue
            values = [float(number) * unit for number in numbers]
            placed = [x + value if at % 2 == 0 else y - value for at, value in enumerate(values)]
            draw[str(kind)](*placed)
        red, green, blue = _TINTS[stroke.tint]
        self._canvas.saveState()
        self._canvas.setStrokeColorRGB(red, green, blue)
        self._canvas.setFillColorRGB(red, green, blue)
        self._canvas.setLineWidth(stroke.weight * unit)
        self._canvas.setLineJoin(1)
        self._canvas.setLineCap(1)
        self._canvas.drawPath(path, stroke=int(stroke.weight > 0), fill=int(stroke.weight == 0))
        self._canvas.restoreState()

    def _symbol(self, symbol: Symbol, x: float, y: float) -> None:
        path, module = self._canvas.beginPath(), symbol.module
        for row, column, count in symbol.runs:
            path.rect(x + column * module, y - (row + 1) * module, count * module, module)
        self._canvas.drawPath(path, stroke=0, fill=1)

    def _curve(self, curve: Curve, x: float, y: float) -> None:
        path = self._canvas.beginPath()
        for at, (right, below) in enumerate(curve.points):
            (path.lineTo if at else path.moveTo)(x + right, y - below)
        self._canvas.setLineJoin(1)
        self._canvas.setLineWidth(curve.weight)
        self._canvas.drawPath(path, stroke=1, fill=0)

    def _photograph(self, photograph: Photograph, x: float, y: float) -> None:
        from reportlab.lib.utils import ImageReader  # few papers have photographs

        reader = ImageReader(BytesIO(photograph.jpeg))
        self._canvas.drawImage(reader, x, y - photograph.height, photograph.width, photograph.height)

    def _mark(self, shape: Shape, x: float, y: float, size: float) -> None:
        half = size / 2
        if shape is Shape.DOT:
            self._canvas.circle(x + half, y - half, half * 0.8, stroke=0, fill=1)
        elif shape is Shape.DIAMOND:
            corners = ((x + half, y), (x + size, y - half), (x + half, y - size), (x, y - half))
            self._outline(corners, weight=size * 0.12)
        elif shape is Shape.TRIANGLE:
            self._outline(_triangle(x, y, size), weight=0, fill=1)
        elif shape is Shape.CAUTION:
            self._caution(x, y, size)
        else:
            self._canvas.setLineWidth(0.9)
            self._canvas.rect(x, y - size, size, size)

    def _caution(self, x: float, y: float, size: float) -> None:
        """A warning triangle: outline, and an exclamation mark of a stroke and a dot."""
        self._outline(_triangle(x, y, size), weight=size * 0.1)
        middle = x + size / 2
        self._canvas.setLineWidth(size * 0.12)
        self._canvas.line(middle, y - size * 0.4, middle, y - size * 0.65)
        self._canvas.circle(middle, y - size * 0.79, size * 0.065, stroke=0, fill=1)

    def _outline(self, corners: tuple[tuple[float, float], ...], *, weight: float, fill: int = 0) -> None:
        path = self._canvas.beginPath()
        path.moveTo(*corners[0])
        for corner in corners[1:]:
            path.lineTo(*corner)
        path.close()
        self._canvas.setLineJoin(1)
        self._canvas.setLineWidth(weight)
        self._canvas.drawPath(path, stroke=0 if fill else 1, fill=fill)


def _triangle(x: float, y: float, size: float) -> tuple[tuple[float, float], ...]:
    return ((x + size / 2, y - size * 0.06), (x + size, y - size * 0.94), (x, y - size * 0.94))
