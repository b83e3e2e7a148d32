"""What every page owes to those who use no mouse, see little, or hear the screen read out.

Each function looks at a window as it stands and names what is wrong, so that one look at a page tells all.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from PySide6.QtCore import QCoreApplication, QEvent, QSize, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QApplication,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QScrollArea,
    QWidget,
)

from shopdesk.ui.widgets.figure import Figure
from shopdesk.ui.widgets.plain_label import OneLineLabel
from shopdesk.ui.widgets.segments import Segments

CONTROLS = (QAbstractButton, QLineEdit, QComboBox, QPlainTextEdit, QAbstractItemView)
_BORDER = 9
"""Pixels between a field's edge and its text."""
_PIXELS = 2
"""Rounding of text widths that nobody sees."""


def told(part: QWidget) -> str:
    """Name a part in a list of faults."""
    words = part.text() if isinstance(part, QLabel | QAbstractButton) else part.accessibleName()
    return f"{type(part).__name__} {words!r}"


def in_sight(around: QWidget) -> Iterator[QWidget]:
    """Give every part within another that is shown; a page behind another is not."""
    for part in around.children():
        if isinstance(part, QWidget) and part.isVisible() and not part.isWindow():
            yield part
            yield from in_sight(part)


def controls(window: QWidget) -> Iterator[QWidget]:
    """Give every part in sight that a person can work, enabled or not."""
    for part in in_sight(window):
        if isinstance(part, CONTROLS) and part.focusPolicy() != Qt.FocusPolicy.NoFocus:
            yield part


def nameless(window: QWidget) -> list[str]:
    """Controls of which a screen reader would say nothing."""
    return [f"no name: {told(part)}" for part in controls(window) if not part.accessibleName().strip()]


def twins(window: QWidget) -> list[str]:
    """Controls that a screen reader could not tell apart: one name twice in the same named group."""
    names = Counter((_group(part), part.accessibleName()) for part in controls(window))
    return [
        f"{times} controls called {name!r} in {group!r}"
        for (group, name), times in names.items()
        if times > 1
    ]


def _group(part: QWidget) -> str:
    around = part.parentWidget()
    while around is not None and not around.isWindow():
        if around.accessibleName() and not isinstance(around, CONTROLS):
            return around.accessibleName()
        around = around.parentWidget()
    return ""


def marked_up(window: QWidget) -> list[str]:
    """Labels that would read a customer's name as markup."""
    plain = Qt.TextFormat.PlainText
    labels = (part for part in in_sight(window) if isinstance(part, QLabel))
    return [f"not plain: {told(label)}" for label in labels if label.textFormat() is not plain]


def lay_out() -> None:
    """Let every part take the place and size that its texts ask for."""
    for _turn in range(4):  # what grows may make what is around it grow
        QCoreApplication.sendPostedEvents(None, QEvent.Type.LayoutRequest.value)


def cut(window: QWidget, wanted: QSize) -> list[str]:
    """Texts that do not fit into their parts, and pages that do not fit their window."""
    parts = list(in_sight(window))
    found = [f"cut: {told(part)}" for part in parts if _is_cut(part)]
    if window.size() != wanted:
        found.append(f"the window grew to {window.width()} x {window.height()}")
    for area in parts:
        if isinstance(area, QScrollArea) and (more := _beyond(area)) > _PIXELS:
            found.append(f"wider than the window by {more} px")
    return found


def _beyond(area: QScrollArea) -> int:
    inside = area.widget()
    return inside.width() - area.viewport().width() if inside is not None else 0


def _is_cut(part: QWidget) -> bool:
    if isinstance(part, QLineEdit):
        margins = part.textMargins()
        room = part.width() - margins.left() - margins.right() - 2 * _BORDER
        hint = part.fontMetrics().horizontalAdvance(part.placeholderText())
        return not part.text() and hint / 2 > room  # it ends in "…", and its name is read out
    if isinstance(part, QLabel) and part.wordWrap():
        return (
            part.heightForWidth(part.width()) > part.height() + _PIXELS or _longest_word(part) > part.width()
        )
    if isinstance(part, OneLineLabel) or (isinstance(part, QLabel) and not part.text().strip()):
        return False
    if isinstance(part, QLabel | Figure):
        wanted = part.sizeHint()
        return wanted.width() > part.width() + _PIXELS or wanted.height() > part.height() + _PIXELS
    if isinstance(part, QAbstractButton) and part.text():
        words = part.fontMetrics().horizontalAdvance(part.text().replace("&&", "&"))
        return words > part.width() + _PIXELS
    return False


def _longest_word(label: QLabel) -> int:
    words = label.text().split()
    return max((label.fontMetrics().horizontalAdvance(word) for word in words), default=0) - _PIXELS


def tab_walk(window: QWidget) -> list[str]:
    """Press Tab from the first part until it comes round again; name what was not met exactly once."""
    stops = [part for part in in_sight(window) if _stops_tab(part)]
    if not stops:
        return []
    stops[0].setFocus(Qt.FocusReason.TabFocusReason)
    met: Counter[QWidget] = Counter()
    here = QApplication.focusWidget()
    while here is not None and met[here] < 2 and (here is not stops[0] or not met):
        met[here] += 1
        QTest.keyClick(here, Qt.Key.Key_Tab)
        here = QApplication.focusWidget()
    if here is None:
        return [f"Tab loses the keyboard after {[told(part) for part in list(met)[-2:]]}"]
    return [f"Tab stops {times} times at {told(part)}" for part, times in _wrong(stops, met)]


def _wrong(stops: list[QWidget], met: Counter[QWidget]) -> Iterator[tuple[QWidget, int]]:
    groups: Counter[QWidget] = Counter()
    for part in stops:
        segments = part.parentWidget()
        if isinstance(segments, Segments):
            groups[segments] += met[part]
        elif met[part] != 1:
            yield part, met[part]
    yield from ((group, times) for group, times in groups.items() if times != 1)
    yield from ((part, times) for part, times in met.items() if times and part not in stops)


def _stops_tab(part: QWidget) -> bool:
    policy = part.focusPolicy() & Qt.FocusPolicy.TabFocus
    return bool(policy and part.isEnabled() and part.focusProxy() is None)
