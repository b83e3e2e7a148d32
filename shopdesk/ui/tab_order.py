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
        yield from _in_layout(part, layout)
    else:
        for child in part.children():
            if isinstance(child, QWidget) and not child.isWindow():
                yield from _stops(child)


def _in_layout(part: QWidget, layout: QLayout) -> Iterator[QWidget]:
    """Go through a layout without asking it for its items.

    An item that was asked for has a Python object which Qt does not tell when it deletes the item. What
    is made at the same address later is then taken for the old one, and the program ends.
    """
    placed: dict[int, QWidget | QLayout] = {
        layout.indexOf(child): child for child in part.children() if isinstance(child, QWidget)
    }
    for inner in layout.children():
        if isinstance(inner, QLayout):
            placed[layout.indexOf(inner)] = inner
    placed.pop(-1, None)
    for _place, each in sorted(placed.items()):
        if isinstance(each, QWidget):
            yield from _stops(each)
        else:
            yield from _in_layout(part, each)
