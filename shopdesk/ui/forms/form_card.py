"""A form on a card of its own, with the button that saves it and the one that puts it aside."""

from gettext import gettext as _

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QHBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card


class FormCard(Card):
    """``wanted``: the form is to be saved; ``put_aside``: it is not."""

    wanted = Signal()
    put_aside = Signal()

    def __init__(
        self, look: Look, title: str, verb: str, *, note: str = "", parent: QWidget | None = None
    ) -> None:
        super().__init__(look, title, note, parent)
        self.verb = verb
        self.save = Button(look, verb, icon="check")
        self.save.clicked.connect(lambda: self.wanted.emit())
        self.cancel = Button(look, _("Cancel"), ButtonPart.QUIET)
        self.cancel.clicked.connect(lambda: self.put_aside.emit())
        self._look = look

    def end(self) -> None:
        """Put the buttons beneath the parts added so far."""
        row = QHBoxLayout()
        row.setSpacing(self._look.px(GAP))
        row.addWidget(self.save)
        row.addWidget(self.cancel)
        row.addStretch(1)
        self.add(row)
