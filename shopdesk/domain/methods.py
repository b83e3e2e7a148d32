"""How a unit is serviced, how its level is set, and which kinds of unit there are."""

from enum import StrEnum

from shopdesk.domain.words import N_


class UnitKind(StrEnum):
    """One fluid-carrying assembly of a vehicle."""

    AUTOMATIC = N_("automatic")
    CVT = N_("CVT")
    DUAL_CLUTCH = N_("dual clutch")
    MANUAL = N_("manual gearbox")
    TRANSFER_CASE = N_("transfer case")
    POWER_TRANSFER = N_("power transfer unit")
    FRONT_DIFFERENTIAL = N_("front differential")
    REAR_DIFFERENTIAL = N_("rear differential")
    HYBRID_TRANSAXLE = N_("hybrid transaxle")
    REDUCTION_GEAR = N_("reduction gear")


class LevelMethod(StrEnum):
    """How the unit sheet says the level is set."""

    OVERFLOW_TUBE = N_("overflow tube")
    FILL_HOLE = N_("fill-hole edge")
    DIPSTICK = N_("dipstick")
    MEASURED_REFILL = N_("measured refill")
    SIGHT_GLASS = N_("sight glass")


class ServiceMethod(StrEnum):
    """What was done with the fluid."""

    LEVEL_CHECK = N_("level check only")
    SINGLE = N_("drain and fill")
    REPEATED = N_("repeated drain and fill")
    FLOW_THROUGH = N_("flow-through exchange")


SELECTOR_KINDS: frozenset[UnitKind] = frozenset({UnitKind.AUTOMATIC, UnitKind.CVT, UnitKind.DUAL_CLUTCH})
"""Kinds whose level is set after the engine ran and the selector was cycled (common practice, no source)."""

HIGH_VOLTAGE_KINDS: frozenset[UnitKind] = frozenset({UnitKind.HYBRID_TRANSAXLE, UnitKind.REDUCTION_GEAR})


def lets_fluid_run_out(method: LevelMethod) -> bool:
    """Whether setting the level lets fluid out, so that what ran out must be measured."""
    return method in (LevelMethod.OVERFLOW_TUBE, LevelMethod.FILL_HOLE)
