"""What a unit sheet asks of a level, and what was recorded about it."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.methods import LevelMethod
from shopdesk.domain.words import N_


class Flow(StrEnum):
    """What was seen at the level opening."""

    NONE = N_("none")
    STREAM = N_("stream")
    DRIP = N_("drip")
    PULSE = N_("pulse")


class EngineState(StrEnum):
    """The engine while the level was set; for electric drives, ready is idling."""

    IDLING = N_("idling")
    OFF = N_("off")


class Stance(StrEnum):
    """How the vehicle stood; some units have a level for each."""

    ON_WHEELS = N_("on its wheels")
    HANGING = N_("raised, wheels hanging")


class Marks(StrEnum):
    """Which marks of a dipstick were read; each pair has its own window."""

    HOT = N_("hot marks")
    COLD = N_("cold marks")


USUAL_FLOW_AT_OPENING = frozenset({Flow.STREAM})
USUAL_FLOW_AT_CLOSING = frozenset({Flow.DRIP})


@dataclass(frozen=True, kw_only=True, slots=True)
class LevelRules:
    """What the unit sheet asks for.

    Temperatures in 1/1000 °C, bounds included. ``edge_offset_um`` is how far below the lower edge
    of the fill hole the fluid must stand, in µm; ``stance`` how the vehicle stands meanwhile. A
    dipstick's window is that of its hot marks; the cold marks have their own. ``refill_ul`` is the
    sheet's own quantity for a measured refill in µL; without it the refill is measured against
    what came out.
    ``flow_at_closing`` may allow a pulse, as some wet dual clutches show one from the cooler.
    """

    method: LevelMethod
    window_low_mc: int | None = None
    window_high_mc: int | None = None
    engine: EngineState | None = None
    selector_cycled: bool = False
    selector_dwell_s: int | None = None
    attitude_level: bool = True
    flow_at_opening: frozenset[Flow] = USUAL_FLOW_AT_OPENING
    flow_at_closing: frozenset[Flow] = USUAL_FLOW_AT_CLOSING
    edge_offset_um: int | None = None
    edge_tolerance_um: int | None = None
    refill_ul: int | None = None
    refill_tolerance_ul: int | None = None
    stance: Stance | None = None
    cold_low_mc: int | None = None
    cold_high_mc: int | None = None

    def window(self, marks: Marks | None = None) -> tuple[int | None, int | None]:
        """Give the window's bounds in 1/1000 °C, inclusive, for the marks that were read."""
        if marks is Marks.COLD:
            return self.cold_low_mc, self.cold_high_mc
        return self.window_low_mc, self.window_high_mc

    def __post_init__(self) -> None:
        """Refuse a sheet that nothing could fulfil."""
        for marks, field in ((Marks.HOT, "window_low"), (Marks.COLD, "cold_low")):
            low, high = self.window(marks)
            if low is not None and high is not None and low > high:
                sentence = _("The level window's lower temperature is above its upper one.")
                raise RuleBroken(sentence, field=field)
        if Flow.NONE in self.flow_at_opening or not self.flow_at_opening:
            raise RuleBroken(_("A level with no flow at opening cannot be shown."), field="flow_at_opening")
        if not self.flow_at_closing:
            raise RuleBroken(_("Name the flow at which the level plug is closed."), field="flow_at_closing")


@dataclass(frozen=True, kw_only=True, slots=True)
class Opening:
    """One opening of the level plug, or one reading of the level. Temperatures in 1/1000 °C."""

    number: int
    open_mc: int | None = None
    close_mc: int | None = None
    opened_at: datetime | None = None
    closed_at: datetime | None = None
    flow_open: Flow | None = None
    flow_close: Flow | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class LevelFacts:
    """What was recorded. ``None`` is *not recorded*, never a silent yes, no or zero.

    ``edge_um``: distance of the fluid below the edge in µm (negative: above). Volumes in µL.
    """

    openings: tuple[Opening, ...] = ()
    engine: EngineState | None = None
    selector_cycled: bool | None = None
    dwell_s: int | None = None
    attitude_level: bool | None = None
    edge_um: int | None = None
    between_marks: bool | None = None
    marks_read: Marks | None = None
    stance: Stance | None = None
    pumped_ul: int | None = None
    spilled_ul: int | None = None
    drained_ul: int | None = None

    @property
    def last(self) -> Opening:
        """The opening that counts; an empty one when none was recorded."""
        return max(self.openings, key=lambda opening: opening.number, default=Opening(number=0))
