"""A record's warm-up as its paper draws it: everything turned into places and texts."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from fractions import Fraction
from gettext import gettext as _

from shopdesk.documents.window_chart import Event, Tick, WindowChart
from shopdesk.domain import units
from shopdesk.domain.record import Facts, openings
from shopdesk.domain.window_advice import Window
from shopdesk.services.acting import Reading
from shopdesk.services.bay import RecordView
from shopdesk.services.figures import Figures
from shopdesk.services.warmup import Warm, logs_of, readings_of, window_of

_MOST_TICKS = 8
_MINUTES = (1, 2, 5, 10, 15, 30, 60, 120, 240)
_DEGREES = (2, 5, 10, 20, 25, 50, 100)
_LEAST_MARGIN_MC = 2_000
_LEAST_SPAN = timedelta(minutes=1)


@dataclass(frozen=True, kw_only=True, slots=True)
class _Seen:
    """One temperature at the plug: when it was opened, or closed."""

    at: datetime
    mc: int
    closes: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class _Frame:
    """What the drawing spans."""

    start: datetime
    end: datetime
    low_mc: int
    high_mc: int

    def across(self, at: datetime) -> float:
        return (at - self.start) / (self.end - self.start)

    def upward(self, mc: int) -> float:
        return (mc - self.low_mc) / (self.high_mc - self.low_mc)


def window_chart(reading: Reading, figures: Figures, view: RecordView) -> WindowChart | None:
    """Give the drawing; None without a window, or with fewer than two temperatures whose time is known."""
    window = window_of(view)
    readings = readings_of(reading, view.record_id)
    seen = tuple(_seen(view))
    if window is None or len(readings) + len(seen) < 2:
        return None
    frame = _frame(readings, seen, window)
    return WindowChart(
        readings=tuple((frame.across(each.at), frame.upward(each.mc)) for each in readings),
        low=frame.upward(window.low_mc),
        high=frame.upward(window.high_mc),
        window=_("window {bounds}").format(bounds=figures.window(window.low_mc, window.high_mc)),
        events=tuple(_event(figures, frame, each, named=each in seen[-2:]) for each in seen),
        across=tuple(_across(frame)),
        upward=tuple(_upward(figures, frame)),
        note=_note(reading, figures, view, readings, frame),
    )


def _seen(view: RecordView) -> Iterator[_Seen]:
    for each in openings(Facts(kept.entry for kept in view.entries)):
        if each.open_mc is not None and each.opened_at is not None:
            yield _Seen(at=each.opened_at, mc=each.open_mc, closes=False)
        if each.close_mc is not None and each.closed_at is not None:
            yield _Seen(at=each.closed_at, mc=each.close_mc, closes=True)


def _frame(readings: Sequence[Warm], seen: Sequence[_Seen], window: Window) -> _Frame:
    times = [*(each.at for each in readings), *(each.at for each in seen)]
    degrees = [*(each.mc for each in readings), *(each.mc for each in seen), window.low_mc, window.high_mc]
    margin = max(_LEAST_MARGIN_MC, (max(degrees) - min(degrees)) // 12)
    start, end = min(times), max(times)
    return _Frame(
        start=start,
        end=max(end, start + _LEAST_SPAN),
        low_mc=min(degrees) - margin,
        high_mc=max(degrees) + margin,
    )


def _event(figures: Figures, frame: _Frame, seen: _Seen, *, named: bool) -> Event:
    """Only the last opening, which counts, has its words; those before it are marks."""
    words = _("closed {temperature}") if seen.closes else _("opened {temperature}")
    return Event(
        at=frame.across(seen.at),
        height=frame.upward(seen.mc),
        text=words.format(temperature=figures.temperature(seen.mc)) if named else "",
        closes=seen.closes,
    )


def _across(frame: _Frame) -> Iterator[Tick]:
    whole = (frame.end - frame.start) / timedelta(minutes=1)
    step = next((each for each in _MINUTES if whole / each <= _MOST_TICKS), int(whole / _MOST_TICKS) + 1)
    for minute in range(0, int(whole) + 1, step):
        at = frame.start + timedelta(minutes=minute)
        yield Tick(at=frame.across(at), text=_("{n} min").format(n=minute))


def _upward(figures: Figures, frame: _Frame) -> Iterator[Tick]:
    unit = figures.shop.temperature_unit
    low, high = units.from_mc(frame.low_mc, unit), units.from_mc(frame.high_mc, unit)
    step = next((each for each in _DEGREES if (high - low) / each <= _MOST_TICKS - 2), _DEGREES[-1])
    shown = -(-low // step) * step
    while shown <= high:
        mc = units.to_mc(Fraction(shown), unit)
        yield Tick(at=frame.upward(mc), text=figures.temperature(mc))
        shown += step


def _note(
    reading: Reading, figures: Figures, view: RecordView, readings: Sequence[Warm], frame: _Frame
) -> str:
    notes = [_("Minutes from {time}.").format(time=figures.stamp(frame.start))]
    sources = dict.fromkeys(_(each.source) for each in readings)
    if sources:
        notes.append(_("Readings: {sources}.").format(sources=", ".join(sources)))
    for log in logs_of(reading, view.record_id):
        if not log.start_known:
            notes.append(_("When {name} began was not known; its end was taken as when it was brought in.")
                         .format(name=log.name))  # fmt: skip
    return " ".join(notes)
