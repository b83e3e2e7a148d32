"""Torque with an offset adapter against published worked examples.

Sources: agentcalc.com, torque wrench extension calculator (80 N·m, 40 cm wrench, 5 cm adapter: 71.1 N·m
in line, 80 N·m at 90°); bit1024.com (50 N·m, lever 30 cm lengthened to 45 cm: 33.33 N·m); the formula with
an angle is US Army TM 9-254's for an angled extension (lever = wrench + adapter·cos a).
"""

import pytest

from shopdesk.domain.torque import Adapter, BetweenWrenchAndSocket, setting_mnm


@pytest.mark.parametrize(
    ("wanted", "wrench_cm", "adapter_cm", "angle", "published"),
    [(80, 40, 5, 0, "71.1"), (80, 40, 5, 90, "80.0"), (50, 30, 15, 0, "33.3")],
)
def test_that_published_settings_are_met(
    wanted: int, wrench_cm: int, adapter_cm: int, angle: int, published: str
) -> None:
    adapter = Adapter(wrench_um=wrench_cm * 10_000, adapter_um=adapter_cm * 10_000, angle_deg=angle)
    setting = setting_mnm(wanted * 1000, BetweenWrenchAndSocket.OFFSET, adapter)
    assert f"{setting / 1000:.1f}" == published


def test_that_an_angle_of_sixty_degrees_counts_half_the_adapter() -> None:
    # cos 60° = 1/2 in the manual's formula.
    half = Adapter(wrench_um=400_000, adapter_um=25_000)
    turned = Adapter(wrench_um=400_000, adapter_um=50_000, angle_deg=60)
    offset = BetweenWrenchAndSocket.OFFSET
    assert setting_mnm(80_000, offset, turned) == setting_mnm(80_000, offset, half)
