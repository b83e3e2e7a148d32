"""A card: a titled surface with its parts one beneath the other."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLayout, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, LARGE_TEXT, TextRole
from shopdesk.ui.widgets.plain_label import PlainLabel


class Card(QFrame):
    """Title at the left, a note or buttons at the right, the body beneath."""

    def __init__(self, look: Look, title: str = "", note: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("part", "card")
        self.setAccessibleName(title)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Preferred)
        self._reach = look.px(7)
        large = look.percent > LARGE_TEXT  # two lines rather than a card wider than the window
        self._title = PlainLabel(title, TextRole.CARD, wrap=large, parent=self)
        self._title.setVisible(bool(title))
        self._note = PlainLabel(note, TextRole.HELP, tone="ink2", parent=self)
        self._note.setVisible(bool(note))
        self._note.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self._head = QHBoxLayout()
        self._head.setSpacing(look.px(GAP))
        self._head.addWidget(self._title, 1)
        self._head.addWidget(self._note)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(*(look.px(GAP_WIDE),) * 4)
        self._column.setSpacing(look.px(GAP))
        self._column.addLayout(self._head)

    def set_title(self, title: str) -> None:
        """Change the title."""
        self._title.setText(title)
        self._title.setVisible(bool(title))
        self.setAccessibleName(title)

    def set_note(self, note: str) -> None:
        """Change the note at the right of the title."""
        self._note.setText(note)
        self._note.setVisible(bool(note))

    def add_to_head(self, part: QWidget) -> None:
        """Put a button or badge at the right of the title.

        A quiet button has no edge: it reaches into the margin, so that titles side by side stand level.
        """
        self._head.addWidget(part)
        if part.property("part") == "quiet":
            self._head.setContentsMargins(0, -self._reach, 0, -self._reach)

    def add(self, part: QWidget | QLayout, stretch: int = 0) -> None:
        """Put a part beneath the others; with ``stretch`` it takes spare height."""
        if stretch:
            self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        if isinstance(part, QWidget):
            self._column.addWidget(part, stretch)
        else:
            self._column.addLayout(part, stretch)


def card_of(look: Look, title: str, *parts: QWidget | QLayout) -> Card:
    """Return a card with these parts."""
    card = Card(look, title)
    for part in parts:
        card.add(part)
    return card


class Rule(QFrame):
    """A thin line between parts."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setProperty("part", "rule")
        self.setFixedHeight(1)
