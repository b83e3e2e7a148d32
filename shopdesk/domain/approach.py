"""Newton's law of heating: y = start + rise·(1 − exp(−rate·x)), fitted by Gauss–Newton least squares.

A fluid that warms towards an end temperature follows it with rate = 1/τ and end = start + rise;
a cooling one has a negative rise. Checked against the certified values of NIST StRD Misra1a,
which is this curve with a start of zero.
"""

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

_MOST_STEPS = 60
_MOST_HALVINGS = 30
_SETTLED = 1e-13

Vector = tuple[float, ...]
Matrix = tuple[Vector, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class Approach:
    """The curve itself; x and y in any units, ``rate`` per unit of x and above zero."""

    start: float
    rise: float
    rate: float

    @property
    def end(self) -> float:
        """What the curve tends to."""
        return self.start + self.rise

    def at(self, x: float) -> float:
        """Give y at ``x``."""
        return self.start - self.rise * math.expm1(-self.rate * x)

    def when(self, y: float) -> float | None:
        """Give the x at which the curve is at ``y``, or None when it never is."""
        part = (y - self.start) / self.rise if self.rise else math.inf
        return None if part >= 1 else -math.log1p(-part) / self.rate

    def gradient(self, x: float) -> Vector:
        """Give how y changes with start, rise and rate."""
        return (1.0, -math.expm1(-self.rate * x), self.rise * x * math.exp(-self.rate * x))


@dataclass(frozen=True, kw_only=True, slots=True)
class Fit:
    """The fitted curve. ``spread`` is the inverse of JᵀJ over the fitted parameters, in their order.

    Times the residual variance it is their covariance. With a known start only rise and rate are
    fitted.
    """

    curve: Approach
    rss: float
    degrees_of_freedom: int
    spread: Matrix
    start_known: bool

    @property
    def residual_sd(self) -> float:
        """Residual standard deviation, in units of y."""
        return math.sqrt(self.rss / self.degrees_of_freedom)

    def standard_errors(self) -> Vector:
        """Give the standard errors of the fitted parameters, in their order."""
        return tuple(self.residual_sd * math.sqrt(row[at]) for at, row in enumerate(self.spread))

    def relative_variance(self, x: float) -> float:
        """Give the variance of the fitted y at ``x`` over that of one reading."""
        slope = _fitted(self.curve.gradient(x), self.start_known)
        return math.fsum(
            a * value * b for a, row in zip(slope, self.spread, strict=True)
            for value, b in zip(row, slope, strict=True)
        )  # fmt: skip


def fit_approach(
    xs: Sequence[float], ys: Sequence[float], first_guess: Approach, *, start_known: bool = False
) -> Fit | None:
    """Fit by Gauss–Newton, halving steps that do not help; None when it settles nowhere.

    Raises ValueError unless there are more points than parameters.
    """
    degrees = len(xs) - (2 if start_known else 3)
    if len(xs) != len(ys) or degrees < 1:
        raise ValueError("a fit needs more points than parameters")
    curve, rss = first_guess, _rss(first_guess, xs, ys)
    for _step in range(_MOST_STEPS):
        rows = [_fitted(curve.gradient(x), start_known) for x in xs]
        normal = _normal(rows)
        inverse = _inverse(normal)
        if inverse is None:
            return None
        residuals = [y - curve.at(x) for x, y in zip(xs, ys, strict=True)]
        step = _times(inverse, _projected(rows, residuals))
        better = _shortened(curve, step, rss, lambda tried: _rss(tried, xs, ys))
        moved = _size(curve, better)
        curve, rss = better, _rss(better, xs, ys)
        if moved < _SETTLED:
            return Fit(
                curve=curve, rss=rss, degrees_of_freedom=degrees, spread=inverse, start_known=start_known
            )
    return None


def guess(xs: Sequence[float], ys: Sequence[float]) -> Approach | None:
    """Give a first guess: the best of several rates, each with its own best start and rise."""
    span = max(xs) - min(xs)
    best: tuple[float, Approach] | None = None
    for times in (0.1, 0.2, 0.4, 0.8, 1.5, 3.0, 6.0):
        curve = _best_for(times / span, xs, ys)
        if curve is not None:
            rss = _rss(curve, xs, ys)
            if best is None or rss < best[0]:
                best = rss, curve
    return None if best is None else best[1]


def _best_for(rate: float, xs: Sequence[float], ys: Sequence[float]) -> Approach | None:
    rows = [(1.0, -math.expm1(-rate * x)) for x in xs]
    inverse = _inverse(_normal(rows))
    if inverse is None:
        return None
    start, rise = _times(inverse, _projected(rows, ys))
    return Approach(start=start, rise=rise, rate=rate)


def _fitted(gradient: Vector, start_known: bool) -> Vector:
    return gradient[1:] if start_known else gradient


def _rss(curve: Approach, xs: Sequence[float], ys: Sequence[float]) -> float:
    return math.fsum((y - curve.at(x)) ** 2 for x, y in zip(xs, ys, strict=True))


def _moved(curve: Approach, step: Vector, part: float) -> Approach:
    start = curve.start + part * step[0] if len(step) == 3 else curve.start
    return replace(curve, start=start, rise=curve.rise + part * step[-2], rate=curve.rate + part * step[-1])


def _shortened(curve: Approach, step: Vector, rss: float, cost: Callable[[Approach], float]) -> Approach:
    """Take the step, or as much of it as helps; nothing of it when none helps."""
    part = 1.0
    for _halving in range(_MOST_HALVINGS):
        tried = _moved(curve, step, part)
        if tried.rate > 0 and cost(tried) <= rss:
            return tried
        part /= 2
    return curve


def _size(before: Approach, after: Approach) -> float:
    pairs = ((before.start, after.start), (before.rise, after.rise), (before.rate, after.rate))
    return max(abs(b - a) / max(abs(a), abs(b), 1e-300) for a, b in pairs)


def _normal(rows: Sequence[Vector]) -> Matrix:
    wide = range(len(rows[0]))
    return tuple(tuple(math.fsum(row[i] * row[j] for row in rows) for j in wide) for i in wide)


def _projected(rows: Sequence[Vector], values: Sequence[float]) -> Vector:
    wide = range(len(rows[0]))
    return tuple(math.fsum(row[i] * v for row, v in zip(rows, values, strict=True)) for i in wide)


def _times(matrix: Matrix, vector: Vector) -> Vector:
    return tuple(math.fsum(a * b for a, b in zip(row, vector, strict=True)) for row in matrix)


def _inverse(matrix: Matrix) -> Matrix | None:
    """Invert a small symmetric matrix, scaled to a unit diagonal first; None when it is singular."""
    wide = range(len(matrix))
    if any(matrix[i][i] <= 0 or not math.isfinite(matrix[i][i]) for i in wide):
        return None
    scale = [math.sqrt(matrix[i][i]) for i in wide]
    work = [
        [matrix[i][j] / scale[i] / scale[j] for j in wide] + [1.0 if i == j else 0.0 for j in wide]
        for i in wide
    ]
    for pivot in wide:
        if not _clear(work, pivot):
            return None
    size = len(matrix)
    return tuple(tuple(work[i][size + j] / scale[i] / scale[j] for j in wide) for i in wide)


def _clear(work: list[list[float]], pivot: int) -> bool:
    """Bring one column of the worked matrix to that of the unit matrix; False when it cannot be."""
    largest = max(range(pivot, len(work)), key=lambda row: abs(work[row][pivot]))
    work[pivot], work[largest] = work[largest], work[pivot]
    if abs(work[pivot][pivot]) < 1e-14:
        return False
    work[pivot] = [value / work[pivot][pivot] for value in work[pivot]]
    for row in _others(len(work), pivot):
        factor = work[row][pivot]
        work[row] = [a - factor * b for a, b in zip(work[row], work[pivot], strict=True)]
    return True


def _others(size: int, without: int) -> Iterator[int]:
    return (row for row in range(size) if row != without)
