"""The list of work orders and the facts of one, in words."""

from collections.abc import Iterable
from datetime import datetime
from gettext import gettext as _

from shopdesk.domain.stages import CHANGEABLE, FOLLOWS, OPEN_STAGES, Stage
from shopdesk.domain.text import plate_key
from shopdesk.services.board import EstimateRow, WorkOrderRow, WorkOrderView
from shopdesk.services.figures import Figures
from shopdesk.services.work import PartsChoice, StageCount
from shopdesk.ui.presenters.today import promised_fully

OPEN, ALL = "open", "all"

#: Reasons a work order waits for, offered to pick from.
WAITING = ("customer's answer", "parts", "approval", "sublet work")


def stage_words(stage: Stage) -> str:
    """Give a stage's name."""
    return _(stage.value).capitalize()


def open_work_words(row: WorkOrderRow) -> str:
    """Name a work order that is still open, for the way to it."""
    return _("Work order {number}, {stage}").format(number=row.number, stage=_(row.stage.value))


def stage_choices() -> list[tuple[str, str]]:
    """Give the choices above the list, without counts yet."""
    stages = [(stage.value, stage_words(stage)) for stage in Stage]
    return [(OPEN, _("All open")), *stages, (ALL, _("All"))]


def stages_of(choice: str) -> tuple[Stage, ...]:
    """Give the stages that a choice stands for; none means all of them."""
    if choice == OPEN:
        return OPEN_STAGES
    return () if choice in (ALL, "") else (Stage(choice),)


def counted(counts: Iterable[StageCount]) -> dict[str, str]:
    """Give each choice's words with its count."""
    known = {each.stage: each.count for each in counts}
    totals = {
        OPEN: sum(known.get(stage, 0) for stage in OPEN_STAGES),
        ALL: sum(known.values()),
        **{stage.value: known.get(stage, 0) for stage in Stage},
    }
    return {key: f"{words}  {totals[key]}" for key, words in stage_choices()}


def filter_key(text: str) -> str:
    """Give what is typed as the list compares it: a plate without its gaps, or a number."""
    return plate_key(text)


def facts(view: WorkOrderView, figures: Figures, now: datetime) -> tuple[tuple[str, str], ...]:
    """Give the facts at the head of a work order; empty values are left out by who shows them."""
    payer = view.customer if view.driver else ""
    odometer = view.odometer_in_tenths
    torque = figures.torque(view.wheel_torque_mnm) if view.wheel_torque_mnm is not None else ""
    return (
        (_("Promised"), promised_fully(figures, view.promised_at, now)),
        (_("Waits for"), _(view.waiting_reason) if view.waiting_reason else ""),
        (_("Customer"), _("waits here") if view.waits_here else ""),
        (_("Payer"), payer),
        (_("Driver"), view.driver),
        (_("PO number"), view.po_number),
        (_("Bay"), view.bay),
        (_("Key tag"), view.key_tag),
        (_("Parked"), view.parked),
        (_("Odometer in"), "" if odometer is None else figures.distance(odometer, view.odometer_unit)),
        (_("Replaced parts"), _(view.parts_choice.value) if view.parts_choice else ""),
        (_("Wheel off"), _("yes, nuts {torque}").format(torque=torque or _("not torqued yet"))
         if view.wheel_off else ""),
        (_("Comes back from"), str(view.origin_number or "")),
    )  # fmt: skip


def parts_choices() -> list[tuple[str, str]]:
    """Give what may become of replaced parts."""
    return [("", _("Not asked yet")), *((c.value, _(c.value).capitalize()) for c in PartsChoice if c)]


def waiting_choices(now: str) -> list[tuple[str, str]]:
    """Give the reasons for waiting, with the present one even if it is another."""
    known = [*WAITING] if not now or now in WAITING else [*WAITING, now]
    return [("", _("Nothing")), *((reason, _(reason).capitalize()) for reason in known)]


def moves(stage: Stage) -> list[tuple[str, str]]:
    """Give the stages a work order may be moved to by hand."""
    by_hand = [each for each in Stage if each in FOLLOWS[stage]]
    return [
        (each.value, stage_words(each)) for each in by_hand if each not in (Stage.FINISHED, Stage.INVOICED)
    ]


def is_changeable(stage: Stage) -> bool:
    """Whether lines and particulars may still change."""
    return stage in CHANGEABLE


def is_measurable(stage: Stage) -> bool:
    """Whether the bay still writes into its records."""
    return stage in (Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY)


def newest_estimate(view: WorkOrderView) -> EstimateRow | None:
    """Give the newest estimate, or None."""
    return max(view.estimates, key=lambda row: row.revision, default=None)


def estimate_is_current(view: WorkOrderView) -> bool:
    """Whether the newest estimate comes to what the lines come to now."""
    newest = newest_estimate(view)
    return newest is not None and newest.net_minor == view.net_minor


def subtitle(view: WorkOrderView) -> str:
    """Give the line beneath the title."""
    parts = [view.customer, view.vehicle, stage_words(view.stage)]
    return "  ·  ".join(part for part in parts if part)
