"""The window band's picture: temperatures against the clock as places in a frame, with their texts.

Places are shares of the frame's sides from its lower left corner. Nothing here knows the toolkit.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from gettext import gettext as _
from zoneinfo import ZoneInfo

from shopdesk.domain import units
from shopdesk.domain.record import Facts, openings
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures
from shopdesk.services.warmup import Warm, WarmUp, from_ms, to_ms
from shopdesk.ui.presenters.window_words import headline

Place = tuple[float, float]

_LIVE = timedelta(minutes=15)
_BEHIND = timedelta(minutes=15)
_LEAST_AHEAD = timedelta(minutes=4)
_MOST_AHEAD = timedelta(minutes=20)
_LEAST_SPAN = timedelta(minutes=2)
_BEYOND = 1.25
_STEPS = 32
_LEAST_MARGIN_MC = 2_500
_MOST_TICKS = 6
_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240, 720)
_DEGREES = (2, 5, 10, 20, 25, 50, 100)


@dataclass(frozen=True, kw_only=True, slots=True)
class Dot:
    """One reading, with its words."""

    at: Place
    words: str


@dataclass(frozen=True, kw_only=True, slots=True)
class PlugMark:
    """Where the level plug was opened, or closed."""

    at: Place
    words: str
    closes: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Tick:
    """A place along a side with what stands there."""

    at: float
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class BandPicture:
    """Everything the band draws. ``low`` and ``high`` bound the window; ``now`` is None when it is over.

    ``course`` is the likeliest way on from the last reading; ``upper`` and ``lower`` bound the fan.
    """

    low: float | None = None
    high: float | None = None
    window: str = ""
    dots: tuple[Dot, ...] = ()
    course: tuple[Place, ...] = ()
    upper: tuple[Place, ...] = ()
    lower: tuple[Place, ...] = ()
    marks: tuple[PlugMark, ...] = ()
    across: tuple[Tick, ...] = ()
    upward: tuple[Tick, ...] = ()
    now: float | None = None
    sentence: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class _Plug:
    at: datetime
    mc: int
    closes: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class _Frame:
    start: datetime
    end: datetime
    low_mc: int
    high_mc: int

    def place(self, at: datetime, mc: float) -> Place:
        return self.across(at), (mc - self.low_mc) / (self.high_mc - self.low_mc)

    def across(self, at: datetime) -> float:
        return (at - self.start) / (self.end - self.start)

    def upward(self, mc: int) -> float:
        return (mc - self.low_mc) / (self.high_mc - self.low_mc)


def band_picture(warm: WarmUp, view: RecordView, now: datetime, figures: Figures) -> BandPicture:
    """Give the picture of a warm-up at ``now``; without window and readings only its sentence."""
    plugs = tuple(_plugs(view))
    if warm.window is None and len(warm.readings) + len(plugs) == 0:
        return BandPicture(sentence=headline(warm, now, figures))
    newest = max([*(each.at for each in warm.readings[-1:]), *(each.at for each in plugs)], default=now)
    live = now - newest <= _LIVE
    frame = _frame(warm, plugs, now, live=live)
    shown = [each for each in warm.readings if frame.start <= each.at <= frame.end]
    course, upper, lower = _fan(warm, frame) if live else ((), (), ())
    window = warm.window
    return BandPicture(
        low=None if window is None else frame.upward(window.low_mc),
        high=None if window is None else frame.upward(window.high_mc),
        window="" if window is None else figures.window(window.low_mc, window.high_mc),
        dots=tuple(Dot(at=frame.place(each.at, each.mc), words=_dot_words(each, figures)) for each in shown),
        course=course,
        upper=upper,
        lower=lower,
        marks=tuple(_mark(each, frame, figures) for each in plugs if frame.start <= each.at <= frame.end),
        across=tuple(_across(frame, figures)),
        upward=tuple(_upward(frame, figures)),
        now=frame.across(now) if live else None,
        sentence=_sentence(warm, plugs, now, figures, live=live),
    )


def _plugs(view: RecordView) -> Iterator[_Plug]:
    for each in openings(Facts(kept.entry for kept in view.entries)):
        if each.open_mc is not None and each.opened_at is not None:
            yield _Plug(at=each.opened_at, mc=each.open_mc, closes=False)
        if each.close_mc is not None and each.closed_at is not None:
            yield _Plug(at=each.closed_at, mc=each.close_mc, closes=True)


def _frame(warm: WarmUp, plugs: Sequence[_Plug], now: datetime, *, live: bool) -> _Frame:
    times = [*(each.at for each in warm.readings), *(each.at for each in plugs)]
    if live:
        start = max(min(times, default=now), now - _BEHIND)
        end = max(now + _LEAST_AHEAD, min(_horizon(warm, now), now + _MOST_AHEAD))
        start = min(start, now - timedelta(seconds=30))
    else:
        start, end = min(times), max(times)
        end = max(end, start + _LEAST_SPAN)
    degrees = [each.mc for each in warm.readings if start <= each.at <= end]
    degrees += [each.mc for each in plugs if start <= each.at <= end]
    if warm.window is not None:
        degrees += [warm.window.low_mc, warm.window.high_mc]
    low, high = min(degrees, default=20_000), max(degrees, default=40_000)
    margin = max(_LEAST_MARGIN_MC, (high - low) // 10)
    return _Frame(start=start, end=end, low_mc=low - margin, high_mc=high + margin)


def _horizon(warm: WarmUp, now: datetime) -> datetime:
    """When the window is likely to be over, and some more; now where that cannot be said."""
    found = warm.forecast
    if found is None or found.closes is None:
        return now
    known = (found.closes.at_ms, found.opens.at_ms if found.opens else None)
    ms = next((each for each in known if each is not None), None)
    return now if ms is None else now + (from_ms(ms) - now) * _BEYOND


def _fan(warm: WarmUp, frame: _Frame) -> tuple[tuple[Place, ...], tuple[Place, ...], tuple[Place, ...]]:
    found, last = warm.forecast, warm.last
    if found is None or last is None:
        return (), (), ()
    course, upper, lower = [], [], []
    for step in range(_STEPS + 1):
        at = last.at + (frame.end - last.at) * step / _STEPS
        likely, reach = found.expected_mc(to_ms(at)), found.range_mc(to_ms(at))
        if likely is None or reach is None:
            return (), (), ()
        course.append(frame.place(at, likely))
        lower.append(frame.place(at, reach[0]))
        upper.append(frame.place(at, reach[1]))
    return tuple(course), tuple(upper), tuple(lower)


def _dot_words(each: Warm, figures: Figures) -> str:
    parts = (figures.clock(each.at), figures.temperature(each.mc), _(each.source.value), each.person)
    return ", ".join(parts)


def _mark(each: _Plug, frame: _Frame, figures: Figures) -> PlugMark:
    words = _("closed {temperature}") if each.closes else _("opened {temperature}")
    return PlugMark(
        at=frame.place(each.at, each.mc),
        words=words.format(temperature=figures.temperature(each.mc)),
        closes=each.closes,
    )


def _across(frame: _Frame, figures: Figures) -> Iterator[Tick]:
    whole = (frame.end - frame.start) / timedelta(minutes=1)
    step = next((each for each in _MINUTES if whole / each <= _MOST_TICKS), _MINUTES[-1])
    local = frame.start.astimezone(ZoneInfo(figures.shop.zone))
    midnight = local.replace(hour=0, minute=0, second=0, microsecond=0)
    minutes = -(-int((local - midnight).total_seconds()) // 60)
    at = midnight + timedelta(minutes=-(-minutes // step) * step)
    while at <= frame.end:
        yield Tick(at=frame.across(at), text=figures.clock(at))
        at += timedelta(minutes=step)


def _upward(frame: _Frame, figures: Figures) -> Iterator[Tick]:
    unit = figures.shop.temperature_unit
    low, high = units.from_mc(frame.low_mc, unit), units.from_mc(frame.high_mc, unit)
    step = next((each for each in _DEGREES if (high - low) / each <= _MOST_TICKS), _DEGREES[-1])
    shown = -(-low // step) * step
    while shown <= high:
        mc = units.to_mc(Fraction(shown), unit)
        yield Tick(at=frame.upward(mc), text=figures.temperature(mc))
        shown += step


def _sentence(warm: WarmUp, plugs: Sequence[_Plug], now: datetime, figures: Figures, *, live: bool) -> str:
    told = [headline(warm, now, figures)] if live else [_past(warm, figures)]
    return " ".join([*told, *_plug_sentences(plugs, figures)])


def _past(warm: WarmUp, figures: Figures) -> str:
    if not warm.readings:
        return _("No temperature was read while it warmed.")
    first, last = warm.readings[0], warm.readings[-1]
    return _("From {first} at {start} to {last} at {end}.").format(
        first=figures.temperature(first.mc),
        start=figures.clock(first.at),
        last=figures.temperature(last.mc),
        end=figures.clock(last.at),
    )


def _plug_sentences(plugs: Iterable[_Plug], figures: Figures) -> Iterator[str]:
    for each in plugs:
        words = _("Closed {time} at {temperature}.") if each.closes else _("Opened {time} at {temperature}.")
        yield words.format(time=figures.clock(each.at), temperature=figures.temperature(each.mc))
