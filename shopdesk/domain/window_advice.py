"""What to do with the level plug now: wait, open, let it run, close, or let the unit cool.

The last reading counts; between readings the forecast's temperature stands in for it, and the
advice says so. Times left are milliseconds from now.
"""

from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.level_rules import Flow
from shopdesk.domain.warmup import Crossing, Forecast, Reading
from shopdesk.domain.words import N_

STALE_MS = 180_000
"""A last reading older than this is asked for again (common practice, no source)."""

CLOSE_MARGIN_MS = 30_000
"""So long before the upper bound an open plug is to be closed, drip or not (common practice, no source)."""

_FRESH_MS = 10_000


class Say(StrEnum):
    """The word that stands large on the screen."""

    READ = N_("take a reading")
    WAIT = N_("wait")
    OPEN_NOW = N_("open now")
    LET_RUN = N_("let it run")
    CLOSE_NOW = N_("close now")
    TOO_HOT = N_("too hot: let it cool")


@dataclass(frozen=True, kw_only=True, slots=True)
class Window:
    """The sheet's window, 1/1000 °C, bounds included."""

    low_mc: int
    high_mc: int

    def holds(self, mc: int) -> bool:
        """Whether a temperature lies inside."""
        return self.low_mc <= mc <= self.high_mc


@dataclass(frozen=True, kw_only=True, slots=True)
class Left:
    """Time left until a bound: likeliest, least and most; ``None`` where it cannot be said."""

    likely_ms: int | None
    least_ms: int | None
    most_ms: int | None


@dataclass(frozen=True, kw_only=True, slots=True)
class Advice:
    """What to do, why, and how long it holds.

    ``mc`` is the temperature it rests on, ``measured`` whether that is the last reading itself,
    ``stale`` whether that reading is old. ``left`` runs to the lower bound while waiting and to
    the upper bound inside the window.
    """

    say: Say
    sentence: str
    mc: int | None = None
    measured: bool = True
    stale: bool = False
    left: Left | None = None


def advise(
    last: Reading | None,
    found: Forecast,
    window: Window,
    *,
    now_ms: int,
    plug_open: bool = False,
    flow: Flow | None = None,
    closing: frozenset[Flow] = frozenset({Flow.DRIP}),
) -> Advice:
    """Say what to do at ``now_ms``; ``flow`` is what is seen at the open plug, ``closing`` what ends it."""
    if last is None:
        return Advice(say=Say.READ, sentence=_("No temperature has been read yet."))
    expected = found.expected_mc(now_ms) if now_ms > last.at_ms + _FRESH_MS else None
    # A forecast is no cooler than what was read: it is asked only how much further it went.
    mc = last.mc if expected is None else max(last.mc, expected)
    left = _left(found.opens if mc < window.low_mc else found.closes, now_ms)
    say, sentence = _open(mc, window, left, flow, closing) if plug_open else _closed(mc, window)
    return Advice(
        say=say,
        sentence=sentence,
        mc=mc,
        measured=mc == last.mc,
        stale=now_ms - last.at_ms > STALE_MS,
        left=None if say is Say.TOO_HOT else left,
    )


def _left(crossing: Crossing | None, now_ms: int) -> Left | None:
    if crossing is None or crossing.reached:
        return None
    times = (crossing.at_ms, crossing.earliest_ms, crossing.latest_ms)
    likely, least, most = (None if at is None else max(0, at - now_ms) for at in times)
    return Left(likely_ms=likely, least_ms=least, most_ms=most)


def _closed(mc: int, window: Window) -> tuple[Say, str]:
    if mc < window.low_mc:
        return Say.WAIT, _("Below the window: leave the level plug closed.")
    if mc > window.high_mc:
        return Say.TOO_HOT, _("Above the window: let it cool before the level plug is opened.")
    return Say.OPEN_NOW, _("Inside the window: open the level plug.")


def _open(
    mc: int, window: Window, left: Left | None, flow: Flow | None, closing: frozenset[Flow]
) -> tuple[Say, str]:
    if mc > window.high_mc:
        return Say.TOO_HOT, _("Above the window: close the plug, let it cool and repeat.")
    if mc < window.low_mc:
        return Say.CLOSE_NOW, _("Below the window: close the plug and wait.")
    if flow is Flow.NONE:
        return Say.CLOSE_NOW, _("Nothing runs out: close the plug, add fluid and repeat.")
    if flow in closing:
        return Say.CLOSE_NOW, _("The flow is as it should be at closing: close the plug.")
    if left is not None and left.least_ms is not None and left.least_ms <= CLOSE_MARGIN_MS:
        return Say.CLOSE_NOW, _("The window is about to end: close the plug.")
    return Say.LET_RUN, _("Let it run until the flow is as it should be at closing.")
