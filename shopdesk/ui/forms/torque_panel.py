"""What to set the wrench to when something stands between it and the socket; it is asked what does."""

from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.torque import BetweenWrenchAndSocket, question
from shopdesk.domain.units import NumberStyle
from shopdesk.services.figures import shown_unit
from shopdesk.services.typed import Typed
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.torque_words import between_choices, setting_words
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, TextRole
from shopdesk.ui.widgets.button import BigButton, Button, ButtonPart
from shopdesk.ui.widgets.fields import NumberField
from shopdesk.ui.widgets.figure import CameFrom, Figure
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.segments import Segments


class TorquePanel(QWidget):
    """Closed to one button until it is wanted; ``rebuilt``: there are other parts to reach by Tab."""

    rebuilt = Signal()

    def __init__(self, desk: Desk, work: AtWork, *, bay: bool = False) -> None:
        super().__init__()
        self._work = work
        look = desk.look
        words = _("Adapter on the wrench?")
        self.opens = BigButton(look, words) if bay else Button(look, words, ButtonPart.QUIET, icon="wrench")
        self.opens.setCheckable(bay)
        self.opens.clicked.connect(self.toggle)
        self.between = Segments(look, question(), between_choices(), bay=bay)
        self.between.clear()
        self.between.chosen.connect(lambda _key: self._answered())
        self.form = Form(look, columns=2, least_width=200)
        torque_unit = shown_unit(work.figures.shop.torque_unit)
        self.form.add(
            NumberField(look, "torque", _("Torque wanted"), self._torque, unit=torque_unit, bay=bay)
        )
        self.form.add(
            NumberField(
                look,
                "wrench_length",
                _("Wrench, from grip to drive"),
                self._length,
                help_line=_("With its unit, such as 16 in"),
                bay=bay,
            )
        )
        self.form.add(
            NumberField(
                look,
                "adapter_length",
                _("Adapter, from drive to socket"),
                self._length,
                help_line=_("With its unit, such as 2 in"),
                bay=bay,
            )
        )
        self.form.add(
            NumberField(
                look,
                "angle",
                _("Angle from straight out"),
                unit="°",
                help_line=_("0 straight out, 90 across, 180 turned back"),
                bay=bay,
            )
        )
        self.form.edited.connect(self._work_out)
        self.result = Figure(look, _("Set the wrench to"), big=True)
        self.note = PlainLabel("", TextRole.BODY, tone="ink2", wrap=True)
        self._lay_out(look)

    @property
    def is_open(self) -> bool:
        """Whether the panel is open."""
        return not self._body.isHidden()

    def want(self, torque: str) -> None:
        """Put in the torque that the sheet asks for."""
        if not self.form.texts()["torque"]:
            self.form.fill({"torque": torque})

    def toggle(self) -> None:
        """Open or close it."""
        self._body.setVisible(self._body.isHidden())
        self.rebuilt.emit()
        if self.is_open:
            self.between.setFocus()
            self.between.focusNextChild()

    def _answered(self) -> None:
        offset = self.between.choice() == BetweenWrenchAndSocket.OFFSET.value
        for name in ("wrench_length", "adapter_length", "angle"):
            self.form.field(name).setVisible(offset)
        self.form.arrange()
        self.form.show()
        self.rebuilt.emit()
        self._work_out()

    def _work_out(self) -> None:
        texts = self.form.texts()
        lengths = (texts["wrench_length"], texts["adapter_length"], texts["angle"])
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        try:
            found = setting_words(texts["torque"], self.between.choice(), lengths, typed, self._work.figures)
        except RuleBroken as refusal:
            self.result.hide()
            self.note.setText(refusal.sentence)
            return
        source = CameFrom(rows=found.rows, formula=found.formula) if found.rows else None
        self.result.set_value(found.words, came_from=source)
        self.result.show()
        self.note.setText(found.note)

    def _torque(self, text: str) -> str:
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        return self._work.figures.torque(typed.torque(text, "torque").value)

    def _length(self, text: str) -> str:
        typed = Typed(shop=self._work.figures.shop, style=NumberStyle.PERSON)
        return self._work.figures.length(typed.length(text, "length").value)

    def _lay_out(self, look: Look) -> None:
        head = QHBoxLayout()
        head.addWidget(self.opens)
        head.addStretch(1)
        self._body = QWidget(self)
        body = QVBoxLayout(self._body)
        body.setContentsMargins(0, 0, 0, 0)
        body.setSpacing(look.px(GAP))
        body.addWidget(PlainLabel(question(), TextRole.CARD, wrap=True))
        body.addWidget(self.between)
        body.addWidget(self.result)
        body.addWidget(self.note)
        body.addWidget(self.form)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(GAP))
        column.addLayout(head)
        column.addWidget(self._body)
        self.form.hide()
        self.result.hide()
        self._body.hide()
