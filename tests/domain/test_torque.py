"""Torque settings, unit slips and calibration."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.torque import (
    Adapter,
    BetweenWrenchAndSocket,
    Calibration,
    UnitSlip,
    calibration_on,
    question,
    reached_mnm,
    setting_mnm,
    slip_question,
    unit_slip,
)

OFFSET = BetweenWrenchAndSocket.OFFSET
INCH = 25_400


def test_that_a_straight_bar_changes_nothing_however_long() -> None:
    long_bar = Adapter(wrench_um=16 * INCH, adapter_um=6 * INCH)
    for between in (BetweenWrenchAndSocket.STRAIGHT_BAR, BetweenWrenchAndSocket.NOTHING):
        assert setting_mnm(48_809, between, long_bar) == 48_809
    assert "sideways" in question()


def test_that_a_crowfoot_of_the_same_length_lowers_the_setting_by_a_quarter() -> None:
    # Computed: 36 ft-lb with 6 in straight out on a 16 in wrench: 36·16/22 = 26.18 ft-lb.
    assert setting_mnm(36_000, OFFSET, Adapter(wrench_um=16 * INCH, adapter_um=6 * INCH)) == 26_182


def test_that_an_adapter_without_lengths_is_asked_for_them() -> None:
    with pytest.raises(RuleBroken) as caught:
        setting_mnm(36_000, OFFSET)
    assert caught.value.field == "adapter_length"


@given(st.integers(1, 500_000), st.integers(100_000, 900_000), st.integers(0, 90_000), st.integers(0, 180))
def test_that_what_is_set_reaches_the_fastener_again(
    wanted: int, wrench: int, length: int, angle: int
) -> None:
    adapter = Adapter(wrench_um=wrench, adapter_um=length, angle_deg=angle)
    back = reached_mnm(setting_mnm(wanted, OFFSET, adapter), adapter)
    assert abs(back - wanted) <= 2
    if angle > 90:
        assert setting_mnm(wanted, OFFSET, adapter) >= wanted


@pytest.mark.parametrize(
    ("wrench", "length", "angle", "field"),
    [
        (0, 10, 0, "wrench_length"),
        (10, -1, 0, "adapter_length"),
        (10, 5, 181, "angle"),
        (10, 5, -1, "angle"),
        (10, 10, 180, "adapter_length"),
    ],
)
def test_that_impossible_adapters_are_refused(wrench: int, length: int, angle: int, field: str) -> None:
    with pytest.raises(RuleBroken) as caught:
        Adapter(wrench_um=wrench, adapter_um=length, angle_deg=angle)
    assert caught.value.field == field


@pytest.mark.parametrize(
    ("recorded", "wanted", "slip"),
    [
        (66_435, 49_000, UnitSlip.TOO_HIGH),  # 49 N·m on the sheet, 49 ft-lb on the wrench
        (36_000, 48_809, UnitSlip.TOO_LOW),  # 36 ft-lb on the sheet, 36 N·m on the wrench
        (49_000, 49_000, None),
        (49_000 * 2, 49_000, None),
        (round(49_000 * 1.356 * 1.019), 49_000, UnitSlip.TOO_HIGH),
        (round(49_000 * 1.356 * 1.03), 49_000, None),
        (0, 49_000, None),
    ],
)
def test_that_a_slip_between_foot_pounds_and_newton_metres_is_asked_about(
    recorded: int, wanted: int, slip: UnitSlip | None
) -> None:
    assert unit_slip(recorded, wanted) is slip


def test_that_each_slip_has_its_question() -> None:
    sentences = {slip_question(slip) for slip in UnitSlip}
    assert len(sentences) == 2
    assert all(sentence.endswith("?") for sentence in sentences)


@pytest.mark.parametrize(
    ("day", "calibrated", "due", "expected"),
    [
        (date(2026, 6, 1), date(2026, 1, 1), date(2026, 12, 31), Calibration.VALID),
        (date(2026, 12, 31), date(2026, 1, 1), date(2026, 12, 31), Calibration.VALID),
        (date(2027, 1, 1), date(2026, 1, 1), date(2026, 12, 31), Calibration.OVERDUE),
        (date(2025, 12, 31), date(2026, 1, 1), date(2026, 12, 31), Calibration.NOT_YET),
        (date(2026, 6, 1), None, None, Calibration.NOT_RECORDED),
        (date(2026, 6, 1), date(2026, 1, 1), None, Calibration.VALID),
    ],
)
def test_that_calibration_holds_from_its_day_until_the_day_it_is_due(
    day: date, calibrated: date | None, due: date | None, expected: Calibration
) -> None:
    assert calibration_on(day, calibrated_on=calibrated, due_on=due) is expected
