"""What comes next with a work order: the page's one main action, stage by stage."""

from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.stages import Stage
from shopdesk.services.board import WorkOrderView
from shopdesk.ui.presenters.work_orders import estimate_is_current


class Deed(StrEnum):
    """What the main action does."""

    ADD_LINE = "add line"
    KEEP_LINES = "keep lines"
    ESTIMATE = "estimate"
    CONSENT = "consent"
    START = "start"
    RECORD = "record"
    FINISH = "finish"
    INVOICE = "invoice"
    PAYMENT = "payment"
    PICKED_UP = "picked up"
    OPEN_AGAIN = "open again"


@dataclass(frozen=True, kw_only=True, slots=True)
class NextStep:
    """A deed with its words and its picture."""

    deed: Deed
    words: str
    icon: str


def next_step(view: WorkOrderView, *, lines_unkept: bool) -> NextStep | None:
    """Give what comes next; None when the work order has come to its end."""
    deed = _deed(view, lines_unkept=lines_unkept)
    return None if deed is None else NextStep(deed=deed, words=_words()[deed], icon=_ICONS[deed])


def _deed(view: WorkOrderView, *, lines_unkept: bool) -> Deed | None:
    if view.stage is Stage.QUOTED:
        return _while_quoted(view, lines_unkept=lines_unkept)
    if view.stage is Stage.INVOICED:
        still_open = view.invoice is not None and view.invoice.open_minor > 0
        return Deed.PAYMENT if still_open else Deed.PICKED_UP
    if view.stage is Stage.IN_THE_BAY and view.units and not view.records:
        return Deed.RECORD
    by_stage = {
        Stage.AUTHORISED: Deed.START,
        Stage.IN_THE_BAY: Deed.FINISH,
        Stage.FINISHED: Deed.INVOICE,
        Stage.CANCELLED: Deed.OPEN_AGAIN,
    }
    return by_stage.get(view.stage)


def _while_quoted(view: WorkOrderView, *, lines_unkept: bool) -> Deed:
    if lines_unkept:
        return Deed.KEEP_LINES
    if not view.lines:
        return Deed.ADD_LINE
    return Deed.CONSENT if estimate_is_current(view) else Deed.ESTIMATE


_ICONS = {
    Deed.ADD_LINE: "plus",
    Deed.KEEP_LINES: "check",
    Deed.ESTIMATE: "file-text",
    Deed.CONSENT: "check",
    Deed.START: "wrench",
    Deed.RECORD: "wrench",
    Deed.FINISH: "check",
    Deed.INVOICE: "receipt",
    Deed.PAYMENT: "check",
    Deed.PICKED_UP: "check",
    Deed.OPEN_AGAIN: "undo-2",
}


def _words() -> dict[Deed, str]:
    return {
        Deed.ADD_LINE: _("Add a line"),
        Deed.KEEP_LINES: _("Keep the lines"),
        Deed.ESTIMATE: _("Make estimate"),
        Deed.CONSENT: _("Record consent"),
        Deed.START: _("Start in bay"),
        Deed.RECORD: _("Start the service record"),
        Deed.FINISH: _("Finish"),
        Deed.INVOICE: _("Issue invoice"),
        Deed.PAYMENT: _("Take payment"),
        Deed.PICKED_UP: _("Picked up"),
        Deed.OPEN_AGAIN: _("Open again"),
    }
