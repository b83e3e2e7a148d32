"""The particulars of a work order as the texts of a form, and back as a command."""

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from shopdesk.services.acting import Actor
from shopdesk.services.board import WorkOrderView
from shopdesk.services.figures import Figures
from shopdesk.services.work import EditWorkOrder, PartsChoice
from shopdesk.ui.presenters.promised import read_promised


def texts_of(view: WorkOrderView, figures: Figures) -> dict[str, str]:
    """Give a work order's particulars as they stand in the form."""
    return {
        "complaint": view.complaint,
        "waiting_reason": view.waiting_reason,
        "promised_at": _promised_text(view.promised_at, figures),
        "driver": view.driver,
        "po_number": view.po_number,
        "bay": view.bay,
        "key_tag": view.key_tag,
        "parked": view.parked,
        "parts_choice": view.parts_choice.value,
        "waits_here": "yes" if view.waits_here else "",
        "wheel_off": "yes" if view.wheel_off else "",
        "wheel_torque": view.wheel_torque_typed,
        "note": view.note,
    }


def _promised_text(at: datetime | None, figures: Figures) -> str:
    if at is None:
        return ""
    return f"{figures.day_of(at)} {figures.clock(at)}"


def read_promise(text: str, view: WorkOrderView, figures: Figures, now: datetime) -> datetime | None:
    """Read the promised time; one that was not changed stays even when it has passed.

    Raises RuleBroken (field ``promised_at``) if it cannot be read.
    """
    if not text.strip():
        return None
    if text.strip() == _promised_text(view.promised_at, figures):
        return view.promised_at
    return read_promised(text, now.astimezone(ZoneInfo(figures.shop.zone)))


def edit_command(
    actor: Actor,
    view: WorkOrderView,
    version: int,
    texts: Mapping[str, str],
    promised_at: datetime | None,
) -> EditWorkOrder:
    """Give the command that keeps the form's texts in the place of what was read at ``version``."""
    return EditWorkOrder(
        actor=actor,
        work_order_id=view.id,
        version=version,
        complaint=texts["complaint"],
        driver=texts["driver"],
        po_number=texts["po_number"],
        promised_at=promised_at,
        bay=texts["bay"],
        key_tag=texts["key_tag"],
        parked=texts["parked"],
        waits_here=bool(texts["waits_here"]),
        parts_choice=PartsChoice(texts["parts_choice"]),
        wheel_off=bool(texts["wheel_off"]),
        note=texts["note"],
        waiting_reason=texts["waiting_reason"],
        wheel_torque=texts["wheel_torque"],
    )
