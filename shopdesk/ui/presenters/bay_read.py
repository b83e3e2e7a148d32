"""Everything the bay's page shows of one unit's service, read at once."""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.services.bay import RecordView
from shopdesk.services.board import WorkOrderView
from shopdesk.services.desk import Desk
from shopdesk.services.instruments import InstrumentRow
from shopdesk.services.setup import PersonRow
from shopdesk.services.warmup import WarmUp


@dataclass(frozen=True, kw_only=True, slots=True)
class BayRead:
    """A record with its work order, its warm-up, the tools, the people and the customer's telephones."""

    order: WorkOrderView
    view: RecordView | None = None
    warm: WarmUp | None = None
    tools: Sequence[InstrumentRow] = ()
    people: Sequence[PersonRow] = ()
    phones: Sequence[str] = ()


def read_bay(rooms: Desk, order_id: int, unit_id: int) -> BayRead:
    """Read a work order, and the record of a unit (0: of the only one there is)."""
    order = rooms.board.work_order(order_id)
    records = [record for record in order.records if unit_id in (0, record.unit_id)]
    if not records or (unit_id == 0 and len(records) != 1):
        return BayRead(order=order)
    record_id = records[0].record_id
    return BayRead(
        order=order,
        view=rooms.bay.record(record_id),
        warm=rooms.warmups.view(record_id),
        tools=rooms.instruments.all(),
        people=[person for person in rooms.setup.people() if person.active],
        phones=rooms.intake.customer(order.customer_id).phones,
    )


def people_words(read: BayRead, person_id: int) -> str:
    """Say who works here now, and who worked on this record before."""
    now = next((person.name for person in read.people if person.id == person_id), "")
    others = [name for name in (read.view.people if read.view else ()) if name != now]
    told = _("At work: {name}").format(name=now) if now else ""
    before = _("before: {names}").format(names=", ".join(others)) if others else ""
    return "  ·  ".join(part for part in (told, before) if part)


def hand_over_choices(read: BayRead, person_id: int) -> list[tuple[str, str]]:
    """Give who may take over."""
    return [(str(person.id), person.name) for person in read.people if person.id != person_id]


def phone_words(read: BayRead) -> str:
    """Say whom to call, and at which number."""
    numbers = ", ".join(read.phones) or _("no telephone on record")
    return _("{customer}: {numbers}").format(customer=read.order.customer, numbers=numbers)
