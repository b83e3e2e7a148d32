"""Keeping what "done" brings: exchanged units are asked about, what is out of order is explained."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QObject

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.stop_rule import Stop
from shopdesk.domain.units import NumberStyle
from shopdesk.services.bay import Enter, RecordKept, RecordView
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.bay_plan import BayStep
from shopdesk.ui.presenters.bay_why import Odd, odd_order, odd_values, with_missing, with_reason
from shopdesk.ui.presenters.record_slots import Change, Kept
from shopdesk.ui.presenters.torque_words import Slip, answers, put_right, slips
from shopdesk.ui.screens.bay.why import WhyPanel
from shopdesk.ui.sending import Sending

Sent = tuple[Change, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class AtStep:
    """Where "done" was said, and who hears what became of it."""

    step: BayStep
    view: RecordView
    kept: dict[str, Kept]
    stop: Stop
    then: Callable[[Sent, RecordKept], None]
    refused: Callable[[RuleBroken, Sent], None]


class Keeping(QObject):
    """Goes through the questions one after the other, then sends; putting a question aside keeps nothing."""

    def __init__(self, desk: Desk, work: AtWork, why: WhyPanel, parent: QObject) -> None:
        super().__init__(parent)
        self._desk = desk
        self._work = work
        self._why = why
        self._sending = Sending(desk, self)

    def keep(self, sent: Sent, at: AtStep) -> None:
        """Keep these entries."""
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        self._ask_units(sent, slips(sent, at.view, typed, self._work.figures), at)

    def send(self, sent: Sent, at: AtStep) -> None:
        """Keep these entries without a question."""
        command = self._command(sent, at.view)
        self._sending.send(
            lambda: self._work.rooms.bay.enter(command),
            lambda kept: at.then(sent, kept),
            lambda refusal: at.refused(refusal, sent),
        )

    def _ask_units(self, sent: Sent, found: Sequence[Slip], at: AtStep) -> None:
        if not found:
            self._ask_order(sent, at)
            return
        slip, rest = found[0], found[1:]

        def answered(key: str) -> None:
            self._ask_units(put_right(sent, slip) if key == "other" else sent, rest, at)

        self._desk.ask.choose(slip.question, answers(slip), answered)

    def _ask_order(self, sent: Sent, at: AtStep) -> None:
        command, preview = self._command(sent, at.view), self._work.rooms.bay.preview

        def looked(after: RecordView) -> None:
            odd = odd_order(at.step, at.view, at.kept, at.stop) + odd_values(at.view, after, sent)
            self._ask_why(sent, odd, at)

        self._desk.background.read(
            self, "preview", lambda: preview(command), looked, lambda refusal: at.refused(refusal, sent)
        )

    def _ask_why(self, sent: Sent, odd: Sequence[Odd], at: AtStep) -> None:
        if not odd:
            self.send(sent, at)
            return
        others = [each for each in odd if not each.missing]
        missing = [each for each in odd if each.missing]

        def too() -> None:
            self._ask_why(with_missing(sent, missing), others, at)

        self._why.ask(
            odd,
            lambda reason: self.send(with_reason(sent, odd, reason, at.view), at),
            too if missing else None,
        )

    def _command(self, sent: Sent, view: RecordView) -> Enter:
        return Enter(
            actor=self._work.actor,
            record_id=view.record_id,
            entries=tuple(change.entry for change in sent),
        )
