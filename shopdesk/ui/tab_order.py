"""The Tab key goes the way the eye goes, also through parts that were made later."""

from collections.abc import Iterator
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QLayout, QScrollArea, QWidget


def follow_layout(root: QWidget) -> None:
    """Let the Tab key go through ``root`` in the order of its layouts."""
    for one, other in pairwise(_stops(root)):
        QWidget.setTabOrder(one, other)


def holds_keyboard(*parts: QWidget) -> bool:
    """Whether the keyboard is inside one of these parts."""
    focused = QApplication.focusWidget()
    return focused is not None and any(part.isAncestorOf(focused) for part in parts)


def _stops(part: QWidget) -> Iterator[QWidget]:
    inner = part.focusProxy()
    if inner is not None and part.isAncestorOf(inner):
        yield part  # a field and its input move together
        return
    if part.focusPolicy() & Qt.FocusPolicy.TabFocus and inner is None:
        yield part
    layout = part.layout()
    if isinstance(part, QScrollArea):
        inside = part.widget()
        if inside is not None:
            yield from _stops(inside)
    elif layout is not None:
        yield from _in_layout(layout)
    else:
        for child in part.children():
            if isinstance(child, QWidget) and not child.isWindow():
                yield from _stops(child)


def _in_layout(layout: QLayout) -> Iterator[QWidget]:
    for place in range(layout.count()):
        item = layout.itemAt(place)
        widget = item.widget() if item is not None else None
        inner = item.layout() if item is not None else None
        if widget is not None:
            yield from _stops(widget)
        elif inner is not None:
            yield from _in_layout(inner)
