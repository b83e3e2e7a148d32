"""The unit sheet: the shop's own data for a designation, typed in with its source.

The program ships no maker's values. A sheet says what fluid a unit needs, how its level is set,
which torques and washers belong to it, when it is due, and in which order the work goes.
"""

from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.intervals import Interval, Layer
from shopdesk.domain.methods import SELECTOR_KINDS, LevelMethod, UnitKind
from shopdesk.domain.order import Step
from shopdesk.domain.proof import LevelRules
from shopdesk.domain.words import N_

#: Where a unit stands between the engine and the wheels; a front axle branches off the transfer case.
POWER_ORDER: dict[UnitKind, int] = {
    UnitKind.AUTOMATIC: 10,
    UnitKind.CVT: 10,
    UnitKind.DUAL_CLUTCH: 10,
    UnitKind.MANUAL: 10,
    UnitKind.HYBRID_TRANSAXLE: 10,
    UnitKind.REDUCTION_GEAR: 10,
    UnitKind.TRANSFER_CASE: 20,
    UnitKind.POWER_TRANSFER: 20,
    UnitKind.FRONT_DIFFERENTIAL: 30,
    UnitKind.REAR_DIFFERENTIAL: 40,
}


class Plug(StrEnum):
    """The plugs that a service opens and closes."""

    FILL = N_("fill plug")
    DRAIN = N_("drain plug")
    LEVEL = N_("level plug")


@dataclass(frozen=True, kw_only=True, slots=True)
class PlugTorque:
    """A plug's torque in mN·m; ``tolerance_mnm`` either side, None when the source gives none."""

    plug: Plug
    torque_mnm: int
    tolerance_mnm: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class WasherNeed:
    """The washer a plug takes: size and material as the shop writes them."""

    plug: Plug
    text: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SheetBody:
    """All of a sheet revision that is not a column of its own.

    ``level_repeatability_ul`` is the shop's own figure for how well a level repeats on this unit
    (attitude, the tube's lip, what is called a drip). Intervals with ``none_needed`` force no date.
    """

    level: LevelRules
    has_drain_plug: bool = True
    level_repeatability_ul: int | None = None
    torques: tuple[PlugTorque, ...] = ()
    washers: tuple[WasherNeed, ...] = ()
    maker_normal: Interval | None = None
    maker_severe: Interval | None = None
    shop_normal: Interval | None = None
    shop_severe: Interval | None = None
    steps: tuple[Step, ...] = ()
    cautions: tuple[str, ...] = ()

    def intervals(self, *, severe: bool) -> tuple[Interval, ...]:
        """Give the layers that speak, strongest first: shop policy, then the maker's.

        Severe use without an interval of its own falls back to the normal one of the same layer.
        """
        shop = (self.shop_severe or self.shop_normal) if severe else self.shop_normal
        maker = (self.maker_severe or self.maker_normal) if severe else self.maker_normal
        return tuple(interval for interval in (shop, maker) if interval is not None)

    def torque_of(self, plug: Plug) -> PlugTorque | None:
        """Give the torque of one plug, or None."""
        return next((torque for torque in self.torques if torque.plug is plug), None)


def check_sheet(body: SheetBody, *, service_fill_ul: int | None, total_ul: int | None) -> None:
    """Refuse a sheet that contradicts itself."""
    level = body.level
    has_window = level.window_low_mc is not None and level.window_high_mc is not None
    if level.method is LevelMethod.OVERFLOW_TUBE and not has_window:
        sentence = _("A level by overflow tube needs its temperature window, such as 95 degF to 113 degF.")
        raise RuleBroken(sentence, "window_low" if level.window_low_mc is None else "window_high")
    if service_fill_ul and total_ul and service_fill_ul > total_ul:
        sentence = _("The service refill is larger than the total capacity: were they exchanged?")
        raise RuleBroken(sentence, "service_fill")
    for layer, interval in ((Layer.MAKER, body.maker_normal), (Layer.SHOP, body.shop_normal)):
        if interval is not None and interval.layer is not layer:
            raise ValueError(f"an interval of {interval.layer} stands in the place of {layer}")


def usual_steps(level_method: LevelMethod, kind: UnitKind, *, has_drain_plug: bool) -> tuple[Step, ...]:
    """Give the order of work to print for a sheet (common practice, no source).

    The fill plug is torqued before the engine is started; where the fill hole sets the level, after
    the level is set.
    """
    runs = kind in SELECTOR_KINDS and level_method in (LevelMethod.OVERFLOW_TUBE, LevelMethod.DIPSTICK)
    by_hole = level_method is LevelMethod.FILL_HOLE
    wanted = (
        (Step.FILL_PLUG_LOOSENED, True),
        (Step.DRAINED, True),
        (Step.DRAIN_PLUG_TORQUED, has_drain_plug),
        (Step.FILLED, True),
        (Step.FILL_PLUG_TORQUED, not by_hole),
        (Step.ENGINE_STARTED, runs),
        (Step.SELECTOR_CYCLED, runs),
        (Step.LEVEL_SET, True),
        (Step.FILL_PLUG_TORQUED, by_hole),
        (Step.LEVEL_PLUG_TORQUED, level_method is LevelMethod.OVERFLOW_TUBE),
        (Step.LEAK_CHECKED, True),
    )
    return tuple(step for step, is_wanted in wanted if is_wanted)
