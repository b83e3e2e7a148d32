"""What a page says when there is nothing to show: one sentence and what to do about it."""

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP_PAGE, GAP_WIDE
from shopdesk.ui.widgets.button import Button
from shopdesk.ui.widgets.plain_label import PlainLabel


class EmptyState(QWidget):
    """One sentence and at most one button."""

    def __init__(
        self,
        look: Look,
        sentence: str,
        verb: str = "",
        do: Callable[[], None] | None = None,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        column = QVBoxLayout(self)
        column.setContentsMargins(*(look.px(GAP_PAGE),) * 4)
        column.setSpacing(look.px(GAP_WIDE))
        self._sentence = PlainLabel(sentence, tone="ink2", wrap=True)
        self._sentence.setAlignment(Qt.AlignmentFlag.AlignCenter)
        column.addStretch(1)
        column.addWidget(self._sentence)
        if do is not None:
            button = Button(look, verb)
            button.clicked.connect(lambda: do())
            column.addWidget(button, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(1)

    def set_sentence(self, sentence: str) -> None:
        """Say something else."""
        self._sentence.setText(sentence)
