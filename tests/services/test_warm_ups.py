"""Temperatures against the clock: typed, tapped, from a log; what is forecast, and what is refused."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.domain.log_lines import LogFault
from shopdesk.domain.warmup import Basis
from shopdesk.domain.window_advice import Say
from shopdesk.services.desk import Desk
from shopdesk.services.warmup import (
    AddReading,
    Source,
    TapReading,
    WithdrawLog,
    WithdrawReading,
)
from shopdesk.services.warmup_log import BringLog, LogKept
from tests.services.floors import Floor
from tests.services.logs import celsius, fahrenheit
from tests.services.shopfloor import NOW, StandingClock, ask, document, run


@pytest.fixture
def record_id(desk: Desk) -> int:
    """A record whose level is set from 35 to 45 °C, in a shop that reads °F."""
    return run(desk, document("us")).record_id


def _add(desk: Desk, record_id: int, temperature: str, at: datetime | None = None) -> int:
    command = AddReading(actor=desk.actor(), record_id=record_id, temperature=temperature, at=at)
    return desk.warmups.add(command).id


def _bring(desk: Desk, record_id: int, file: Path, **more: object) -> LogKept:
    choice = desk.warmup_logs.look(file).choice
    assert choice is not None
    command = BringLog(actor=desk.actor(), record_id=record_id, file=file, choice=choice)
    return desk.warmup_logs.bring(replace(command, **more))


def test_that_typed_and_tapped_readings_make_a_forecast(
    desk: Desk, record_id: int, clock: StandingClock
) -> None:
    _add(desk, record_id, "80")  # °F, as the shop reads
    for _tap in range(4):
        clock.forward(minutes=1)
        desk.warmups.tap(TapReading(actor=desk.actor(), record_id=record_id, degrees=2))
    view = desk.warmups.view(record_id)
    assert [each.mc for each in view.readings] == [26_667, 27_778, 28_889, 30_000, 31_111]
    assert [each.source for each in view.readings] == [Source.TYPED, *[Source.TAPPED] * 4]
    assert view.forecast is not None
    assert view.forecast.basis is Basis.LINE
    assert view.forecast.opens is not None
    # Computed: 2 °F a minute from 88 °F are 3.5 minutes to 95 °F.
    opens_at = datetime.fromtimestamp((view.forecast.opens.at_ms or 0) / 1000, UTC)
    assert abs(opens_at - (clock.now() + timedelta(minutes=3.5))) < timedelta(seconds=1)
    advice = view.advice(clock.now())
    assert advice is not None
    assert advice.say is Say.WAIT
    assert view.per_degree_ul is not None
    assert desk.safekeeping.check().findings == ()


def test_that_what_stands_still_has_no_forecast(desk: Desk, record_id: int, clock: StandingClock) -> None:
    for _reading in range(3):
        _add(desk, record_id, "90 degF")
        clock.forward(minutes=1)
    forecast = desk.warmups.view(record_id).forecast
    assert forecast is not None
    assert (forecast.basis, forecast.opens) == (Basis.NONE, None)


def test_that_a_reading_taken_back_counts_no_more(floor: Floor, record_id: int) -> None:
    desk, clock = floor.desk, floor.clock
    _add(desk, record_id, "80")
    clock.forward(minutes=1)
    wrong = _add(desk, record_id, "180")
    desk.warmups.withdraw(WithdrawReading(actor=desk.actor(), reading_id=wrong))
    assert [each.mc for each in desk.warmups.view(record_id).readings] == [26_667]
    with pytest.raises(NotFound, match="taken back already"):
        desk.warmups.withdraw(WithdrawReading(actor=desk.actor(), reading_id=wrong))
    assert ask(floor.url, "SELECT count(*) FROM warmup_reading") == [(3,)]
    assert desk.safekeeping.check().findings == ()


@pytest.mark.parametrize(
    ("temperature", "at", "field"),
    [
        ("warm", None, "temperature"),
        ("3 qt", None, "temperature"),
        ("", None, "temperature"),
        ("90", NOW + timedelta(hours=1), "at"),
        ("90", NOW.replace(tzinfo=None), "at"),
    ],
)
def test_that_a_reading_that_cannot_be_is_refused(
    desk: Desk, record_id: int, temperature: str, at: datetime | None, field: str
) -> None:
    with pytest.raises(RuleBroken) as refused:
        _add(desk, record_id, temperature, at)
    assert refused.value.field == field
    assert desk.warmups.view(record_id).readings == ()


def test_that_tapping_needs_a_first_reading_and_few_degrees(desk: Desk, record_id: int) -> None:
    for degrees, words in ((1, "first temperature"), (0, "typed, not tapped"), (99, "typed, not tapped")):
        with pytest.raises(RuleBroken, match=words):
            desk.warmups.tap(TapReading(actor=desk.actor(), record_id=record_id, degrees=degrees))


def test_that_a_log_in_fahrenheit_is_the_log_in_celsius(
    desk: Desk, record_id: int, clock: StandingClock, tmp_path: Path
) -> None:
    zone = -timedelta(hours=7)  # the invented shop's zone in November: 09:40 there is 16:40 UTC
    began = datetime(2026, 11, 25, 9, 40, tzinfo=UTC) - zone
    kept = _bring(desk, record_id, fahrenheit(tmp_path / "f.csv"))
    assert (kept.started_at, kept.start_known, kept.rows) == (began, True, 300)
    from_clock = desk.warmups.view(record_id)
    desk.warmups.withdraw_log(WithdrawLog(actor=desk.actor(), log_id=kept.log_id))
    assert desk.warmups.view(record_id).readings == ()
    _bring(desk, record_id, celsius(tmp_path / "c.csv"), started_at=began)
    from_seconds = desk.warmups.view(record_id)
    assert [each.at for each in from_clock.readings] == [each.at for each in from_seconds.readings]
    pairs = zip(from_clock.readings, from_seconds.readings, strict=True)
    assert max(abs(one.mc - other.mc) for one, other in pairs) <= 3  # 0.01 °F is 0.006 °C
    assert from_clock.forecast is not None
    assert from_seconds.forecast is not None
    assert from_clock.forecast.basis is from_seconds.forecast.basis is not Basis.NONE
    assert desk.safekeeping.check().findings == ()


def test_that_a_log_of_elapsed_time_is_taken_to_end_now(desk: Desk, record_id: int, tmp_path: Path) -> None:
    kept = _bring(desk, record_id, celsius(tmp_path / "c.csv"))
    assert not kept.start_known
    view = desk.warmups.view(record_id)
    assert view.readings[-1].at == NOW
    assert view.readings[0].at == kept.started_at == NOW - timedelta(seconds=598)
    assert [(log.name, log.rows_read, log.start_known) for log in view.logs] == [("c.csv", 300, False)]


def test_that_a_log_that_would_end_in_the_future_is_refused(
    desk: Desk, record_id: int, tmp_path: Path
) -> None:
    with pytest.raises(RuleBroken, match="still to come") as refused:
        _bring(desk, record_id, celsius(tmp_path / "c.csv"), started_at=NOW)
    assert refused.value.field == "started_at"


def test_that_columns_are_remembered_for_a_tool(desk: Desk, record_id: int, tmp_path: Path) -> None:
    first = fahrenheit(tmp_path / "first.csv")
    look = desk.warmup_logs.look(first, "Bay scanner")
    assert look.choice is not None
    assert not look.remembered
    _bring(desk, record_id, first, tool="Bay scanner")
    assert desk.warmup_logs.tools() == ("Bay scanner",)
    again = desk.warmup_logs.look(celsius(tmp_path / "second.csv"), "bay SCANNER")
    assert (again.remembered, again.choice) == (True, look.choice)
    _bring(desk, record_id, first, tool="Bay Scanner")
    assert desk.warmup_logs.tools() == ("Bay Scanner",)


def test_that_a_log_sent_twice_is_kept_once(desk: Desk, record_id: int, tmp_path: Path) -> None:
    file = celsius(tmp_path / "c.csv")
    choice = desk.warmup_logs.look(file).choice
    assert choice is not None
    command = BringLog(actor=desk.actor(), record_id=record_id, file=file, choice=choice)
    assert desk.warmup_logs.bring(command) == desk.warmup_logs.bring(command)
    assert len(desk.warmups.view(record_id).logs) == 1


@pytest.mark.parametrize("row", ["18;warm", "2,22.0", "18,22.0,1,1,1", "18,\x0022.0", "1" * 70_000])
def test_that_nothing_of_a_spoilt_log_is_kept(floor: Floor, record_id: int, tmp_path: Path, row: str) -> None:
    good = celsius(tmp_path / "good.csv")
    choice = floor.desk.warmup_logs.look(good).choice
    assert choice is not None
    rows = good.read_text(encoding="utf-8").split("\n")
    bad = tmp_path / "bad.csv"
    bad.write_text("\n".join([*rows[:9], row, *rows[9:]]), encoding="utf-8")
    command = BringLog(actor=floor.desk.actor(), record_id=record_id, file=bad, choice=choice, tool="T")
    with pytest.raises(LogFault, match="Line 10"):
        floor.desk.warmup_logs.bring(command)
    assert ask(floor.url, "SELECT count(*) FROM warmup_log") == [(0,)]
    assert floor.desk.warmup_logs.tools() == ()


def test_that_a_log_that_is_not_there_is_refused(desk: Desk, tmp_path: Path) -> None:
    with pytest.raises(RuleBroken, match="cannot be read") as refused:
        desk.warmup_logs.look(tmp_path / "none.csv")
    assert refused.value.field == "file"


def test_that_a_long_log_is_kept_thinned(floor: Floor, record_id: int, tmp_path: Path) -> None:
    file = tmp_path / "long.csv"
    rows = (f"{at / 10:.1f},{20 + at / 4000:.2f}" for at in range(60_000))
    file.write_text("s,ATF temp (C)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    kept = _bring(floor.desk, record_id, file)
    assert kept.rows == 60_000
    assert kept.kept <= 500
    ((text,),) = ask(floor.url, "SELECT readings_text FROM warmup_log")
    pairs = json.loads(text)
    assert pairs[0] == [0, 20_000]
    assert pairs[-1] == [5_999_900, 35_000]
