"""Work orders: opened at the counter, priced, agreed to, moved from stage to stage."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from gettext import gettext as _

from sqlalchemy import func, select

from shopdesk.domain import text
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.stages import CHANGEABLE, Stage, check_follows
from shopdesk.domain.words import N_
from shopdesk.persistence import canonical
from shopdesk.persistence.numbers import next_number
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.persistence.tables.work import consent, estimate, work_order
from shopdesk.services import finding
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.lines import LineTyped, PricedWork, keep_lines, priced_work
from shopdesk.services.plain import to_plain

#: The largest sum on one paper, in minor units; a typed amount has the same bound.
MOST_MINOR = 999_999_999_999


class PartsChoice(StrEnum):
    """What happens to replaced parts, asked before the work."""

    UNASKED = ""
    RETURN = N_("give them back")
    INSPECT = N_("customer sees them")
    DISCARD = N_("dispose of them")
    CORE = N_("exchange part")


class ConsentHow(StrEnum):
    """How the customer agreed."""

    IN_PERSON = N_("in person")
    SIGNATURE = N_("signature")
    PHONE = N_("phone")
    TEXT = N_("text message")
    EMAIL = N_("e-mail")


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkOrderTyped(Command):
    """A work order's particulars as typed."""

    complaint: str = ""
    driver: str = ""
    po_number: str = ""
    promised_at: datetime | None = None
    bay: str = ""
    key_tag: str = ""
    parked: str = ""
    waits_here: bool = False
    parts_choice: PartsChoice = PartsChoice.UNASKED
    wheel_off: bool = False
    note: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class OpenWorkOrder(WorkOrderTyped):
    """New work on a vehicle; ``customer_id`` pays. A comeback names the job it comes back from."""

    vehicle_id: int
    customer_id: int
    odometer_id: int | None = None
    origin_work_order_id: int | None = None
    comeback_cause: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class EditWorkOrder(WorkOrderTyped):
    """New particulars of a work order that was read at ``version``."""

    work_order_id: int
    version: int
    waiting_reason: str = ""
    wheel_torque: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class SetLines(Command):
    """The work order's lines from now on; ``version`` is the work order's as it was read."""

    work_order_id: int
    version: int
    lines: tuple[LineTyped, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class MoveStage(Command):
    """Moves a work order to another stage."""

    work_order_id: int
    stage: Stage


@dataclass(frozen=True, kw_only=True, slots=True)
class MakeEstimate(Command):
    """Freezes the present lines as the next estimate revision."""

    work_order_id: int
    valid_days: int = 30


@dataclass(frozen=True, kw_only=True, slots=True)
class RecordConsent(Command):
    """What the customer agreed to, word for word. An empty ``up_to`` is the estimate's net sum."""

    work_order_id: int
    person: str
    how: ConsentHow
    relation: str = ""
    reached_at: str = ""
    said: str
    up_to: str = ""
    given_at: datetime | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class WorkOrderKept:
    """Which work order, and its stage now."""

    work_order_id: int
    number: int
    stage: Stage


@dataclass(frozen=True, kw_only=True, slots=True)
class EstimateKept:
    """A frozen estimate revision; money in minor units, before tax."""

    estimate_id: int
    revision: int
    net_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class ConsentKept:
    """A recorded consent and the net sum it goes up to."""

    consent_id: int
    up_to_minor: int


@dataclass(frozen=True, kw_only=True, slots=True)
class StageCount:
    """How many work orders stand at a stage."""

    stage: Stage
    count: int


def open_work_order(writing: Writing, command: OpenWorkOrder) -> WorkOrderKept:
    """Open a work order with the next number."""
    writing.one(vehicle, command.vehicle_id, _("That vehicle is not there any more."))
    writing.one(customer, command.customer_id, _("That customer is not there any more."))
    number = next_number(writing.connection, "work order")
    work_order_id = writing.add(
        work_order,
        number=number,
        vehicle_id=command.vehicle_id,
        customer_id=command.customer_id,
        stage=Stage.QUOTED.value,
        odometer_in_id=command.odometer_id,
        origin_work_order_id=command.origin_work_order_id,
        comeback_cause=text.clean(command.comeback_cause, field="comeback_cause", most=500),
        opened_utc=writing.now,
        stage_utc=writing.now,
        **_particulars(command),
    )
    finding.index_work_order(writing, work_order_id)
    return WorkOrderKept(work_order_id=work_order_id, number=number, stage=Stage.QUOTED)


def _particulars(command: WorkOrderTyped) -> dict[str, object]:
    if command.promised_at is not None and command.promised_at.tzinfo is None:
        raise RuleBroken(_("The promised time needs its time zone."), "promised_at")
    return {
        "complaint": text.clean(command.complaint, field="complaint", most=4000, lines=True),
        "driver_text": text.clean(command.driver, field="driver", most=200),
        "po_number": text.clean(command.po_number, field="po_number", most=60),
        "promised_at": command.promised_at,
        "bay": text.clean(command.bay, field="bay", most=40),
        "key_tag": text.clean(command.key_tag, field="key_tag", most=40),
        "parked_text": text.clean(command.parked, field="parked", most=80),
        "waits_here": command.waits_here,
        "parts_choice": command.parts_choice.value,
        "wheel_off": command.wheel_off,
        "note": text.clean(command.note, field="note", most=4000, lines=True),
    }


def the_work_order(reading: Reading, work_order_id: int) -> AnyRow:
    """Give the work order's row, or refuse."""
    return reading.one(work_order, work_order_id, _("That work order is not there."))


def _changeable(writing: Writing, work_order_id: int) -> AnyRow:
    row = the_work_order(writing, work_order_id)
    if Stage(row.stage) not in CHANGEABLE:
        sentence = _("Work order {number} is {stage}; it does not change any more.")
        raise RuleBroken(sentence.format(number=row.number, stage=_(row.stage)), "stage")
    return row


def _check_version(row: AnyRow, version: int) -> None:
    if row.version != version:
        raise Conflict(_("Somebody else changed this work order meanwhile; both versions are shown."))


def edit_work_order(writing: Writing, command: EditWorkOrder) -> WorkOrderKept:
    """Change a work order's particulars."""
    row = _changeable(writing, command.work_order_id)
    _check_version(row, command.version)
    torque = command.wheel_torque.strip()
    writing.change(
        work_order,
        row.id,
        waiting_reason=text.clean(command.waiting_reason, field="waiting_reason", most=120),
        wheel_torque_mnm=writing.typed_here().torque(torque, "wheel_torque").value if torque else None,
        wheel_torque_typed=torque[:60],
        **_particulars(command),
    )
    finding.index_work_order(writing, row.id)
    return WorkOrderKept(work_order_id=row.id, number=row.number, stage=Stage(row.stage))


def set_lines(writing: Writing, command: SetLines) -> WorkOrderKept:
    """Put new lines in the place of the old ones."""
    row = _changeable(writing, command.work_order_id)
    _check_version(row, command.version)
    keep_lines(writing, row.id, command.lines)
    if priced_work(writing, row.id).totals.total_minor > MOST_MINOR:
        raise RuleBroken(_("The lines come to more than can be billed."), "lines")
    writing.change(work_order, row.id)
    return WorkOrderKept(work_order_id=row.id, number=row.number, stage=Stage(row.stage))


def move_stage(writing: Writing, work_order_id: int, wanted: Stage) -> WorkOrderKept:
    """Move a work order to a stage that may follow its present one."""
    row = the_work_order(writing, work_order_id)
    check_follows(Stage(row.stage), wanted)
    writing.change(work_order, row.id, stage=wanted.value, stage_utc=writing.now)
    return WorkOrderKept(work_order_id=row.id, number=row.number, stage=wanted)


def move_stage_by_hand(writing: Writing, command: MoveStage) -> WorkOrderKept:
    """Move a stage that no other verb stands for: finishing and invoicing have their own."""
    if command.stage in (Stage.FINISHED, Stage.INVOICED):
        raise RuleBroken(_("Work is finished and invoiced by those steps themselves."), "stage")
    return move_stage(writing, command.work_order_id, command.stage)


def make_estimate(writing: Writing, command: MakeEstimate) -> EstimateKept:
    """Freeze the present lines as the next revision; earlier revisions stay as they are."""
    row = _changeable(writing, command.work_order_id)
    if not 1 <= command.valid_days <= 365:
        raise RuleBroken(_("An estimate is valid for 1 to 365 days."), "valid_days")
    work = priced_work(writing, row.id)
    if not work.lines:
        raise RuleBroken(_("There is nothing to estimate yet: add a line first."), "lines")
    revision = 1 + (
        writing.connection.execute(
            select(func.max(estimate.c.revision)).where(estimate.c.work_order_id == row.id)
        ).scalar()
        or 0
    )
    snapshot = canonical.canonical_json(to_plain(work))
    estimate_id = writing.add_chained(
        estimate,
        work_order_id=row.id,
        revision=revision,
        net_minor=work.totals.net_minor,
        valid_until=writing.today + timedelta(days=command.valid_days),
        snapshot=snapshot,
        sha=canonical.sha256_text(snapshot),
    )
    return EstimateKept(estimate_id=estimate_id, revision=revision, net_minor=work.totals.net_minor)


def record_consent(writing: Writing, command: RecordConsent) -> ConsentKept:
    """Keep a consent to the newest estimate; a quoted work order becomes authorised."""
    row = _changeable(writing, command.work_order_id)
    newest = writing.connection.execute(
        select(estimate.c.id, estimate.c.net_minor)
        .where(estimate.c.work_order_id == row.id)
        .order_by(estimate.c.revision.desc())
        .limit(1)
    ).one_or_none()
    if newest is None:
        raise RuleBroken(_("There is no estimate yet; consent is to an estimate."), "estimate")
    up_to = writing.typed_here().money(command.up_to, "up_to") if command.up_to.strip() else newest.net_minor
    consent_id = writing.add_chained(
        consent,
        work_order_id=row.id,
        estimate_id=newest.id,
        person_text=text.required(command.person, field="person", label=_("who agreed"), most=200),
        relation=text.clean(command.relation, field="relation", most=60),
        how=command.how.value,
        reached_at=text.clean(command.reached_at, field="reached_at", most=200),
        said_text=text.required(command.said, field="said", label=_("what was said"), most=4000),
        up_to_minor=up_to,
        given_at=command.given_at or writing.now,
        zone=writing.shop.zone,
    )
    if Stage(row.stage) is Stage.QUOTED:
        move_stage(writing, row.id, Stage.AUTHORISED)
    return ConsentKept(consent_id=consent_id, up_to_minor=up_to)


def authorised_minor(reading: Reading, work_order_id: int) -> int | None:
    """Give the highest net sum the customer agreed to, or None without any consent."""
    return reading.connection.execute(
        select(func.max(consent.c.up_to_minor)).where(consent.c.work_order_id == work_order_id)
    ).scalar()


class WorkOrders:
    """The room where work is written up and agreed to."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def open(self, command: OpenWorkOrder) -> WorkOrderKept:
        """Open a work order."""
        return self._office.carry_out(
            command, lambda writing: open_work_order(writing, command), WorkOrderKept
        )

    def edit(self, command: EditWorkOrder) -> WorkOrderKept:
        """Change a work order's particulars."""
        return self._office.carry_out(
            command, lambda writing: edit_work_order(writing, command), WorkOrderKept
        )

    def set_lines(self, command: SetLines) -> WorkOrderKept:
        """Put new lines in the place of the old ones."""
        return self._office.carry_out(command, lambda writing: set_lines(writing, command), WorkOrderKept)

    def move(self, command: MoveStage) -> WorkOrderKept:
        """Move a work order to another stage."""
        return self._office.carry_out(
            command, lambda writing: move_stage_by_hand(writing, command), WorkOrderKept
        )

    def estimate(self, command: MakeEstimate) -> EstimateKept:
        """Freeze the next estimate revision."""
        return self._office.carry_out(command, lambda writing: make_estimate(writing, command), EstimateKept)

    def consent(self, command: RecordConsent) -> ConsentKept:
        """Keep what the customer agreed to."""
        return self._office.carry_out(command, lambda writing: record_consent(writing, command), ConsentKept)

    def priced(self, work_order_id: int) -> PricedWork:
        """Give a work order's lines and what they come to today."""
        with self._office.reading() as reading:
            return priced_work(reading, work_order_id)
