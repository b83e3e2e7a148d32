"""The service record: what was measured, what follows from it, and how far it can be trusted."""

from dataclasses import dataclass
from enum import StrEnum

from shopdesk.documents.facts import FluidUsed, Party, ShopHead, VehicleBlock


class ConditionState(StrEnum):
    """How one condition of the level stands."""

    MET = "met"
    NOT_MET = "not met"
    NOT_RECORDED = "not recorded"


@dataclass(frozen=True, kw_only=True, slots=True)
class MeasuredFact:
    """One reading: what, its value with unit, the temperature it was taken at, the instrument and its ±."""

    what: str
    value: str
    at: str = ""
    instrument: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class BalanceRow:
    """One term of the balance. `sign` is "+", "−" or "=" as it enters; `value` "not recorded" when it was
    not."""

    sign: str
    what: str
    value: str
    at: str = ""
    spread: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class LevelCondition:
    """A condition of the level in words, how it stands, and the value it was judged by."""

    text: str
    state: ConditionState
    value: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class Deviation:
    """What was done otherwise than the sheet says, and why."""

    what: str
    reason: str


@dataclass(frozen=True, kw_only=True, slots=True)
class ServiceRecordPaper:
    """One unit's service. The version without personal data simply has no `owner`, plate or VIN.

    `balance_result` is the sentence ("Came in low by 0.2 qt ± 0.1 qt") or the reason why it cannot be said;
    `level_verdict` the sentence on the level ("Level set: all 7 conditions recorded as met").
    """

    shop: ShopHead
    number: str
    date: str
    vehicle: VehicleBlock
    service: str
    facts: tuple[MeasuredFact, ...]
    level_verdict: str
    conditions: tuple[LevelCondition, ...]
    balance_result: str
    balance: tuple[BalanceRow, ...] = ()
    balance_note: str = ""
    owner: Party | None = None
    work_order: str = ""
    deviations: tuple[Deviation, ...] = ()
    new_fluid: str = ""
    new_fluid_range: str = ""
    new_fluid_assumption: str = ""
    average_age: str = ""
    next_due: str = ""
    next_due_reason: str = ""
    fluids: tuple[FluidUsed, ...] = ()
    specification: str = ""
    source: str = ""
    technicians: tuple[str, ...] = ()
    evidence_id: str = ""
    qr_text: str = ""
