"""One line over the page: what was just done, with its undo, or what was refused."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtWidgets import QFrame, QHBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.plain_label import PlainLabel


class NoticeBar(QFrame):
    """Shows the latest notice until it is put away, replaced, or its button is used."""

    def __init__(self, look: Look, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("part", "notice")
        self._do: Callable[[], None] | None = None
        self._words = PlainLabel(wrap=True)
        self._verb = Button(look, "", ButtonPart.QUIET)
        self._verb.clicked.connect(self._act)
        self._away = Button(look, "", ButtonPart.QUIET, icon="x", name=_("Put this notice away"))
        self._away.clicked.connect(self.hide)
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(GAP_WIDE), look.px(4), look.px(4), look.px(4))
        row.setSpacing(look.px(GAP))
        row.addWidget(self._words, 1)
        row.addWidget(self._verb)
        row.addWidget(self._away)
        self.hide()

    @property
    def words(self) -> str:
        """What is shown, or nothing."""
        return "" if self.isHidden() else self._words.text()

    def tell(self, sentence: str, verb: str = "", do: Callable[[], None] | None = None) -> None:
        """Say what was done; ``verb`` and ``do`` offer to undo it."""
        self._show(sentence, "ink")
        self._do = do
        self._verb.set_text(verb)
        self._verb.setVisible(do is not None)

    def refuse(self, sentence: str) -> None:
        """Say what was refused."""
        self._show(sentence, "late")
        self._verb.hide()

    def page_changed(self) -> None:
        """Put a refusal away; what was done can still be undone from another page."""
        if self._do is None:
            self.hide()

    def undo(self) -> bool:
        """Use the notice's button, if it shows one; whether there was one."""
        usable = not self.isHidden() and self._do is not None and not self._verb.isHidden()
        if usable:
            self._act()
        return usable

    def _show(self, sentence: str, tone: str) -> None:
        self._do = None
        self._words.setText(sentence)
        self.setAccessibleName(sentence)
        self.setProperty("tone", tone)
        self.style().unpolish(self)
        self.style().polish(self)
        self.show()

    def _act(self) -> None:
        do, self._do = self._do, None
        self.hide()
        if do is not None:
            do()
