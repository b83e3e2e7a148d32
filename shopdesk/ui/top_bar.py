"""The head of the page: its title, "Find or do", its buttons. Two rows when there is no room for one."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from shopdesk.ui.actions import Verb
from shopdesk.ui.find import FindLine
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.theme.look import Look
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE, TextRole
from shopdesk.ui.widgets.button import BigButton, Button, ButtonPart
from shopdesk.ui.widgets.plain_label import OneLineLabel

_TWO_ROWS = 760
_HINTS = 900
_ROOMY_SEARCH = 150
_SHARE = 3
_LEAST_SEARCH = 150


class TopBar(QWidget):
    """Shows the heading and the buttons of the page in sight."""

    def __init__(
        self,
        look: Look,
        key_words: Callable[[Verb], str],
        back: Callable[[], None],
        parent: QWidget | None = None,
    ) -> None:
        """``key_words`` gives the key of a verb in words."""
        super().__init__(parent)
        self._look = look
        self._key_words = key_words
        self._screen: Screen | None = None
        self._buttons: list[Button] = []
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.back = BigButton(look, _("Back"), icon="arrow-left")
        self.back.clicked.connect(lambda: back())
        self.back.hide()
        self._title = OneLineLabel("", TextRole.TITLE)
        self._subtitle = OneLineLabel("", TextRole.HELP, tone="ink2")
        self.search = FindLine(
            look, _("Find or do"), _("Find or do…   {key}").format(key=key_words(Verb.FIND))
        )
        self.search.setMaximumWidth(look.px(320))
        self._box = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._row = QHBoxLayout()
        self._lay_out()
        look.changed.connect(self._redo)

    def show_screen(self, screen: Screen, *, bay: bool) -> None:
        """Show the heading and buttons of a page; in the bay big, and without finding."""
        self._screen = screen
        self.back.setVisible(bay)
        self.search.setVisible(not bay)
        self.show_heading()
        self.show_actions()
        self._box.setStretch(1, 0 if bay and not self._buttons else _SHARE)

    def show_heading(self) -> None:
        """Show the page's title again."""
        if self._screen is not None:
            self._title.setText(self._screen.title)
            self._subtitle.setText(self._screen.subtitle)
            self._subtitle.setVisible(bool(self._screen.subtitle))

    def show_actions(self) -> None:
        """Show the page's buttons again; the keyboard stays on the main one if it was on a button."""
        had = any(button.hasFocus() for button in self._buttons)
        gone, self._buttons = self._buttons, []
        for button in gone:
            self._row.removeWidget(button)  # old and new ones side by side would widen the window
        if self._screen is not None:
            for action in self._screen.others:
                self._add(action, ButtonPart.PLAIN)
            if self._screen.main is not None:
                self._add(self._screen.main, ButtonPart.PRIMARY)
        self._show_hints()
        self._place_search()
        for button in self._buttons:
            self._row.addWidget(button)
            button.show()  # one that is shown later would take the keyboard from where it has gone meanwhile
        if had and self._buttons:
            self._buttons[-1].setFocus()
        for button in gone:
            button.hide()
            button.deleteLater()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take two rows when one is too short."""
        super().resizeEvent(event)
        self._turn()

    def _add(self, action: PageAction, part: ButtonPart) -> None:
        button = Button(self._look, action.words, part, icon=action.icon, parent=self)
        button.setEnabled(action.enabled)
        button.clicked.connect(lambda: action.do())
        button.setProperty("hint", self._hint(action, part))
        self._buttons.append(button)

    def _hint(self, action: PageAction, part: ButtonPart) -> str:
        verb = Verb.MAIN if part is ButtonPart.PRIMARY else action.verb
        return self._key_words(verb) if verb is not None else ""

    def _show_hints(self) -> None:
        """Say the keys on the buttons where there is room for them beside a field one can type into."""
        look, actions = self._look, [] if self._screen is None else [*self._screen.others, self._screen.main]
        pairs = list(zip(self._buttons, [action for action in actions if action is not None], strict=False))
        for roomy in (self.width() >= look.px(_HINTS), False):
            for button, action in pairs:
                self._show_hint(button, action.words, roomy=roomy)
            row = self.width() * _SHARE // (_SHARE + 2)
            if self._buttons_width() + look.px(_ROOMY_SEARCH) <= row:
                return

    def _show_hint(self, button: Button, words: str, *, roomy: bool) -> None:
        hint = str(button.property("hint"))
        button.set_text(f"{words}  {hint}" if roomy and hint else words)
        button.setAccessibleName(f"{words} ({hint})" if hint else words)

    def _lay_out(self) -> None:
        look = self._look
        words = QVBoxLayout()
        words.setSpacing(0)
        words.addWidget(self._title)
        words.addWidget(self._subtitle)
        words.setAlignment(Qt.AlignmentFlag.AlignVCenter)
        self._head = QHBoxLayout()
        self._head.setSpacing(look.px(GAP_WIDE))
        self._head.addWidget(self.back)
        self._head.addLayout(words, _SHARE)
        self._row.setSpacing(look.px(GAP))
        self._row.addStretch(1)
        self._row.addWidget(self.search, _SHARE)
        self._box.setContentsMargins(0, 0, 0, 0)
        self._box.setSpacing(look.px(GAP))
        self._box.addLayout(self._head, 2)
        self._box.addLayout(self._row, _SHARE)

    def _turn(self) -> None:
        narrow = self.width() < self._look.px(_TWO_ROWS)
        direction = QBoxLayout.Direction
        self._box.setDirection(direction.TopToBottom if narrow else direction.LeftToRight)
        self._show_hints()
        self._place_search()

    def _place_search(self) -> None:
        """Beside the buttons, or beside the title where the buttons need the whole of their row."""
        narrow = self._box.direction() is QBoxLayout.Direction.TopToBottom
        above = narrow and self._buttons_width() + self._look.px(_LEAST_SEARCH) > self.width()
        if above and self._head.indexOf(self.search) < 0:
            self._row.removeWidget(self.search)
            self._head.addWidget(self.search, 1)
        elif not above and self._row.indexOf(self.search) < 0:
            self._head.removeWidget(self.search)
            self._row.insertWidget(1, self.search, _SHARE)

    def _buttons_width(self) -> int:
        return sum(button.sizeHint().width() + self._row.spacing() for button in self._buttons)

    def _redo(self) -> None:
        self.search.setMaximumWidth(self._look.px(320))
        self._turn()
