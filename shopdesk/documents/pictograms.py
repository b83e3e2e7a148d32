"""The hazard pictograms of the GHS, drawn: a black symbol on white in a red square set on its corner.

Shapes follow the descriptions and symbols of the GHS, annex 1 (as published by the United Nations);
they are this program's own drawings. A printer without colour prints the frame black, which is enough
within a workshop; what is shipped needs the supplier's own label. Under every pictogram stands its
name, so that nothing hangs on the drawing alone.
"""

import math
from typing import Final

from shopdesk.documents.ink import Drawing, Stroke, Tint
from shopdesk.domain.hazards import Pictogram

Path = tuple[tuple[str | float, ...], ...]
_ROUND: Final = 0.5523  # the handle of a cubic that comes closest to a quarter circle


def pictogram(which: Pictogram, x: float, y: float, size: float) -> Drawing:
    """One pictogram in a square of `size` whose top left corner is x, y."""
    return Drawing(x, y, size, (*_FRAME, *_SYMBOLS[which]))


def _polygon(*points: tuple[float, float]) -> Path:
    first, *others = points
    return (("m", *first), *(("l", *point) for point in others), ("z",))


def _line(*points: tuple[float, float]) -> Path:
    first, *others = points
    return (("m", *first), *(("l", *point) for point in others))


def _ellipse(x: float, y: float, across: float, down: float) -> Path:
    a, b = across * _ROUND, down * _ROUND
    return (
        ("m", x + across, y),
        ("c", x + across, y + b, x + a, y + down, x, y + down),
        ("c", x - a, y + down, x - across, y + b, x - across, y),
        ("c", x - across, y - b, x - a, y - down, x, y - down),
        ("c", x + a, y - down, x + across, y - b, x + across, y),
        ("z",),
    )


def _circle(x: float, y: float, radius: float) -> Path:
    return _ellipse(x, y, radius, radius)


_FRAME: Final = (
    Stroke(_polygon((50, 3), (97, 50), (50, 97), (3, 50)), tint=Tint.WHITE),
    Stroke(_polygon((50, 3), (97, 50), (50, 97), (3, 50)), weight=5, tint=Tint.RED),
)


def _flame(x: float, y: float, unit: float) -> Path:
    """A flame whose foot is at x, y, `unit` times 40 high."""

    def at(dx: float, dy: float) -> tuple[float, float]:
        return x + dx * unit, y - dy * unit

    return (
        ("m", *at(-2, 0)),
        ("c", *at(-16, 2), *at(-17, 14), *at(-11, 21)),
        ("c", *at(-11, 17), *at(-9, 15), *at(-7, 14)),
        ("c", *at(-10, 25), *at(-2, 30), *at(-3, 41)),
        ("c", *at(6, 35), *at(7, 28), *at(5, 21)),
        ("c", *at(8, 23), *at(9, 26), *at(9, 29)),
        ("c", *at(16, 20), *at(16, 3), *at(3, 0)),
        ("c", *at(8, 5), *at(8, 10), *at(4, 14)),
        ("c", *at(3, 10), *at(2, 9), *at(0, 8)),
        ("c", *at(1, 12), *at(-1, 14), *at(-3, 16)),
        ("c", *at(-8, 10), *at(-7, 4), *at(-2, 0)),
        ("z",),
    )


def _star(x: float, y: float, out: float, within: float, points: int) -> Path:
    corners = []
    for at in range(points * 2):
        radius, angle = (out, within)[at % 2], math.pi * at / points - math.pi / 2
        corners.append((x + radius * math.cos(angle), y + radius * math.sin(angle)))
    return _polygon(*corners)


_BAR: Final = _polygon((30, 69), (70, 69), (70, 73), (30, 73))

_EXCLAMATION: Final = (
    Stroke(
        (
            ("m", 50, 20),
            ("c", 56, 20, 58, 24, 57.5, 30),
            ("l", 54, 60),
            ("c", 53.5, 63, 46.5, 63, 46, 60),
            ("l", 42.5, 30),
            ("c", 42, 24, 44, 20, 50, 20),
            ("z",),
        )
    ),
    Stroke(_circle(50, 73, 6)),
)

_HEALTH: Final = (
    Stroke(_circle(50, 27, 8.5)),
    Stroke(
        (
            ("m", 50, 37),
            ("c", 62, 37, 70, 42, 72, 55),
            ("l", 74, 66),
            ("l", 66, 74),
            ("l", 64, 60),
            ("l", 62, 78),
            ("l", 50, 88),
            ("l", 38, 78),
            ("l", 36, 60),
            ("l", 34, 74),
            ("l", 26, 66),
            ("l", 28, 55),
            ("c", 30, 42, 38, 37, 50, 37),
            ("z",),
        )
    ),
    Stroke(_star(50, 57, 15, 5.5, 6), tint=Tint.WHITE),
)

_GAS: Final = (
    Stroke(
        (
            ("m", 24, 55),
            ("l", 62, 42),
            ("c", 67, 40, 71, 41, 73, 42),
            ("l", 80, 39.5),
            ("l", 82, 45),
            ("l", 75, 47.5),
            ("c", 74, 50, 72, 53, 67, 55),
            ("l", 29, 68),
            ("c", 20, 70, 16, 58, 24, 55),
            ("z",),
        )
    ),
)

_TUBES: Final = (
    # Two vessels pouring, one on a bar of metal, one on a hand; both are eaten into.
    Stroke(_polygon((20, 44), (42, 31), (45, 36), (23, 49)), weight=2.4),
    Stroke(_polygon((55, 31), (77, 44), (74, 49), (52, 36)), weight=2.4),
    Stroke(_circle(44, 44, 1.8)),
    Stroke(_circle(44, 50, 1.8)),
    Stroke(_circle(55, 44, 1.8)),
    Stroke(_circle(55, 50, 1.8)),
    Stroke(_polygon((22, 60), (38, 60), (41, 65), (44, 60), (48, 60), (48, 70), (22, 70))),
    Stroke(
        (
            ("m", 51, 60),
            ("c", 53, 65, 57, 65, 59, 59),
            ("l", 76, 58),
            ("c", 80, 60, 79, 64, 75, 64),
            ("l", 69, 64),
            ("c", 66, 69, 60, 71, 52, 70),
            ("z",),
        )
    ),
    Stroke(_line((40, 56), (38, 53)), weight=1.6),
    Stroke(_line((47, 56), (49, 53)), weight=1.6),
)

_SKULL: Final = (
    Stroke(_line((26, 60), (74, 76)), weight=5.5),
    Stroke(_line((74, 60), (26, 76)), weight=5.5),
    *(Stroke(_circle(x, y, 4)) for x, y in ((26, 57.5), (24, 61.5), (74, 57.5), (76, 61.5))),
    *(Stroke(_circle(x, y, 4)) for x, y in ((26, 78.5), (24, 74.5), (74, 78.5), (76, 74.5))),
    Stroke(
        (
            ("m", 50, 18),
            ("c", 66, 18, 72, 30, 69, 42),
            ("c", 68, 47, 63, 48, 61, 51),
            ("l", 60, 61),
            ("l", 40, 61),
            ("l", 39, 51),
            ("c", 37, 48, 32, 47, 31, 42),
            ("c", 28, 30, 34, 18, 50, 18),
            ("z",),
        )
    ),
    Stroke(_ellipse(42, 38, 5.5, 6), tint=Tint.WHITE),
    Stroke(_ellipse(58, 38, 5.5, 6), tint=Tint.WHITE),
    Stroke(_polygon((50, 44), (53, 51), (47, 51)), tint=Tint.WHITE),
    *(Stroke(_line((x, 54.5), (x, 60)), weight=1.5, tint=Tint.WHITE) for x in (45, 50, 55)),
)

_BOMB: Final = (
    Stroke(_circle(44, 60, 15)),
    Stroke(_star(60, 40, 15, 5, 8)),
    *(
        Stroke(_polygon((x, y), (x + 6, y - 1.5), (x + 4, y + 4)))
        for x, y in ((34, 28), (50, 17), (70, 52), (76, 40), (64, 64), (24, 44))
    ),
    Stroke(_line((54, 24), (55, 30)), weight=2),
    Stroke(_line((74, 33), (80, 31)), weight=2),
    Stroke(_line((72, 62), (76, 66)), weight=2),
)

_ENVIRONMENT: Final = (
    # A dead tree on a bank, and a fish with its belly up.
    Stroke(_polygon((33, 68), (36, 42), (34, 32), (38, 40), (40, 68))),
    *(
        Stroke(_line(*points), weight=2.4)
        for points in (
            ((37, 44), (28, 34)),
            ((31, 38), (30, 31)),
            ((38, 48), (47, 36)),
            ((43, 41), (44, 31)),
            ((36, 52), (26, 46)),
            ((38, 34), (41, 24)),
            ((44, 40), (51, 38)),
        )
    ),
    Stroke(
        (
            ("m", 14, 60),
            ("c", 22, 68, 34, 64, 44, 68),
            ("c", 54, 72, 66, 64, 80, 68),
            ("l", 68, 80),
            ("l", 32, 80),
            ("z",),
        )
    ),
    Stroke(
        (
            ("m", 52, 60),
            ("c", 58, 50, 68, 50, 74, 57),
            ("l", 82, 50),
            ("l", 81, 64),
            ("l", 74, 59),
            ("c", 68, 66, 58, 66, 52, 60),
            ("z",),
        )
    ),
    Stroke(_circle(57.5, 59, 1.5), tint=Tint.WHITE),
)


def _within(
    strokes: tuple[Stroke, ...], scale: float, dx: float = 0.0, dy: float = 0.0
) -> tuple[Stroke, ...]:
    """A symbol made smaller about the middle and moved, so that it keeps clear of the frame."""
    return tuple(
        Stroke(
            tuple((each[0], *_moved(each[1:], scale, dx, dy)) for each in stroke.path),
            weight=stroke.weight * scale,
            tint=stroke.tint,
        )
        for stroke in strokes
    )


def _moved(numbers: tuple[str | float, ...], scale: float, dx: float, dy: float) -> list[float]:
    shifts = (dx, dy)
    return [50 + (float(number) - 50) * scale + shifts[at % 2] for at, number in enumerate(numbers)]


_SYMBOLS: Final[dict[Pictogram, tuple[Stroke, ...]]] = {
    Pictogram.EXPLODING_BOMB: _within(_BOMB, 0.82, 0, 2),
    Pictogram.FLAME: (Stroke(_flame(50, 65, 1.1)), Stroke(_BAR)),
    Pictogram.FLAME_OVER_CIRCLE: (
        Stroke(_circle(50, 57, 11.5), weight=5),
        Stroke(_flame(50, 50, 0.75)),
        Stroke(_polygon((36, 73), (64, 73), (64, 76.5), (36, 76.5))),
    ),
    Pictogram.GAS_CYLINDER: _within(_GAS, 0.92, 1, -4),
    Pictogram.CORROSION: _within(_TUBES, 0.92, 0, -1),
    Pictogram.SKULL: _within(_SKULL, 0.74, 0, -2),
    Pictogram.EXCLAMATION_MARK: _EXCLAMATION,
    Pictogram.HEALTH_HAZARD: _within(_HEALTH, 0.92, 0, -2),
    Pictogram.ENVIRONMENT: _within(_ENVIRONMENT, 0.74, 0, -1),
}
