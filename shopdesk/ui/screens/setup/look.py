"""How the program looks at this station: light or dark, how large, and whether things move."""

from collections.abc import Callable
from dataclasses import replace
from gettext import gettext as _

from PySide6.QtWidgets import QWidget

from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.screens.setup.section import Section
from shopdesk.ui.theme.look import LookChoice, Shade
from shopdesk.ui.theme.tokens import TextRole
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.controls import Check
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.segments import Segments

SIZES = (100, 115, 130, 150, 175, 200)


class LookSection(Section):
    """What is chosen is shown at once and kept for this station."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, work)
        shades = [
            (Shade.SYSTEM.value, _("As the desktop")),
            (Shade.LIGHT.value, _("Light")),
            (Shade.DARK.value, _("Dark")),
        ]
        self.shade = Segments(desk.look, _("Light or dark"), shades)
        self.text_size = Segments(desk.look, _("Text size"), [(str(n), f"{n} %") for n in SIZES])
        self.motion = Check(_("Nothing moves by itself"))
        self.motion.setAccessibleName(_("Nothing moves by itself"))
        self._lay_out()
        self.shade.chosen.connect(lambda key: self._choose(lambda kept: replace(kept, shade=Shade(key))))
        self.text_size.chosen.connect(lambda key: self._choose(lambda kept: replace(kept, percent=int(key))))
        self.motion.changed.connect(self._motion_changed)
        desk.look.changed.connect(self._show)
        self._show()

    def focus_first(self) -> None:
        """Light or dark."""
        self.shade.setFocus()
        self.focusNextChild()

    def _lay_out(self) -> None:
        card = Card(self.desk.look, _("Look"), _("For this station only"))
        self._part(card, _("Light or dark"), self.shade)
        self._part(card, _("Text size"), self.text_size)
        self._part(card, _("Motion"), self.motion)
        self.column.addWidget(card)
        self.column.addStretch()

    def _part(self, card: Card, words: str, part: QWidget) -> None:
        card.add(PlainLabel(words, TextRole.HELP, strong=True))
        card.add(part)

    def _motion_changed(self) -> None:
        less = bool(self.motion.typed())
        self._choose(lambda kept: replace(kept, less_motion=less))

    def _choose(self, change: Callable[[LookChoice], LookChoice]) -> None:
        self.desk.look.choose(change(self.desk.look.choice))
        keep, choice = self.desk.keep_choice, self.desk.look.choice
        self.desk.background.write(self, lambda: keep(choice), lambda _none: None, key="look")

    def _show(self) -> None:
        choice = self.desk.look.choice
        self.shade.choose(choice.shade.value)
        nearest = min(SIZES, key=lambda size: abs(size - choice.percent))
        self.text_size.choose(str(nearest))
        self.motion.put("yes" if choice.less_motion else "")
