"""The Tab key follows the layouts, and asking for their order leaves nothing behind."""

import shiboken6
from PySide6.QtCore import QCoreApplication, QEvent
from PySide6.QtWidgets import QApplication, QHBoxLayout, QLayout, QLayoutItem, QLineEdit, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.tab_order import follow_layout
from shopdesk.ui.widgets.flow import Flow


def a_page() -> tuple[QWidget, list[QLineEdit]]:
    """Make fields in rows within rows, made in another order than they are laid out in."""
    page = QWidget()
    fields = [QLineEdit(str(number), page) for number in range(6)]
    column, row, flow = QVBoxLayout(page), QHBoxLayout(), Flow(4)
    column.addWidget(fields[5])
    column.addLayout(row)
    row.addWidget(fields[3])
    row.addLayout(flow)
    flow.addWidget(fields[4])
    flow.addWidget(fields[0])
    column.addWidget(fields[2])
    column.addWidget(fields[1])
    return page, fields


def test_that_tab_goes_the_way_the_layouts_go(qtbot: QtBot) -> None:
    page, fields = a_page()
    qtbot.addWidget(page)
    follow_layout(page)
    met: list[str] = []
    part: QWidget | None = fields[5]
    while part is not None and len(met) < len(fields):
        if isinstance(part, QLineEdit):
            met.append(part.text())
        part = part.nextInFocusChain()
    assert met == ["5", "3", "4", "0", "2", "1"]


def test_that_no_item_of_a_layout_outlives_what_qt_deletes(qapp: QApplication) -> None:
    def kept() -> int:
        wrapped = shiboken6.getAllValidWrappers()
        return sum(isinstance(each, QLayoutItem) and not isinstance(each, QLayout) for each in wrapped)

    before = kept()
    page, fields = a_page()
    in_flow = kept() - before  # a layout written in Python holds its own two
    follow_layout(page)
    assert kept() - before == in_flow
    for field in fields:
        field.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert kept() == before
    page.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
