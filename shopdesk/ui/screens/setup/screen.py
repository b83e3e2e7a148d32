"""Set-up: everything the shop works with, a section at a time."""

from collections.abc import Callable
from gettext import gettext as _

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QStackedWidget

from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.screen import Screen
from shopdesk.ui.screens.setup.lists import ItemsSection, SheetsSection
from shopdesk.ui.screens.setup.look import LookSection
from shopdesk.ui.screens.setup.people import PeopleSection
from shopdesk.ui.screens.setup.section import Section, SectionList
from shopdesk.ui.screens.setup.shop import PapersSection, ShopSection
from shopdesk.ui.screens.setup.taxes import TaxesSection
from shopdesk.ui.screens.setup.tools import ToolsSection
from shopdesk.ui.theme.tokens import GAP_WIDE
from shopdesk.ui.widgets.columns import Scroll

_LIST_WIDTH = 176
_BREAK_AT = 760

_SECTIONS: dict[str, Callable[[Desk, AtWork], Section]] = {
    "shop": ShopSection,
    "people": PeopleSection,
    "sheets": SheetsSection,
    "items": ItemsSection,
    "tools": ToolsSection,
    "taxes": TaxesSection,
    "papers": PapersSection,
    "look": LookSection,
}


class SetUpScreen(Screen):
    """The subject is a section's key, or nothing for the one seen last. Sections are built when seen."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Set-up"))
        self._work = work
        self._built: dict[str, Section] = {}
        self._wanted = ""
        self._words = {
            "shop": _("Shop"),
            "people": _("People"),
            "sheets": _("Unit sheets"),
            "items": _("Fluids and parts"),
            "tools": _("Measuring tools"),
            "taxes": _("Taxes"),
            "papers": _("Papers and labels"),
            "look": _("Look"),
        }
        self.sections = SectionList(desk.look, _("Set-up"), list(self._words.items()))
        self._stack = QStackedWidget()
        self._box = QBoxLayout(QBoxLayout.Direction.LeftToRight)
        self._lay_out()
        self.sections.chosen.connect(self._show_section)
        desk.look.changed.connect(self._turn)
        self.listen(Topic.SHOP, Topic.SHEETS, Topic.STOCK)

    @property
    def section(self) -> Section:
        """The section in sight."""
        return self._section(self.sections.choice())

    def open_at(self, subject: str) -> None:
        """Show a section."""
        self._wanted = subject
        if subject in self._words:
            self.sections.choose(subject)
        self._show_section(self.sections.choice())

    def refresh(self) -> None:
        """Read again what the section in sight shows; the others read when they come into sight."""
        self.section.refresh()

    def focus_first(self) -> None:
        """A section one came for, else the list of sections."""
        if self._wanted in self._words:
            self.section.focus_first()
        else:
            self.sections.focus_chosen()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Put the list above the section when there is no room beside it."""
        super().resizeEvent(event)
        self._turn()

    def _lay_out(self) -> None:
        self._box.setSpacing(self.desk.look.px(GAP_WIDE))
        self._box.addWidget(self.sections, 0, Qt.AlignmentFlag.AlignTop)
        self._box.addWidget(self._stack, 1)
        self.column.addLayout(self._box)
        self._turn()

    def _turn(self) -> None:
        look = self.desk.look
        narrow = self.width() < look.px(_BREAK_AT)
        direction = QBoxLayout.Direction
        self._box.setDirection(direction.TopToBottom if narrow else direction.LeftToRight)
        self._box.setAlignment(self.sections, Qt.AlignmentFlag(0) if narrow else Qt.AlignmentFlag.AlignTop)
        self.sections.set_narrow(narrow)
        self.sections.setMinimumWidth(look.px(_LIST_WIDTH))
        self.sections.setMaximumWidth(16_777_215 if narrow else look.px(_LIST_WIDTH))

    def _section(self, key: str) -> Section:
        if key not in self._built:
            section = _SECTIONS[key](self.desk, self._work)
            scroll = Scroll(self.desk.look)
            scroll.add(section, 1)
            self._built[key] = section
            self._stack.addWidget(scroll)
        return self._built[key]

    def _show_section(self, key: str) -> None:
        self.subject = key
        section = self._section(key)
        self._stack.setCurrentIndex(list(self._built).index(key))
        self.set_heading(_("Set-up"), self._words[key])
        self.set_actions(section.main)
        section.refresh()
