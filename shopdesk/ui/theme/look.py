"""The look in force: which tokens, how large the text, whether things may move."""

from dataclasses import dataclass, replace
from enum import StrEnum

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtGui import QColor, QFont, QFontMetrics, QIcon
from PySide6.QtWidgets import QApplication

from shopdesk.ui.theme.fonts import font_of
from shopdesk.ui.theme.icons import Icons
from shopdesk.ui.theme.palette import palette_of
from shopdesk.ui.theme.style import pixels, style_sheet
from shopdesk.ui.theme.tokens import (
    DARK,
    LEAST_PERCENT,
    LIGHT,
    MOST_PERCENT,
    POINTS,
    STRONG,
    TextRole,
    Tokens,
)


class Shade(StrEnum):
    """Light, dark, or as the desktop says."""

    LIGHT = "light"
    DARK = "dark"
    SYSTEM = "system"


@dataclass(frozen=True, kw_only=True, slots=True)
class LookChoice:
    """What this station has chosen. ``percent`` is the text size, 100 to 200."""

    shade: Shade = Shade.SYSTEM
    percent: int = 100
    less_motion: bool = False


class Look(QObject):
    """Gives every widget its colours, lengths, type and icons, and says when they change."""

    changed = Signal()

    def __init__(self, app: QApplication, icons: Icons, family: str, choice: LookChoice) -> None:
        super().__init__()
        self._app = app
        self._icons = icons
        self._family = family
        self._choice = choice
        self._fonts: dict[tuple[TextRole, bool], QFont] = {}
        app.styleHints().colorSchemeChanged.connect(self._system_changed)
        self._apply()

    @property
    def choice(self) -> LookChoice:
        """What was chosen last."""
        return self._choice

    @property
    def dark(self) -> bool:
        """Whether the dark tokens are in force. A desktop that does not answer counts as light."""
        if self._choice.shade is Shade.SYSTEM:
            return self._app.styleHints().colorScheme() is Qt.ColorScheme.Dark
        return self._choice.shade is Shade.DARK

    @property
    def tokens(self) -> Tokens:
        """The tokens in force."""
        return DARK if self.dark else LIGHT

    @property
    def percent(self) -> int:
        """Text size in per cent of the usual."""
        return self._choice.percent

    @property
    def less_motion(self) -> bool:
        """Whether nothing may move by itself."""
        return self._choice.less_motion

    def choose(self, choice: LookChoice) -> None:
        """Take another look at once; a text size outside 100 to 200 is brought to the nearer end."""
        percent = min(max(choice.percent, LEAST_PERCENT), MOST_PERCENT)
        self._choice = replace(choice, percent=percent)
        self._apply()
        self.changed.emit()

    def colour(self, token: str) -> QColor:
        """Return the colour of a token by its name."""
        return QColor(getattr(self.tokens, token))

    def px(self, length: float) -> int:
        """Return a length given at 100 % in pixels at the text size in force."""
        return pixels(length, self.percent)

    def font(self, role: TextRole, *, strong: bool | None = None) -> QFont:
        """Return the type for a role; ``strong`` overrides the role's own weight."""
        weight = role in STRONG if strong is None else strong
        key = (role, weight)
        if key not in self._fonts:
            self._fonts[key] = font_of(self._family, POINTS[role] * self.percent / 100, strong=weight)
        return self._fonts[key]

    def font_metrics(self, role: TextRole, *, strong: bool | None = None) -> QFontMetrics:
        """Return the measures of the type for a role."""
        return QFontMetrics(self.font(role, strong=strong))

    def icon(self, name: str, colour: str = "ink", size: int = 18) -> QIcon:
        """Return an icon in a token's colour for ``size`` pixels at 100 %."""
        return self._icons.icon(name, getattr(self.tokens, colour), self.px(size))

    def _apply(self) -> None:
        self._fonts.clear()
        self._app.setPalette(palette_of(self.tokens))
        self._app.setFont(self.font(TextRole.BODY))
        self._app.setStyleSheet(style_sheet(self.tokens, self.percent))

    def _system_changed(self) -> None:
        if self._choice.shade is Shade.SYSTEM:
            self.choose(self._choice)
