"""What a second technician has to judge a record by, and the named rules it is held against."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from shopdesk.domain.record import Entry, Facts, Outcome, Setting
from shopdesk.domain.words import N_


class Rule(StrEnum):
    """The rules by name; each finding names one."""

    ATTITUDE = N_("vehicle standing level")
    STANCE = N_("vehicle on its wheels or raised, as the sheet asks")
    ENGINE = N_("engine as the sheet asks")
    SELECTOR = N_("selector cycled long enough")
    WINDOW_OPEN = N_("opened inside the window")
    WINDOW_CLOSE = N_("closed inside the window")
    WINDOW_READING = N_("read inside the window")
    FLOW_OPEN = N_("flow at opening")
    FLOW_CLOSE = N_("flow at closing")
    EDGE = N_("distance from the edge")
    MARKS = N_("between the marks")
    DRAINED = N_("fluid drained")
    QUANTITY = N_("quantity put in")
    CLOSED_BEFORE_OPENED = N_("closed after it was opened")
    COOLED_WHILE_OPEN = N_("does not cool while the engine idles")
    WARMED_TOO_FAST = N_("warms no faster than a unit can")
    DEGREES_TAKEN_FOR_OTHERS = N_("°C and °F not taken for one another")
    RAN_OUT_WITHOUT_FLOW = N_("what ran out agrees with the flow that was seen")
    AS_FOUND = N_("volume balance agrees with the check as found")
    VOLUME_MISSING = N_("every volume measured")
    CONTAINER = N_("container before and after agrees with what was put in")
    OVER_TOTAL = N_("no more than the unit holds")
    SPILLED_OVER_PUT_IN = N_("spilled no more than was put in")
    RAN_OUT_OVER_PUT_IN = N_("ran out no more than was put in")
    VOLUME_TAKEN_FOR_OTHER = N_("volume units not taken for one another")
    FAR_FROM_DRAINED = N_("what was put in is near what was drained")
    METHOD = N_("volumes as the service method has them")
    ROUNDS = N_("rounds counted without a gap")
    SHELF = N_("what left the shelf is what was put in")
    ORDER = N_("steps in their order")
    TORQUE_MISSING = N_("torque of every plug recorded")
    TORQUE = N_("torque inside the sheet's range")
    TORQUE_TAKEN_FOR_OTHER = N_("ft-lb and N·m not taken for one another")
    PLUG = N_("no plug that the unit has not")
    CALIBRATION = N_("tools in calibration on the day")
    WASHER_MISSING = N_("washer of every plug recorded")
    WASHERS_FROM_SHELF = N_("new washers left the shelf")
    PRODUCT_MISSING = N_("fluid named")
    SPECIFICATION = N_("fluid claims the unit's specification")
    FUTURE = N_("no time in the future")
    AFTER_INVOICE = N_("no work after the invoice")
    OTHER_DAY = N_("times on the day of the work")
    STOP = N_("stop rule kept")
    CORRECTION = N_("corrections give a reason")
    STATED = N_("figures told are those that follow")


class Weight(StrEnum):
    """What a finding makes of the record."""

    CONTRADICTS = N_("contradictory")
    LACKS = N_("incomplete")


class Verdict(StrEnum):
    """What all findings together make of it."""

    CONSISTENT = N_("consistent")
    INCOMPLETE = N_("incomplete")
    CONTRADICTORY = N_("contradictory")


@dataclass(frozen=True, kw_only=True, slots=True)
class Finding:
    """One rule that the record does not keep; ``fields`` are the entries it is about."""

    rule: Rule
    weight: Weight
    sentence: str
    fields: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class Tool:
    """A measuring tool by the name its entries give."""

    name: str
    calibrated_on: date | None = None
    due_on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Stated:
    """Figures that were told on paper or in a file, to be compared with what follows from the facts."""

    proven: bool | None = None
    delta_ul: int | None = None
    fresh_percent: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Evidence:
    """A record with all that is held against it.

    ``claims`` are the specifications the fluid claims to meet, None when no fluid is named.
    ``washers_taken`` (thousandths of a piece) and ``fluid_taken_ul`` are what left the shelf for the
    job, None where stock is not kept or not known to the reader.
    """

    entries: tuple[Entry, ...]
    setting: Setting
    done_on: date
    now: datetime
    specification: str
    claims: tuple[str, ...] | None
    tools: tuple[Tool, ...] = ()
    invoiced_at: datetime | None = None
    washers_taken: int | None = None
    fluid_taken_ul: int | None = None
    stated: Stated | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Case:
    """Evidence with what follows from it, worked out anew."""

    evidence: Evidence
    facts: Facts
    outcome: Outcome

    @property
    def setting(self) -> Setting:
        """The sheet, unit and service the record is held to."""
        return self.evidence.setting
