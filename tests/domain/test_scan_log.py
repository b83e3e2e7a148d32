"""Logs of scan tools: any way of writing them is read alike, and what cannot be read is named."""

import codecs
import tracemalloc
from collections.abc import Iterable, Iterator
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.log_cells import Clock, TimeKind, number_of, temperature_of
from shopdesk.domain.log_lines import LogFault, lines_of
from shopdesk.domain.log_preview import LogPreview, look
from shopdesk.domain.scan_log import MOST_KEPT, LogChoice, ScanLog, read_log
from shopdesk.domain.warmup import Reading, forecast

CHOICE = LogChoice(
    delimiter=",",
    decimal=".",
    time_column=0,
    temperature_column=1,
    time_kind=TimeKind.SECONDS,
    unit="degc",
    heading_line=1,
    time_heading="Time (s)",
    temperature_heading="Trans fluid temp (°C)",
)
HEADING = "Time (s),Trans fluid temp (°C),Engine speed\n"


def log(*rows: str, heading: str = HEADING) -> bytes:
    return (heading + "".join(f"{row}\n" for row in rows)).encode()


def proposed(data: bytes) -> LogChoice:
    choice = look([data]).proposal
    assert choice is not None
    return choice


def read(data: bytes) -> ScanLog:
    return read_log([data], proposed(data))


def pairs(found: ScanLog) -> list[tuple[int, int]]:
    return [(reading.at_ms, reading.mc) for reading in found.readings]


EXPECTED = [(0, 20_000), (30_000, 21_500), (60_500, 23_000)]

SAME_LOG = {
    "commas": "Time (s),Fluid temp (°C)\n0,20.0\n30,21.5\n60.5,23\n",
    "semicolons and decimal commas": "Zeit (s);Öltemp Getriebe (°C)\n0;20,0\n30;21,5\n60,5;23\n",
    "tabs": "elapsed s\tATF temp deg C\n0\t20\n30\t21.5\n60.5\t23\n",
    "bars, quotes and a unit in each cell": 'time|"TFT"\n0|"20.0 °C"\n30|"21.5 °C"\n60.5|"23 °C"\n',
    "quoted decimal commas between commas": 'Time (s),"Fluid, °C"\n"0","20,0"\n"30","21,5"\n"60,5","23,0"\n',
    "a rare delimiter": "Time (s)~Fluid temp (°C)\n0~20.0\n30~21.5\n60.5~23\n",
    "Fahrenheit": "Time (s),Trans temp (°F)\n0,68\n30,70.7\n60.5,73.4\n",
    "Fahrenheit, decimal comma": "Time (s);Trans temp (°F)\n0;68\n30;70,7\n60,5;73,4\n",
    "milliseconds": "Time (ms),Trans temp (°C)\n0,20\n30000,21.5\n60500,23\n",
    "clock": "Clock;Trans temp (°C)\n00:00:00;20\n00:00:30;21,5\n00:01:00,5;23\n",
    "minutes and seconds": "Time;Trans temp (°C)\n0:00;20\n0:30;21.5\n1:00.5;23\n",
    "more columns and lines before": (
        "Session 4\n\nTime (s),Engine coolant temp (°C),Rpm,Trans fluid temp (°C)\n"
        "0,80,700,20\n30,81,705,21.5\n60.5,82,,23\n"
    ),
    "carriage returns only": "Time (s),Fluid temp (°C)\r0,20.0\r30,21.5\r60.5,23\r",
    "both": "Time (s),Fluid temp (°C)\r\n0,20.0\r\n30,21.5\r\n60.5,23\r\n",
    "no last line end": "Time (s),Fluid temp (°C)\n0,20.0\n30,21.5\n60.5,23",
    "empty cells at the end": "Time (s),Fluid temp (°C)\n0,20.0,\n30,21.5,\n60.5,23,\n",
}


@pytest.mark.parametrize("text", SAME_LOG.values(), ids=SAME_LOG.keys())
def test_that_one_log_is_read_alike_however_it_is_written(text: str) -> None:
    assert pairs(read(text.encode())) == EXPECTED


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le", "utf-16-be"])
def test_that_one_log_is_read_alike_in_every_encoding(encoding: str) -> None:
    for name in ("semicolons and decimal commas", "both", "Fahrenheit"):
        assert pairs(read(SAME_LOG[name].encode(encoding))) == EXPECTED


def test_that_utf_16_with_a_mark_of_the_other_order_is_read_too() -> None:
    data = codecs.BOM_UTF16_BE + SAME_LOG["commas"].encode("utf-16-be")
    assert pairs(read(data)) == EXPECTED


@given(st.lists(st.integers(1, 40), max_size=40), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
def test_that_it_does_not_matter_how_a_log_comes_in_pieces(sizes: list[int], encoding: str) -> None:
    data = SAME_LOG["both"].encode(encoding)
    pieces, at = [], 0
    for size in sizes:
        pieces.append(data[at : at + size])
        at += size
    pieces.append(data[at:])
    assert pairs(read_log(pieces, proposed(data))) == EXPECTED


def test_that_clock_times_after_noon_and_over_midnight_are_read() -> None:
    rows = "Clock,Trans temp (°C)\n11:59:30 PM,20\n12:00:15 AM,22\n12:01:15 AM,24\n"
    assert [at for at, _mc in pairs(read(rows.encode()))] == [86_370_000, 86_415_000, 86_475_000]
    dated = "Date and time;ATF (°C)\n2026-11-25 23:59:59;30\n2026-11-26 00:00:01;30,5\n"
    assert [at for at, _mc in pairs(read(dated.encode()))] == [86_399_000, 86_401_000]


def test_that_the_preview_shows_headings_and_cells_and_how_it_would_read_them() -> None:
    preview = look([SAME_LOG["more columns and lines before"].encode()])
    assert [column.heading for column in preview.columns] == [
        "Time (s)", "Engine coolant temp (°C)", "Rpm", "Trans fluid temp (°C)"
    ]  # fmt: skip
    assert preview.columns[3].cells == ("20", "21.5", "23")
    assert (preview.time_column, preview.temperature_column, preview.unit) == (0, 3, "degc")
    assert preview.heading_line == 3


def test_that_degrees_are_not_guessed_and_can_be_chosen() -> None:
    preview = look([b"Time (s),Trans temp\n0,97\n10,98\n"])
    assert preview.unit == ""
    assert preview.proposal is None
    chosen = preview.choose(unit="degf")
    assert chosen is not None
    assert pairs(read_log([b"Time (s),Trans temp\n0,97\n10,98\n"], chosen)) == [(0, 36_111), (10_000, 36_667)]


def test_that_coolant_is_not_proposed_when_the_fluid_is_there() -> None:
    preview = look([b"Time (s),ECT (\xb0C),TFT (\xb0C)\n0,80,20\n1,81,21\n"])
    assert preview.temperature_column == 2


def test_that_columns_without_headings_are_proposed_by_their_values() -> None:
    preview: LogPreview = look([b"0;20,5\n1;20,6\n2;20,8\n"])
    assert (preview.delimiter, preview.decimal, preview.heading_line) == (";", ",", 0)
    assert preview.time_column == 0
    assert preview.choose(temperature_column=1, unit="degc") is not None


def test_that_a_kept_choice_finds_its_columns_by_their_headings() -> None:
    other = "Rpm,Trans fluid temp (°C),Time (s)\n700,20,0\n701,21.5,30\n702,23,60.5\n"
    assert pairs(read_log([other.encode()], CHOICE)) == EXPECTED


def test_that_a_kept_choice_refuses_a_log_without_its_columns() -> None:
    fault = refusal(log("0,20,700", heading="Time (s),Oil temp,Engine speed\n"))
    assert (fault.line, fault.column) == (1, None)
    assert "Trans fluid temp" in fault.sentence


def refusal(data: bytes | Iterable[bytes], choice: LogChoice = CHOICE) -> LogFault:
    with pytest.raises(LogFault) as caught:
        read_log([data] if isinstance(data, bytes) else data, choice)
    return caught.value


@pytest.mark.parametrize(
    ("rows", "line", "column"),
    [
        (("0,20,700", "5,21"), 3, 3),  # too short
        (("0,20,700", "5,21,700,9"), 3, 4),  # too long
        (("0,20,700", "5,warm,700"), 3, 2),
        (("0,20,700", "5,999,700"), 3, 2),
        (("0,20,700", "soon,21,700"), 3, 1),
        (("0,20,700", "5,21,700", "4,22,700"), 4, 1),  # backward
        (("0,20,700", "5,70 °F,700"), 3, 2),  # another unit than chosen
        (('0,20,700', '5,"21,700'), 3, None),  # a quotation mark that is never closed
        (("0,--,700",), 2, None),  # not a single temperature
    ],
)  # fmt: skip
def test_that_a_fault_is_named_by_line_and_column(
    rows: tuple[str, ...], line: int, column: int | None
) -> None:
    fault = refusal(log(*rows))
    assert (fault.line, fault.column) == (line, column)
    assert f"Line {line}" in fault.sentence
    assert column is None or f"column {column}" in fault.sentence
    assert fault.field == (f"lines/{line}/{column}" if column else f"lines/{line}")


def test_that_nul_bytes_are_named_by_their_line() -> None:
    fault = refusal(log("0,20,700") + b"5,2\x00,700\n")
    assert fault.line == 3
    assert "NUL" in fault.sentence


def test_that_bytes_of_no_encoding_are_named_by_their_line() -> None:
    assert refusal(log("0,20,700") + b"5,2\x81\x8d,700\n").line == 3


def test_that_half_a_character_of_utf_16_is_named_by_its_line() -> None:
    data = codecs.BOM_UTF16_LE + log("0,20,700").decode().encode("utf-16-le") + b"\x00\xdc5\x00"
    assert refusal(data).line == 3


def test_that_empty_logs_are_refused() -> None:
    assert refusal(b"").line == 1
    assert refusal(log()).line == 1
    assert look([b""]).proposal is None


def test_that_gaps_and_repeated_times_are_told_with_their_place_and_the_log_is_read() -> None:
    found = read_log(
        [log("0,20,700", "1,--,700", "2,21,700", "2,25,700", "400,30,700", "401,30.5,700")], CHOICE
    )
    assert pairs(found) == [(0, 20_000), (2000, 21_000), (400_000, 30_000), (401_000, 30_500)]
    assert [(remark.line, remark.column) for remark in found.remarks] == [(3, 2), (5, 1), (6, 1)]
    assert found.rows == 4


def test_that_a_log_cut_off_in_its_last_line_is_read_without_it_and_says_so() -> None:
    found = read_log([log("0,20,700", "1,21,700") + b"2,2"], CHOICE)
    assert pairs(found) == [(0, 20_000), (1000, 21_000)]
    assert [(remark.line, remark.column) for remark in found.remarks] == [(4, 2)]


def test_that_a_flood_of_remarks_is_counted_and_not_kept() -> None:
    found = read_log([log(*(f"{second},n/a,700" for second in range(500)), "500,20,700")], CHOICE)
    assert len(found.remarks) + found.further_remarks == 500
    assert len(found.remarks) == 20


def endless(piece: bytes, times: int) -> Iterator[bytes]:
    for _nth in range(times):
        yield piece


def test_that_a_line_of_300_megabytes_is_refused_at_its_beginning() -> None:
    taken = 0

    def counted() -> Iterator[bytes]:
        nonlocal taken
        for piece in endless(b"7" * 65_536, 4_800):
            taken += len(piece)
            yield piece

    assert refusal(counted()).line == 1
    assert taken <= 3 * 65_536
    taken = 0
    with pytest.raises(LogFault):
        look(counted())
    assert taken <= 3 * 65_536


def test_that_memory_stays_small_and_readings_few_however_long_a_log_is() -> None:
    def rows() -> Iterator[bytes]:
        yield HEADING.encode()
        for start in range(0, 20_000, 500):
            yield "".join(f"{s / 10},{20 + s / 4000:.2f},700\n" for s in range(start, start + 500)).encode()

    tracemalloc.start()
    found = read_log(rows(), CHOICE)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.rows == 20_000
    assert found.lines == 20_001
    assert MOST_KEPT / 2 <= len(found.readings) <= MOST_KEPT + 130
    assert found.readings[0] == Reading(at_ms=0, mc=20_000)
    assert found.readings[-1].at_ms == 1_999_900
    assert most < 1_500_000


def test_that_a_thinned_log_gives_the_forecast_of_its_last_minutes() -> None:
    rows = [f"{s},{20 + s / 400:.3f},700" for s in range(4000)]
    found = forecast(read_log([log(*rows)], CHOICE).readings, low_mc=35_000, high_mc=45_000)
    assert found.opens is not None
    assert found.opens.at_ms == pytest.approx(6_000_000, rel=0.002)


def test_that_fahrenheit_with_decimal_commas_gives_the_same_forecast_as_celsius() -> None:
    celsius = [f"{s},{20 + s / 40:.1f},700" for s in range(0, 400, 20)]
    fahrenheit = [f"{s};{(20 + s / 40) * 1.8 + 32:.2f}".replace(".", ",") for s in range(0, 400, 20)]
    one = read_log([log(*celsius)], CHOICE).readings
    data = ("Time (s);Trans temp (°F)\n" + "\n".join(fahrenheit) + "\n").encode("cp1252")
    other = read(data).readings
    assert one == other
    window = {"low_mc": 35_000, "high_mc": 45_000}
    assert forecast(one, **window) == forecast(other, **window)


@given(st.binary(max_size=400))
def test_that_any_bytes_are_read_or_refused_with_a_place(data: bytes) -> None:
    faults: list[LogFault] = []
    for use in (lambda: look([data]), lambda: read_log([data], CHOICE)):
        try:
            use()
        except LogFault as fault:
            faults.append(fault)
    assert all(fault.line >= 1 and fault.sentence for fault in faults)


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"delimiter": "ab"}, "delimiter"),
        ({"delimiter": "1"}, "delimiter"),
        ({"decimal": "'"}, "decimal"),
        ({"unit": ""}, "unit"),
        ({"temperature_column": 0}, "temperature_column"),
    ],
)
def test_that_a_choice_nothing_could_be_read_with_is_refused(changes: dict[str, object], field: str) -> None:
    with pytest.raises(RuleBroken) as caught:
        replace(CHOICE, **changes)  # type: ignore[arg-type]
    assert caught.value.field == field


@pytest.mark.parametrize(
    "cell", ["1_000", "1e3", "٣", "0x10", "1 000", "9**9", "inf", "", "1.2.3", "1,234.5"]
)
def test_that_only_plain_numbers_are_numbers(cell: str) -> None:
    assert number_of(cell, ".") is None
    assert number_of(cell, ",") is None


@pytest.mark.parametrize("cell", ["12:61:00", "13:00:00 PM", "10:00:75"])
def test_that_impossible_clocks_are_no_times(cell: str) -> None:
    assert Clock(TimeKind.CLOCK, ".").at_ms(cell) is None


def test_that_degrees_are_exact() -> None:
    assert temperature_of("113 °F", ".", "degf") == 45_000
    assert temperature_of("-40", ".", "degf") == -40_000
    assert temperature_of("36,6°C", ",", "degc") == 36_600


def test_that_lines_are_numbered_whatever_ends_them() -> None:
    assert [line.number for line in lines_of([b"a\r", b"\nb\rc\n", b"d"])] == [1, 2, 3, 4]
    assert [line.text for line in lines_of([b"a\r", b"\nb\rc\n", b"d"])] == ["a", "b", "c", "d"]
