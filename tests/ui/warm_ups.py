"""Warm-ups and openings of a level plug for the window's tests. Everything is invented."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any, cast

from shopdesk.domain.level_rules import Flow
from shopdesk.domain.record import Entry
from shopdesk.domain.warmup import forecast
from shopdesk.domain.window_advice import Window
from shopdesk.services.bay import RecordView
from shopdesk.services.warmup import Source, Warm, WarmUp, as_reading

BEGIN = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
WINDOW = Window(low_mc=35_000, high_mc=45_000)


def after(seconds: float) -> datetime:
    return BEGIN + timedelta(seconds=seconds)


def warm_up(
    *pairs: tuple[float, int], window: Window | None = WINDOW, per_degree_ul: int | None = 5260
) -> WarmUp:
    """A warm-up from (seconds, 1/1000 °C)."""
    readings = tuple(
        Warm(at=after(seconds), mc=mc, source=Source.TAPPED, person="Rhea Sandoval") for seconds, mc in pairs
    )
    found = (
        None
        if window is None
        else forecast(map(as_reading, readings), low_mc=window.low_mc, high_mc=window.high_mc)
    )
    return WarmUp(
        record_id=1,
        window=window,
        closing=frozenset({Flow.DRIP}),
        readings=readings,
        logs=(),
        forecast=found,
        per_degree_ul=per_degree_ul,
    )


def record_with(*entries: tuple[str, int, float]) -> RecordView:
    """A record as far as the band looks at it: (field, 1/1000 °C, seconds)."""
    kept = [
        Entry(id=at, field=field, value_int=mc, measured_at=after(seconds))
        for at, (field, mc, seconds) in enumerate(entries, start=1)
    ]
    return cast("RecordView", cast("Any", SimpleNamespace(entries=[SimpleNamespace(entry=e) for e in kept])))
