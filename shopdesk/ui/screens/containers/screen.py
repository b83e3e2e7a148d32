"""Containers: every one that is here, how it stands, and what is done with it."""

from dataclasses import dataclass
from functools import partial
from gettext import gettext as _

from PySide6.QtWidgets import QVBoxLayout

from shopdesk.services.cards import Card as ItemCard
from shopdesk.services.containers import ContainerView, EventKind
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemKind
from shopdesk.ui.actions import Verb
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.containers import (
    ASIDE,
    EMPTY,
    HERE,
    NOT_HERE,
    base_of_box,
    box_facts,
    box_label,
    box_name,
    box_state,
    chosen_boxes,
    hazard_facts,
    step_words,
    steps_of,
    targets,
)
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.screens.containers.forms import StepCard, hazard_card, measure_card, note_card, pour_card
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.facts import Facts
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.search_line import SearchLine
from shopdesk.ui.widgets.segments import Segments
from shopdesk.ui.widgets.state_mark import State, StateBadge
from shopdesk.ui.widgets.table import RowTable

_MOST = 16


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    boxes: tuple[ContainerView, ...]
    pieces: frozenset[int]


class ContainersScreen(Screen):
    """The subject is nothing or a container's id."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Containers"))
        self._work = work
        self._boxes: tuple[ContainerView, ...] = ()
        self._pieces: frozenset[int] = frozenset()
        self._hazards: ItemCard | None = None
        self.box: ContainerView | None = None
        self.step: StepCard | None = None
        self.choice = Segments(
            desk.look,
            _("Which containers"),
            [
                (HERE, _("In stock")),
                (EMPTY, _("Empty")),
                (ASIDE, _("Put aside")),
                (NOT_HERE, _("Gone")),
            ],
        )
        self.filter = SearchLine(desk.look, _("Filter"), _("Item, container or lot"))
        self.table = self._make_table()
        self._facts = Facts(desk.look)
        self._hazard_facts = Facts(desk.look)
        self._badge = StateBadge(desk.look)
        self.buttons: dict[str, Button] = {}
        self._lay_out()
        self.choice.chosen.connect(lambda _key: self.refresh())
        self.filter.textChanged.connect(lambda _text: self._show_rows())
        self.commands = {Verb.FILTER: self.filter.setFocus}
        self.listen(Topic.STOCK, Topic.SHOP)

    def refresh(self) -> None:
        """Read the containers again."""
        rooms, gone = self._work.rooms, self.choice.choice() == NOT_HERE
        self.desk.background.read(self, "boxes", lambda: _read(rooms, gone), self._show)

    def focus_first(self) -> None:
        """The list."""
        self.table.setFocus()

    def _lay_out(self) -> None:
        look = self.desk.look
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        columns = Columns(look, main=7, side=5)
        scroll.add(columns)
        listed = Card(look)
        listed.add(self.choice)
        listed.add(self.filter)
        listed.add(self.table)
        columns.add_main(listed)
        self._place = QVBoxLayout()
        columns.add_side(self._place)
        self._shown = Card(look, _("Container"))
        self._shown.add_to_head(self._badge)
        self._shown.add(self._facts)
        self._flow = Flow(look.px(6))
        for key, words in self._button_words():
            button = self.buttons[key] = Button(look, words, ButtonPart.PLAIN)
            button.clicked.connect(partial(self._do, key))
            self._flow.addWidget(button)
        self._shown.add(self._flow)
        self._risk = Card(look, _("Hazards"))
        self._risk.add(self._hazard_facts)
        self._shown.hide()
        self._risk.hide()
        columns.add_side(self._shown)
        columns.add_side(self._risk)

    @staticmethod
    def _button_words() -> tuple[tuple[str, str], ...]:
        steps = (EventKind.OPENED, EventKind.QUARANTINED, EventKind.RELEASED, EventKind.GONE)
        return (
            *((kind.value, step_words(kind)) for kind in steps),
            ("pour", _("Move some")),
            ("measure", _("Measure up")),
            ("jug", _("Jug label")),
            ("hazards", _("Hazards")),
            ("lot", _("Where its lot went")),
        )

    def _show(self, read: _Read) -> None:
        self._boxes, self._pieces = read.boxes, read.pieces
        today = shop_day(self._work.figures)
        due = sum(box_state(box, today)[0] in ("late", "soon") for box in read.boxes)
        self.set_heading(_("Containers"), _("{n} to look at").format(n=due) if due else "")
        self._show_rows()
        wanted = self.box.id if self.box else int(self.subject) if self.subject.isdecimal() else None
        self._choose(next((box for box in read.boxes if box.id == wanted), self.table.current()))

    def _show_rows(self) -> None:
        self.table.set_rows(chosen_boxes(self._boxes, self.choice.choice(), self.filter.text()))

    def _choose(self, box: ContainerView | None) -> None:
        self.box = box
        self._shown.setVisible(box is not None)
        self._risk.setVisible(box is not None)
        if box is None:
            self.set_actions(None)
            return
        figures = self._work.figures
        self._shown.set_title(box_name(box))
        mark, word = box_state(box, shop_day(figures))
        self._badge.set_state(State(mark), word)
        self._facts.show_facts(box_facts(box, base_of_box(box, self._pieces), figures))
        fluid = box.item_id not in self._pieces
        steps = {kind.value for kind in steps_of(box)}
        poured = bool(targets(box, self._boxes)) and EventKind.QUARANTINED.value in steps and box.held > 0
        shown = {"pour": poured, "measure": fluid, "jug": fluid, "hazards": fluid, "lot": bool(box.lot)}
        for key, button in self.buttons.items():
            button.setVisible(shown.get(key, key in steps))
        self.set_actions(PageAction(words=_("Print label"), do=self._label, icon="printer"))
        room, item_id = self._work.rooms.cards, box.item_id
        self.desk.background.read(self, "card", lambda: room.card(item_id), self._show_hazards)

    def _show_hazards(self, card: ItemCard) -> None:
        self._hazards = card
        self._hazard_facts.show_facts(hazard_facts(card, self._work.figures))

    def _label(self) -> None:
        if self.box is not None:
            self.desk.ways.go("paper", f"container label:{self.box.id}")

    def _do(self, key: str, _checked: bool = False) -> None:
        box = self.box
        if box is None:
            return
        if key == "jug":
            self.desk.ways.go("paper", f"jug label:{box.item_id}")
            return
        if key == "lot":
            self.desk.ways.go("lots", box.lot)
            return
        made = self._make_step(key, box)
        if made is None:
            return
        self._put_aside()
        self.step = made
        made.put_aside.connect(self._cancel)
        made.kept.connect(self._done)
        self._place.addWidget(made)
        made.show()
        made.form.focus_first()
        self.set_actions(PageAction(words=made.verb, do=made.keep, icon="check"))

    def _make_step(self, key: str, box: ContainerView) -> StepCard | None:
        if key == "measure":
            return measure_card(self.desk, self._work, box)
        if key == "pour":
            return pour_card(self.desk, self._work, box, targets(box, self._boxes))
        if key == "hazards":
            known = self._hazards
            return hazard_card(self.desk, self._work, box.item, known) if known else None
        return note_card(self.desk, self._work, box, EventKind(key))

    def _put_aside(self) -> None:
        step, self.step = self.step, None
        if step is not None:
            step.hide()
            step.deleteLater()

    def _cancel(self) -> None:
        self._put_aside()
        self._choose(self.box)
        self.table.setFocus()

    def _done(self, sentence: str) -> None:
        self.desk.notices.tell(sentence)
        self._put_aside()
        self.refresh()
        self.table.setFocus()

    def _make_table(self) -> RowTable[ContainerView]:
        figures = self._work.figures

        def held(box: ContainerView) -> str:
            return figures.stock(base_of_box(box, self._pieces), box.held)

        def good(box: ContainerView) -> str:
            return figures.day(box.good_until) if box.good_until else ""

        def state(box: ContainerView) -> tuple[str, str]:
            return box_state(box, shop_day(figures))

        table: RowTable[ContainerView] = RowTable(
            self.desk.look,
            _("Containers"),
            [
                Column(title=_("Item"), text=lambda box: box.item, stretch=True, chars=16, strong=True),
                Column(title=_("Container"), text=box_label, chars=9),
                Column(title=_("Lot"), text=lambda box: box.lot, chars=9),
                Column(title=_("Should hold"), text=held, chars=10, number=True),
                Column(title=_("Good until"), text=good, chars=11, optional=True),
                Column(
                    title=_("State"),
                    text=lambda box: state(box)[1],
                    chars=12,
                    state=lambda box: State(state(box)[0]),
                ),
            ],
            key=lambda box: box.id,
            empty=_("No container is like this."),
        )
        table.fit_rows(_MOST)
        table.chosen.connect(self._chosen)
        table.opened.connect(self._opened)
        return table

    def _chosen(self, box: ContainerView) -> None:
        if self.step is None:
            self._choose(box)

    def _opened(self, box: ContainerView) -> None:
        """Enter goes to what can be done with it."""
        self._chosen(box)
        first = next((button for button in self.buttons.values() if not button.isHidden()), None)
        if first is not None:
            first.setFocus()


def _read(rooms: Rooms, gone: bool) -> _Read:
    pieces = frozenset(row.id for row in rooms.items.all() if row.kind is not ItemKind.FLUID)
    return _Read(boxes=rooms.containers.all(gone=gone), pieces=pieces)
