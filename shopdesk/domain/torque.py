"""Torque: the wrench's setting with an offset adapter, unit slips, tools in calibration.

An adapter that moves the socket sideways lengthens the lever: with a wrench of length L (middle of
the grip to its square drive), an adapter of length E and an angle a between the two,

    setting = wanted · L / (L + E·cos a)

(US Army TM 9-254, angled extension). At 90° nothing changes; turned back, L − E. A straight socket
bar, whatever its length, does not move the socket sideways and changes nothing: the trade calls
both "extension", so it is asked.
"""

import math
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.unit_factors import FACTORS
from shopdesk.domain.unit_names import Dimension
from shopdesk.domain.words import N_

_FOOT_POUND = FACTORS[Dimension.TORQUE]["lbf*ft"] / FACTORS[Dimension.TORQUE]["nm"]
_SLIP_WITHIN = Fraction(2, 100)
_QUARTER_TURN = 90


class BetweenWrenchAndSocket(StrEnum):
    """What stands between the wrench and the socket."""

    NOTHING = N_("nothing")
    STRAIGHT_BAR = N_("straight bar: the socket stays in line with the drive")
    OFFSET = N_("crowfoot or offset adapter: the socket moves sideways")


def question() -> str:
    """The question that keeps a socket bar from being reckoned as an adapter."""
    return _("Does it move the socket sideways? A straight bar changes nothing.")


@dataclass(frozen=True, kw_only=True, slots=True)
class Adapter:
    """An offset adapter on a wrench: lengths in µm, angle in whole degrees from straight out (0)."""

    wrench_um: int
    adapter_um: int
    angle_deg: int = 0

    def __post_init__(self) -> None:
        """Refuse what no wrench and adapter can be."""
        if self.wrench_um <= 0:
            raise RuleBroken(_("The wrench's length, from grip to drive, is above zero."), "wrench_length")
        if self.adapter_um < 0:
            raise RuleBroken(_("The adapter's length is not below zero."), "adapter_length")
        if not 0 <= self.angle_deg <= 180:
            sentence = _("The angle lies between 0° (straight out) and 180° (turned back).")
            raise RuleBroken(sentence, "angle")
        if self.lever_um <= 0:
            raise RuleBroken(_("Turned back, the adapter must be shorter than the wrench."), "adapter_length")

    @property
    def lever_um(self) -> float:
        """L + E·cos a, in µm; exact at 0°, 90° and 180°."""
        exact = {0: 1, _QUARTER_TURN: 0, 180: -1}
        cosine = exact.get(self.angle_deg, math.cos(math.radians(self.angle_deg)))
        return self.wrench_um + self.adapter_um * cosine


def setting_mnm(wanted_mnm: int, between: BetweenWrenchAndSocket, adapter: Adapter | None = None) -> int:
    """What to set the wrench to so that ``wanted_mnm`` reaches the fastener, in mN·m.

    Raises RuleBroken (field ``adapter_length``) for an offset adapter without its lengths.
    """
    if between is not BetweenWrenchAndSocket.OFFSET:
        return wanted_mnm
    if adapter is None:
        sentence = _("Write the lengths of wrench and adapter; without them the setting is not known.")
        raise RuleBroken(sentence, "adapter_length")
    return round_half_up(wanted_mnm * Fraction(adapter.wrench_um) / Fraction(adapter.lever_um))


def reached_mnm(set_mnm: int, adapter: Adapter) -> int:
    """What reaches the fastener when the wrench is set to ``set_mnm``, in mN·m."""
    return round_half_up(set_mnm * Fraction(adapter.lever_um) / adapter.wrench_um)


class UnitSlip(StrEnum):
    """Which unit seems to have been taken for the other."""

    TOO_HIGH = N_("N·m read as ft-lb")
    TOO_LOW = N_("ft-lb read as N·m")


def unit_slip(recorded_mnm: int, wanted_mnm: int) -> UnitSlip | None:
    """Whether a torque differs from the sheet's by the factor 1.356 between ft-lb and N·m, to 2 %."""
    if wanted_mnm <= 0 or recorded_mnm <= 0:
        return None
    ratio = Fraction(recorded_mnm, wanted_mnm)
    if abs(ratio / _FOOT_POUND - 1) <= _SLIP_WITHIN:
        return UnitSlip.TOO_HIGH
    return UnitSlip.TOO_LOW if abs(ratio * _FOOT_POUND - 1) <= _SLIP_WITHIN else None


def slip_question(slip: UnitSlip) -> str:
    """What to ask the person; nothing is corrected without an answer."""
    if slip is UnitSlip.TOO_HIGH:
        return _("This is 1.36 times the sheet's torque: was its figure in N·m taken for ft-lb?")
    return _("The sheet's torque is 1.36 times this: was its figure in ft-lb taken for N·m?")


class Calibration(StrEnum):
    """Whether a tool was in calibration on a day."""

    VALID = N_("in calibration")
    OVERDUE = N_("calibration overdue")
    NOT_YET = N_("calibrated only afterwards")
    NOT_RECORDED = N_("calibration not recorded")


def calibration_on(day: date, *, calibrated_on: date | None, due_on: date | None) -> Calibration:
    """Say how a tool stood on a day; the day it is due still counts as valid."""
    if due_on is not None and day > due_on:
        return Calibration.OVERDUE
    if calibrated_on is not None and day < calibrated_on:
        return Calibration.NOT_YET
    if calibrated_on is None and due_on is None:
        return Calibration.NOT_RECORDED
    return Calibration.VALID
