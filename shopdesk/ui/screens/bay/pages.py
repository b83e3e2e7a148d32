"""Makes the page of a step: its fields, and what stands around them."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.domain.level_rules import Flow
from shopdesk.domain.stop_rule import Stop, StopState
from shopdesk.services.photos import PhotoSubject
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.photo_strip import PhotoStrip
from shopdesk.ui.forms.torque_panel import TorquePanel
from shopdesk.ui.presenters.bay_plan import CLOSE, FOUND, LOOK, OPEN, RESULT, STOP, WARM, BayStep
from shopdesk.ui.presenters.bay_read import BayRead, phone_words
from shopdesk.ui.presenters.record_shape import Slot
from shopdesk.ui.presenters.record_slots import kept_slots
from shopdesk.ui.screens.bay.result import ResultPage
from shopdesk.ui.screens.bay.step_page import StepPage
from shopdesk.ui.screens.bay.tools import Tools
from shopdesk.ui.screens.bay.warm_panel import Clock, Sound, WarmPanel
from shopdesk.ui.screens.bay.wheel import WheelPage
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, TextRole
from shopdesk.ui.widgets.advice_sign import AdviceSign, Sign
from shopdesk.ui.widgets.field import Reader
from shopdesk.ui.widgets.number_pad import NumberPad
from shopdesk.ui.widgets.plain_label import PlainLabel

_AT_PLUG = (OPEN, CLOSE, FOUND)


class StopWords(QWidget):
    """Why the old fluid calls for a stop, what is still to do, and whom to call."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.sign = AdviceSign(look)
        self.reasons = PlainLabel("", TextRole.CARD, wrap=True)
        self.needed = PlainLabel("", TextRole.CARD, wrap=True)
        self.call = PlainLabel("", TextRole.CARD, wrap=True)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        for part in (self.sign, self.reasons, self.needed, self.call):
            column.addWidget(part)

    def show_stop(self, stop: Stop, read: BayRead) -> None:
        """Show where the service stands with the rule."""
        words = {
            StopState.NO_SERVICE: (Sign.STOP, _("No service")),
            StopState.GONE_ON: (Sign.RUN, _("Go on")),
        }
        sign, word = words.get(stop.state, (Sign.STOP, _("Stop")))
        self.sign.show_advice(sign, word, "", "; ".join(stop.reasons), stop.sentence)
        self.reasons.setText(stop.sentence)
        left = ", ".join(_(each.value) for each in stop.needed)
        self.needed.setText(_("Still to do: {what}.").format(what=left) if left else _("All of it is done."))
        self.call.setText(phone_words(read))


class Pages(QWidget):
    """``ticked``: a second passed; ``rebuilt``: there are other parts to reach by Tab; ``pictured``: the
    pictures are others now."""

    ticked = Signal()
    rebuilt = Signal()
    pictured = Signal()

    def __init__(self, desk: Desk, work: AtWork, pad: NumberPad, clock: Clock, parent: QWidget) -> None:
        super().__init__(parent)
        self._desk = desk
        self._work = work
        self._pad = pad
        self._clock = clock
        self.sound = Sound()
        self.tools = Tools(desk)
        self.stop_words: StopWords | None = None
        self.photos: PhotoStrip | None = None
        self.torque: TorquePanel | None = None
        self.hide()

    def make(self, step: BayStep, read: BayRead, reader_of: Callable[[Slot], Reader]) -> QWidget:
        """Make the page of a step."""
        self.stop_words = self.photos = self.torque = None
        if step.part == RESULT:
            return ResultPage(self._desk.look)
        if step.wheel:
            return WheelPage(self._desk, self._work, read.order, self._pad, step)
        return StepPage(
            self._desk.look,
            step,
            reader_of,
            panel=self._panel(step, read),
            before=self._before(step),
            after=self._after(step, read),
        )

    def _panel(self, step: BayStep, read: BayRead) -> WarmPanel | None:
        has_window = read.warm is not None and read.warm.window is not None
        if not has_window or (step.part != WARM and step.part not in _AT_PLUG):
            return None
        panel = WarmPanel(self._desk, self._work, self._clock, self.sound, at_plug=step.part != WARM)
        panel.ticked.connect(self.ticked)
        panel.log.closed.connect(self.rebuilt)
        panel.log.brought.connect(self.rebuilt)
        panel.log.shown.connect(self.rebuilt)
        return panel

    def _before(self, step: BayStep) -> list[QWidget]:
        if step.part != STOP:
            return []
        self.stop_words = StopWords(self._desk.look)
        return [self.stop_words]

    def _after(self, step: BayStep, read: BayRead) -> list[QWidget]:
        parts: list[QWidget] = []
        if step.part in (LOOK, STOP) and read.view is not None:
            self.photos = PhotoStrip(self._desk, self._work, bay=True)
            self.photos.show_subject(PhotoSubject.RECORD, read.view.record_id)
            self.photos.rebuilt.connect(self.rebuilt)
            self.photos.rebuilt.connect(self.pictured)
            parts.append(self.photos)
        if read.view is not None:
            parts += self.tools.buttons(step, read.tools, kept_slots(read.view, self._work.figures))
        torques = [slot for slot in step.slots if slot.field.endswith("_torque")]
        if torques:
            self.torque = TorquePanel(self._desk, self._work, bay=True)
            self.torque.rebuilt.connect(self.rebuilt)
            parts.append(self.torque)
        return parts


def plug_state(step: BayStep, texts: dict[str, str]) -> tuple[bool, Flow | None]:
    """Say whether the plug is open at a step, and what is seen there, by the answers on its page."""
    at_opening = texts.get(f"flow_at_opening:{step.opening}", "")
    at_closing = texts.get(f"flow_at_closing:{step.opening}", "")
    if step.part == CLOSE:
        return True, Flow(at_closing) if at_closing else None
    if step.part == OPEN and at_opening:
        return True, Flow(at_opening)
    return False, None
