"""The bay's page around a step: where one is, the step itself, its big buttons, and the number pad."""

from gettext import gettext as _

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.ui.screens.bay.why import WhyPanel
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, TextRole
from shopdesk.ui.widgets.button import BigButton
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.facts import WarningLine
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.number_pad import NumberPad
from shopdesk.ui.widgets.plain_label import PlainLabel

_PAD_BESIDE = 980
_PAD_WIDTH = 300
_TOP_SHARE = 2.2  # what stays in sight takes no more than this part of the height
_HEAD_STAYS = 560  # from this height on, which step it is stays in sight too


class Working(QWidget):
    """The parts are the page's own to fill; here they only have their places."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._page: QWidget | None = None
        self._top: QWidget | None = None
        self.warning = WarningLine(look, _("Vehicle"))
        self.stopped = WarningLine(look, _("Stop"))
        self.progress = PlainLabel("", TextRole.BODY, tone="ink2")
        self.title_line = PlainLabel("", TextRole.BIG, wrap=True)
        self.people = PlainLabel("", TextRole.BODY, tone="ink2", wrap=True)
        self.state = PlainLabel("", TextRole.CARD, tone="ok", wrap=True)
        self.before = BigButton(look, _("Before"), icon="arrow-left")
        self.after = BigButton(look, _("Next step"))
        self.hand_over = BigButton(look, _("Hand over"), icon="users")
        self.done = BigButton(look, _("Done"), icon="check", main=True)
        self.undo = BigButton(look, _("Not done after all"), icon="undo-2")
        self.repeat = BigButton(look, _("Open once more"), icon="plus")
        self.why = WhyPanel(look)
        self.pad = NumberPad(look)
        self._lay_out(look)

    def show_page(self, page: QWidget, top: QWidget | None = None) -> None:
        """Show a step in place of the one before; the keyboard waits at the big button meanwhile.

        ``top`` stays in sight over the step where the window is high enough, and else scrolls with it.
        """
        old, self._page = self._page, page
        self._take_top(top)
        self._holder.addWidget(page)
        if old is not None:
            self.done.setFocus()
            self._holder.removeWidget(old)
            old.hide()
            old.deleteLater()
        page.show()

    def ask_why(self, on: bool) -> None:
        """While a reason is asked for, the question stands in the step's place."""
        for part in (self._page, self._top, self._buttons):
            if part is not None:
                part.setVisible(not on)
        if on:
            self.pad.hide()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The pad stands beside the step where there is room, else beneath it."""
        super().resizeEvent(event)
        beside = self.width() >= self._look.px(_PAD_BESIDE)
        wanted, other = (self._side, self._beneath) if beside else (self._beneath, self._side)
        if wanted.indexOf(self.pad) < 0:
            other.removeWidget(self.pad)
            wanted.insertWidget(0, self.pad, 0, Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop)
        self._place_over()

    def _take_top(self, top: QWidget | None) -> None:
        old, self._top = self._top, top
        if old is not None:
            old.hide()
            old.deleteLater()
        self._place_over()
        if top is not None:
            top.show()

    def _place_over(self) -> None:
        """Keep in sight what there is height for: the word of the warm-up, and which step it is."""
        if self._top is not None:
            self._place(self._top, 1, over=self._top.sizeHint().height() * _TOP_SHARE <= self.height())
        self._place(self._head, 0, over=self.height() >= self._look.px(_HEAD_STAYS))

    def _place(self, part: QWidget, at: int, *, over: bool) -> None:
        wanted, other = (self._over, self._among) if over else (self._among, self._over)
        if wanted.indexOf(part) < 0:
            other.removeWidget(part)
            wanted.insertWidget(min(at, wanted.count()), part)

    def _lay_out(self, look: Look) -> None:
        self._lay_out_head(look)
        self._holder, self._over, self._among = QVBoxLayout(), QVBoxLayout(), QVBoxLayout()
        self._side, self._beneath = QVBoxLayout(), QVBoxLayout()
        self._buttons = QWidget()
        buttons = QHBoxLayout(self._buttons)
        buttons.setContentsMargins(0, 0, 0, 0)
        buttons.setSpacing(look.px(GAP))
        buttons.addWidget(self.done, 2)
        buttons.addWidget(self.undo, 1)
        buttons.addWidget(self.repeat, 1)
        scroll = Scroll(look)
        scroll.add(self._among)
        scroll.add(self.state)
        scroll.add(self._holder)
        scroll.add(self.why)
        scroll.add(self._beneath)
        work = QVBoxLayout()
        work.setSpacing(look.px(GAP))
        work.addLayout(self._over)
        work.addWidget(scroll, 1)
        work.addWidget(self._buttons)
        split = QHBoxLayout(self)
        split.setContentsMargins(0, 0, 0, 0)
        split.setSpacing(look.px(GAP_WIDE))
        split.addLayout(work, 1)
        self.pad.setFixedWidth(look.px(_PAD_WIDTH))
        self._among.addWidget(self._head)
        self._among.setSpacing(look.px(GAP))
        self._over.setSpacing(look.px(GAP))
        self._beneath.addWidget(self.pad)  # beside the step it would widen a window that has no room
        self._side.addStretch(1)
        split.addLayout(self._side)
        self.hide()

    def _lay_out_head(self, look: Look) -> None:
        words = QVBoxLayout()
        words.setSpacing(0)
        for label in (self.progress, self.title_line, self.people):
            words.addWidget(label)
        ways = QWidget()
        flow = Flow(look.px(GAP), ways)
        for button in (self.before, self.after, self.hand_over):
            flow.addWidget(button)
        row = QHBoxLayout()
        row.setSpacing(look.px(GAP))
        row.addLayout(words, 1)
        row.addWidget(ways)
        self._head = QWidget()
        column = QVBoxLayout(self._head)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        for part in (self.warning, self.stopped):
            column.addWidget(part)
        column.addLayout(row)
