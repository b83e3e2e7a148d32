"""What was done otherwise than the sheet says."""

import pytest

from shopdesk.domain.deviations import torque_is_off
from shopdesk.domain.methods import LevelMethod
from shopdesk.domain.proof import LevelRules
from shopdesk.domain.record import PlugClosed
from shopdesk.domain.sheet import Plug, PlugTorque, SheetBody


def sheet(torque_mnm: int, tolerance_mnm: int | None = None) -> SheetBody:
    """A sheet that asks for one torque of the drain plug."""
    wanted = PlugTorque(plug=Plug.DRAIN, torque_mnm=torque_mnm, tolerance_mnm=tolerance_mnm)
    return SheetBody(level=LevelRules(method=LevelMethod.MEASURED_REFILL), torques=(wanted,))


@pytest.mark.parametrize(
    ("recorded", "is_off"), [(43_928, False), (43_927, True), (53_690, False), (53_691, True)]
)
def test_that_ten_per_cent_off_is_inside_without_a_tolerance(recorded: int, is_off: bool) -> None:
    closed = PlugClosed(plug=Plug.DRAIN, torque_mnm=recorded, washer="")
    assert torque_is_off(closed, sheet(48_809)) is is_off  # common practice, no source


@pytest.mark.parametrize(
    ("recorded", "is_off"), [(36_000, False), (32_000, False), (36_001, True), (31_999, True)]
)
def test_that_the_sheets_own_tolerance_includes_its_bounds(recorded: int, is_off: bool) -> None:
    closed = PlugClosed(plug=Plug.DRAIN, torque_mnm=recorded, washer="")
    assert torque_is_off(closed, sheet(34_000, 2_000)) is is_off


def test_that_a_torque_nobody_recorded_is_not_off() -> None:
    closed = PlugClosed(plug=Plug.DRAIN, torque_mnm=None, washer="reused")
    assert torque_is_off(closed, sheet(34_000)) is False
