"""VINs against 49 CFR 565.15 and an independent library.

The library (vininfo, BSD-3) answers for any number whose maker it does not know to go without a
check digit; its answer about years depends on today, so only the check digit is asked for.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vininfo import Vin

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.vin import check_digit, model_years, read_vin

CHARACTERS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"

GOOD = {
    "1G4AH59H45G118341": "4",  # 49 CFR 565.15, table VI, the worked sample: sum 411
    "1M8GDM9AXKP042788": "X",  # a widely published worked example: sum 351, remainder 10
    "11111111111111111": "1",  # the well-known test value, from memory; computed: sum 89
    "5GZCZ43D13S812715": "1",  # a common decoder example, from memory; computed: sum 408
    "1HGCM82633A004352": "3",  # from a public repository's list of tests; computed: sum 311
    "JT2AE09W4P0038539": "4",  # the example in the metadata of PyPI pyvin 0.0.2; computed: sum 312
}

# Derived from the samples above; the right digit is computed.
BAD = {
    "1G4AH59H55G118341": "4",
    "1G4AH59H45G118331": "1",
    "1M8GDM9A1KP042788": "X",
    "1M8GDM9AXPK042788": "4",
    "1M8GDM9AXKP042787": "8",
}


@pytest.mark.parametrize(("vin", "digit"), GOOD.items())
def test_that_published_numbers_pass_without_a_note(vin: str, digit: str) -> None:
    assert check_digit(vin) == digit == vin[8]
    assert read_vin(vin).notes == ()
    assert Vin(vin).verify_checksum()


@pytest.mark.parametrize(("vin", "digit"), BAD.items())
def test_that_altered_numbers_are_accepted_with_a_note(vin: str, digit: str) -> None:
    reading = read_vin(vin)
    assert reading.vin == vin
    assert f"should be {digit}" in reading.notes[0]
    assert not Vin(vin).verify_checksum()


def test_that_a_european_number_without_a_check_digit_is_accepted_with_a_note() -> None:
    # ISO 3779 leaves place 9 to the maker. A made-up number of that pattern; computed: 6 would be due.
    reading = read_vin("WVWZZZ1KZ8W123456")
    assert "would be 6" in reading.notes[0]


@pytest.mark.parametrize("vin", ["IG4AH59H45G118341", "1HGCM82633A00435", "1HGCM82633A0043521"])
def test_that_impossible_numbers_are_refused_unless_marked_unusual(vin: str) -> None:
    with pytest.raises(RuleBroken):
        read_vin(vin)
    reading = read_vin(vin, unusual=True)
    assert reading.vin == vin
    assert len(reading.notes) == 1


@given(st.text(alphabet=CHARACTERS, min_size=14, max_size=14))
def test_that_the_check_digit_agrees_with_the_library(tail: str) -> None:
    vin = f"11{tail[:1]}{tail}"
    right = vin[:8] + check_digit(vin) + vin[9:]
    wrong_digit = "1" if right[8] == "0" else "0"
    assert Vin(right).verify_checksum(check_year=False)
    assert not Vin(f"{right[:8]}{wrong_digit}{right[9:]}").verify_checksum(check_year=False)


@pytest.mark.parametrize(
    ("vin", "years"),
    # 49 CFR 565.15(b) and table VII: place 10 is the year, place 7 tells the cycle for light vehicles.
    [("1G4AH59H45G118341", (2005,)), ("1M8GDM9AXKP042788", (1989,)), ("1G4AH5AH45G118341", (2035,))],
)
def test_that_place_seven_tells_the_cycle_of_light_north_american_vehicles(
    vin: str, years: tuple[int, ...]
) -> None:
    assert model_years(vin) == years


def test_that_both_years_are_given_where_place_seven_proves_nothing() -> None:
    assert model_years("JT2AE09W4P0038539") == (1993, 2023)
    assert model_years("1M8GDM9AXKP042788", heavy=True) == (1989, 2019)
    # From the table: U, Z and 0 are never used for a year.
    for code in "UZ0":
        assert model_years(f"1G4AH59H4{code}G118341") == ()
    assert model_years("short") == ()


def test_that_the_year_codes_run_as_published() -> None:
    # 49 CFR 565.15 table VII: A 1980 ... Y 2000, 1 2001 ... 9 2009, then A 2010 and so on.
    for code, year in (("A", 1980), ("H", 1987), ("J", 1988), ("P", 1993), ("Y", 2000), ("1", 2001)):
        assert model_years(f"1G4AH59H4{code}G118341") == (year,)
        assert model_years(f"1G4AH5AH4{code}G118341") == (year + 30,)
