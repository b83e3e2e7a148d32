"""A second technician's verdict: over a kept record, a record's own file, or a job file.

Files are judged without a shop and without a database. A record file holds the facts as they are kept,
exactly; the code in it, if it is there, says which figures the shop stood for.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from fractions import Fraction
from gettext import gettext as _
from typing import Any

from sqlalchemy import select

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.proof import ProofVerdict
from shopdesk.domain.record import FIELDS, Entry, EntryKind
from shopdesk.domain.record_code import CodeValue
from shopdesk.domain.rounding import round_half_up
from shopdesk.domain.verify import Evidence, Stated, Tool
from shopdesk.persistence.tables.billing import invoice, invoice_void
from shopdesk.persistence.tables.service import instrument
from shopdesk.services.acting import Reading
from shopdesk.services.bay import RecordView, record_view
from shopdesk.services.items import item_view
from shopdesk.services.plain import from_plain, to_plain
from shopdesk.services.record_check import check_code
from shopdesk.services.record_code import signed_code
from shopdesk.services.signing import signer_of
from shopdesk.services.stock import Draw, drawn_before
from shopdesk.services.work import the_work_order

RECORD_FORMAT = "shopdesk-record/1"

_CHOSEN = (EntryKind.CHOICE, EntryKind.STEP)
_WORDS = (*_CHOSEN, EntryKind.TEXT)


def evidence_of(reading: Reading, view: RecordView) -> Evidence:
    """Give a kept record with all that is held against it."""
    return Evidence(
        entries=tuple(each.entry for each in view.entries),
        setting=view.setting,
        done_on=view.done_on,
        now=reading.now,
        specification=view.sheet.specification,
        claims=_claims(reading, view.item_id),
        tools=_tools(reading),
        invoiced_at=_invoiced_at(reading, view.work_order_id),
        fluid_taken_ul=_fluid_taken(reading, view),
    )


def _claims(reading: Reading, item_id: int | None) -> tuple[str, ...] | None:
    if item_id is None:
        return None
    return tuple(claim.specification for claim in item_view(reading, item_id).claims)


def _tools(reading: Reading) -> tuple[Tool, ...]:
    rows = reading.connection.execute(select(instrument).order_by(instrument.c.id))
    return tuple(Tool(name=row.name, calibrated_on=row.calibrated_on, due_on=row.due_on) for row in rows)


def _invoiced_at(reading: Reading, work_order_id: int) -> datetime | None:
    """When the work was billed first, by an invoice that stands."""
    voided = select(invoice_void.c.invoice_id)
    found: datetime | None = reading.connection.execute(
        select(invoice.c.at_utc)
        .where(
            invoice.c.work_order_id == work_order_id, invoice.c.kind == "invoice", invoice.c.id.not_in(voided)
        )
        .order_by(invoice.c.id)
        .limit(1)
    ).scalar()
    return found


def _fluid_taken(reading: Reading, view: RecordView) -> int | None:
    """What left the shelf for this record; not known before the work is finished."""
    if not view.finished or view.item_id is None:
        return None
    wanted = Draw(
        item_id=view.item_id, quantity=0, work_order_id=view.work_order_id, record_id=view.record_id
    )
    return drawn_before(reading, wanted)


def stated_of(view: RecordView) -> Stated:
    """Give the figures that a record's paper tells."""
    share = view.outcome.fresh.share
    return Stated(
        proven=view.outcome.proof.verdict is ProofVerdict.PROVEN,
        delta_ul=view.outcome.balance.delta_ul,
        fresh_percent=None if share is None else round(share * 100),
    )


def record_document(reading: Reading, record_id: int) -> dict[str, Any]:
    """Give a record's own file: its facts, exactly, its signed code, no name of a person and no plate."""
    view = record_view(reading, record_id)
    evidence = to_plain(evidence_of(reading, view))
    del evidence["now"]
    evidence["stated"] = to_plain(stated_of(view))
    signer = signer_of(reading)
    return {
        "format": RECORD_FORMAT,
        "id": view.uid,
        "number": f"{the_work_order(reading, view.work_order_id).number}-{record_id}",
        "shop": reading.shop.name,
        "unit": view.unit_label,
        "code": signed_code(reading, view, signer, personal=False) if signer else "",
        "evidence": evidence,
    }


def evidence_from(document: Mapping[str, Any], now: datetime) -> Evidence:
    """Read a record's file, already checked against its schema.

    Raises RuleBroken with a JSON path for what cannot be so, CodeBroken when its code is not as signed.
    """
    given = dict(document["evidence"])
    try:
        evidence: Evidence = from_plain(Evidence, {**given, "now": now.isoformat()})
    except (TypeError, ValueError, KeyError) as trouble:
        sentence = _("The facts of this record cannot be read: {reason}.")
        raise RuleBroken(sentence.format(reason=trouble), "/evidence") from trouble
    for at, entry in enumerate(evidence.entries):
        _check_entry(entry, f"/evidence/entries/{at}")
    if not document.get("code"):
        return evidence
    checked = check_code(document["code"])
    if checked.facts.get("uid") != document["id"]:
        raise RuleBroken(_("The code belongs to another record."), "/code")
    return _with_stated(evidence, checked.facts)


def _with_stated(evidence: Evidence, facts: Mapping[str, CodeValue]) -> Evidence:
    """What the shop signed counts, whatever else the file tells."""
    verdict, delta, share = (facts.get(name) for name in ("verdict", "arrived_by", "new_fluid"))
    stated = Stated(
        proven=None if verdict is None else verdict == ProofVerdict.PROVEN.value,
        delta_ul=delta if isinstance(delta, int) else None,
        fresh_percent=round_half_up(Fraction(share, 10)) if isinstance(share, int) else None,
    )
    return replace(evidence, stated=stated)


def _check_entry(entry: Entry, path: str) -> None:
    """An entry holds what its field's rule says; one that says nothing takes back what it corrects."""
    rule = FIELDS.get(entry.field)
    if rule is None:
        raise RuleBroken(_("There is no such thing to record."), f"{path}/field")
    if entry.value_int is None and entry.value_text is None:
        return
    wrong = RuleBroken(_("This is no value of this field."), path)
    if (entry.value_text is not None) != (rule.kind in _WORDS):
        raise wrong
    if rule.kind in _CHOSEN and entry.value_text not in rule.choices:
        raise wrong
    if rule.kind is EntryKind.GRADE and not 0 <= (entry.value_int or 0) < len(rule.choices):
        raise wrong
