"""Used oil: its vessels, what went in and out of them, and the rules the shop chose to follow."""

from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _

from PySide6.QtWidgets import QHBoxLayout, QWidget

from shopdesk.domain.dated_rules import OfferedRule
from shopdesk.domain.usedoil import Reconciliation
from shopdesk.services.chosen_rules import ChooseRule, ChosenRule, StopRule
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.used_oil import (
    AddUsedOil,
    CapacityView,
    CountVessel,
    Haul,
    OilMoveRow,
    SaveVessel,
    VesselKept,
    VesselRow,
)
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.clock import shop_day
from shopdesk.ui.presenters.shelf import signed_stock
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.presenters.used_oil import (
    capacity_words,
    move_words,
    oil_command,
    reconciled_words,
    rule_words,
    vessel_choices,
    vessel_stands,
    volume_words,
)
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.tokens import GAP, GAP_WIDE
from shopdesk.ui.widgets.button import Button, ButtonPart
from shopdesk.ui.widgets.card import Card, card_of
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, DateField, NumberField, TextField
from shopdesk.ui.widgets.flow import Flow
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.sight_glass import Level, SightGlass
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

VESSEL, ADD, COUNT, HAUL = "vessel", "add", "count", "haul"
_DAYS = 90
_MOST_ROWS = 10


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    vessels: tuple[VesselRow, ...]
    ledger: tuple[OilMoveRow, ...]
    books: Reconciliation | None
    capacity: CapacityView
    offered: tuple[OfferedRule, ...]
    chosen: tuple[ChosenRule, ...]


class UsedOilScreen(Screen):
    """The subject is nothing or a vessel's id: whose moves are shown."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Used oil"))
        self._work = work
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._vessel_id = 0
        self._read: _Read | None = None
        self._glasses: list[SightGlass] = []
        self._glass_row = QHBoxLayout()
        self._glass_row.setSpacing(desk.look.px(GAP_WIDE))
        self._glass_row.addStretch(1)
        self.vessels = self._vessel_table()
        self.moves = self._move_table()
        self.books = PlainLabel("", wrap=True)
        self.capacity = PlainLabel("", wrap=True)
        self.rules = Card(desk.look, _("Rules on used oil"))
        self._rule_rows: list[QWidget] = []
        self.forms: dict[str, Form] = {}
        self._days: dict[str, DateField] = {}
        self.cards = {verb: self._form_card(verb) for verb in (HAUL, COUNT, ADD, VESSEL)}
        self.ways = self._make_ways()
        self._lay_out()
        self.vessels.chosen.connect(self._choose)
        self.listen(Topic.STOCK, Topic.SHOP)
        self.show_form("")

    def open_at(self, subject: str) -> None:
        """Show the vessels, and the moves of one."""
        if subject.isdecimal():
            self._vessel_id = int(subject)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read everything again."""
        rooms, vessel_id, today = self._work.rooms, self._vessel_id, self._today()
        self.desk.background.read(self, "oil", lambda: _read(rooms, vessel_id, today), self._show)

    def focus_first(self) -> None:
        """The form in sight, else the vessels."""
        verb = self.open_form
        if verb:
            self.forms[verb].focus_first()
        else:
            self.vessels.setFocus()

    @property
    def open_form(self) -> str:
        """Which form is in sight, or nothing."""
        return next((verb for verb, card in self.cards.items() if not card.isHidden()), "")

    def show_form(self, verb: str) -> None:
        """Show one form, or none."""
        for each, card in self.cards.items():
            card.setVisible(each == verb)
        known = bool(self._read and any(row.active for row in self._read.vessels))
        self.ways.setVisible(known and not verb)
        if verb:
            words = self.cards[verb].verb
            self.set_actions(PageAction(words=words, do=lambda: self.save(verb), icon="check"))
            self._pick_vessel(verb)
            self.forms[verb].focus_first()
            return
        if not known:
            self.set_actions(
                PageAction(words=_("New vessel"), do=lambda: self.show_form(VESSEL), icon="plus")
            )
            return
        self.set_actions(PageAction(words=_("Oil pick-up"), do=lambda: self.show_form(HAUL), icon="droplets"))

    def _make_ways(self) -> QWidget:
        """Make the row of what else can be done; it flows, so that large text has room."""
        row = QWidget()
        flow = Flow(self.desk.look.px(GAP), row)
        for words, do, icon in (
            (_("Count it"), lambda: self.show_form(COUNT), ""),
            (_("Put in by hand"), lambda: self.show_form(ADD), ""),
            (_("New vessel"), lambda: self.show_form(VESSEL), "plus"),
            (_("Label"), self._label, "printer"),
        ):
            button = Button(self.desk.look, words, icon=icon)
            button.clicked.connect(do)
            flow.addWidget(button)
        row.hide()
        return row

    def save(self, verb: str) -> None:
        """Keep what a form says, or say beside a field what is wrong."""
        form = self.forms[verb]
        form.clear_errors()
        if not form.check():
            return
        texts = form.texts()
        on = self._days[verb].day() if verb in self._days else None
        uid = self._uids.of(verb, *sorted(texts.items()))
        command = oil_command(verb, texts, self._work.actor, uid, on)
        rooms = self._work.rooms
        self._sending.send(
            lambda: _carry_out(rooms, command), lambda kept: self._kept(verb, kept), form.show_refusal
        )

    def _kept(self, verb: str, kept: VesselKept) -> None:
        figures = self._work.figures
        held = figures.volume(kept.held_ul)
        self.desk.notices.tell(_("Kept: {held} should be in it now.").format(held=held))
        self._uids.forget()
        self._vessel_id = kept.vessel_id
        form = self.forms[verb]
        form.fill({name: "" for name in form.texts() if name != "vessel"})
        self.show_form("")
        self.vessels.setFocus()
        self.refresh()

    def _lay_out(self) -> None:
        look = self.desk.look
        columns = Columns(look, main=7, side=5, break_at=900)
        columns.add_main(card_of(look, _("Vessels"), self._glass_row, self.vessels))
        columns.add_main(card_of(look, _("In and out"), self.moves, self.books))
        for card in self.cards.values():
            columns.add_side(card)
        columns.add_side(card_of(look, _("Oil capacity"), self.capacity))
        columns.add_side(self.rules)
        scroll = Scroll(look)
        scroll.add(self.ways)
        scroll.add(columns)
        self.column.addWidget(scroll)

    def _show(self, read: _Read) -> None:
        self._read = read
        figures = self._work.figures
        self._show_vessels(read.vessels)
        self._show_glasses(read.vessels)
        self.moves.set_rows(read.ledger)
        self.books.setText(reconciled_words(read.books, figures) if read.books else "")
        self.capacity.setText(capacity_words(read.capacity, figures))
        self._show_rules(read)
        for verb in (HAUL, COUNT, ADD):
            field = self.forms[verb].field("vessel")
            if isinstance(field, ChoiceField):
                field.set_choices(vessel_choices(read.vessels))
        if not self.open_form:
            self.show_form("")

    def _show_vessels(self, rows: tuple[VesselRow, ...]) -> None:
        """List the vessels, the one whose moves were read being marked: it need not be the one before."""
        wanted = self._vessel_id
        self.vessels.blockSignals(True)
        self.vessels.set_rows(rows)
        place = next((at for at, row in enumerate(rows) if row.id == wanted), None)
        if place is not None:
            self.vessels.selectRow(place)
        self.vessels.blockSignals(False)

    def _choose(self, row: VesselRow) -> None:
        if row.id != self._vessel_id:
            self._vessel_id = row.id
            self.refresh()

    def _pick_vessel(self, verb: str) -> None:
        row = self.vessels.current()
        if verb != VESSEL and row is not None and row.active:
            self.forms[verb].field("vessel").set_text(str(row.id))

    def _show_glasses(self, rows: tuple[VesselRow, ...]) -> None:
        for glass in self._glasses:
            self._glass_row.removeWidget(glass)
            glass.hide()
            glass.deleteLater()
        self._glasses = [SightGlass(self.desk.look, self._level(row)) for row in rows if row.active][:6]
        for at, glass in enumerate(self._glasses):
            self._glass_row.insertWidget(at, glass)

    def _level(self, row: VesselRow) -> Level:
        figures = self._work.figures
        mark, word = vessel_stands(row)
        return Level(
            full=max(0, row.held_ul) / row.capacity_ul,
            figure=figures.volume(row.held_ul, places=0),
            name=row.name,
            state=State(mark),
            state_words=word,
        )

    def _show_rules(self, read: _Read) -> None:
        for part in self._rule_rows:
            part.hide()
            part.deleteLater()
        self._rule_rows = []
        today = self._today()
        for rule in read.offered:
            held = [each for each in read.chosen if each.key is rule.key and _holds(each, today)]
            chosen = held[-1] if held else None
            words = PlainLabel(rule_words(rule, chosen, self._work.figures), wrap=True)
            self._add_rule_part(words)
            self._add_rule_part(self._rule_button(rule, chosen))

    def _add_rule_part(self, part: QWidget) -> None:
        self.rules.add(part)
        self._rule_rows.append(part)

    def _rule_button(self, rule: OfferedRule, chosen: ChosenRule | None) -> QWidget:
        verb = _("Follow it from today") if chosen is None else _("Follow it no more")
        name = f"{verb}: {_(rule.key.value)}"
        button = Button(self.desk.look, verb, ButtonPart.QUIET, name=name)
        button.clicked.connect(lambda: self._turn_rule(rule, chosen))
        return _at_the_left(button)

    def _turn_rule(self, rule: OfferedRule, chosen: ChosenRule | None) -> None:
        room, actor, today = self._work.rooms.chosen_rules, self._work.actor, self._today()
        if chosen is None:
            choose = ChooseRule(actor=actor, key=rule.key, from_on=today)
            self._sending.send(lambda: room.choose(choose), lambda _rule: self.refresh())
            return
        last = max(chosen.from_on, today - timedelta(days=1))
        stop = StopRule(actor=actor, rule_id=chosen.id, to_on=last)
        self._sending.send(lambda: room.stop(stop), lambda _rule: self.refresh())

    def _label(self) -> None:
        row = self.vessels.current()
        if row is not None:
            self.desk.ways.go("paper", f"used oil label:{row.id}")

    def _form_card(self, verb: str) -> FormCard:
        titles = {
            HAUL: (_("Oil pick-up"), _("Keep the pick-up")),
            COUNT: (_("Measure a vessel"), _("Keep the count")),
            ADD: (_("Put in by hand"), _("Keep it")),
            VESSEL: (_("A new vessel"), _("Save vessel")),
        }
        card = FormCard(self.desk.look, *titles[verb])
        form = self._make_form(verb)
        form.completed.connect(lambda: self.save(verb))
        card.add(form)
        card.end()
        card.wanted.connect(lambda: self.save(verb))
        card.put_aside.connect(self._put_aside)
        return card

    def _put_aside(self) -> None:
        self.show_form("")
        self.vessels.setFocus()

    def _make_form(self, verb: str) -> Form:
        look = self.desk.look
        form = Form(look, columns=2, least_width=150)
        if verb == VESSEL:
            form.add(TextField(look, "name", _("Name")), 0)
            form.add(NumberField(look, "capacity", _("Holds"), self._volume))
            form.add(TextField(look, "place", _("Where it stands")))
        else:
            form.add(ChoiceField(look, "vessel", _("Vessel")), 0)
        if verb == COUNT:
            form.add(NumberField(look, "reading", _("Measured"), self._volume))
            form.add(NumberField(look, "within", _("Read to within ±"), self._volume))
        if verb in (HAUL, ADD):
            form.add(NumberField(look, "quantity", _("Quantity"), self._volume))
            self._days[verb] = form.add(
                DateField(look, "on", _("On"), self._today, help_line=_("Empty: today"))
            )
        if verb == HAUL:
            form.add(TextField(look, "carrier", _("Carrier")))
            form.add(TextField(look, "carrier_id", _("Carrier's id number")))
            form.add(TextField(look, "document_no", _("Document number")))
            form.add(TextField(look, "destination", _("Taken to")))
            form.add(CheckField(look, "own_vehicle", _("In our own vehicle")), 0)
        if verb in (COUNT, ADD):
            words = _("Reason of a difference") if verb == COUNT else _("Where it came from")
            form.add(TextField(look, "reason", words), 0)
        self.forms[verb] = form
        return form

    def _volume(self, text: str) -> str:
        return volume_words(self._work.figures, text)

    def _vessel_table(self) -> RowTable[VesselRow]:
        def held(row: VesselRow) -> str:
            return self._work.figures.volume(row.held_ul)

        table: RowTable[VesselRow] = RowTable(
            self.desk.look,
            _("Vessels"),
            [
                Column(title=_("Vessel"), text=lambda row: row.name, stretch=True, chars=14, strong=True),
                Column(title=_("Should hold"), text=held, chars=10, number=True),
                Column(
                    title=_("Room for"),
                    text=lambda row: self._work.figures.volume(row.room_ul),
                    chars=10,
                    number=True,
                ),
                Column(title=_("Where"), text=lambda row: row.place, chars=20, optional=True),
                Column(
                    title=_("State"),
                    text=lambda row: vessel_stands(row)[1],
                    chars=12,
                    state=lambda row: State(vessel_stands(row)[0]),
                ),
            ],
            key=lambda row: row.id,
            empty=_("No vessel is on the list yet: what jobs drain is then not followed."),
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _move_table(self) -> RowTable[OilMoveRow]:
        table: RowTable[OilMoveRow] = RowTable(
            self.desk.look,
            _("In and out"),
            [
                Column(title=_("Day"), text=lambda row: self._work.figures.day(row.on_date), chars=11),
                Column(title=_("What"), text=move_words, stretch=True, chars=16),
                Column(
                    title=_("Quantity"),
                    text=lambda row: signed_stock(self._work.figures, "ul", row.quantity_ul),
                    chars=10,
                    number=True,
                ),
                Column(
                    title=_("In it then"),
                    text=lambda row: self._work.figures.volume(row.level_after_ul),
                    chars=10,
                    number=True,
                    optional=True,
                ),
            ],
            key=lambda row: row.id,
            empty=_("Nothing went in or out yet."),
            quiet=True,
        )
        table.fit_rows(_MOST_ROWS)
        return table

    def _today(self) -> date:
        return shop_day(self._work.figures)


def _holds(rule: ChosenRule, today: date) -> bool:
    return rule.from_on <= today and (rule.to_on is None or rule.to_on >= today)


def _read(rooms: Rooms, vessel_id: int, today: date) -> _Read:
    vessels = rooms.used_oil.vessels()
    known = vessel_id if any(row.id == vessel_id for row in vessels) else vessels[0].id if vessels else 0
    first = today - timedelta(days=_DAYS)
    return _Read(
        vessels=vessels,
        ledger=tuple(rooms.used_oil.ledger(known)) if known else (),
        books=rooms.used_oil.reconcile(known, first, today) if known else None,
        capacity=rooms.used_oil.capacity(),
        offered=rooms.chosen_rules.offered(),
        chosen=rooms.chosen_rules.chosen(),
    )


def _at_the_left(button: Button) -> QWidget:
    """Give a row in which a button stands beneath the words it belongs to."""
    row = QWidget()
    beside = QHBoxLayout(row)
    beside.setContentsMargins(0, 0, 0, 0)
    beside.addWidget(button)
    beside.addStretch(1)
    return row


def _carry_out(rooms: Rooms, command: SaveVessel | AddUsedOil | CountVessel | Haul) -> VesselKept:
    if isinstance(command, SaveVessel):
        return rooms.used_oil.save_vessel(command)
    if isinstance(command, AddUsedOil):
        return rooms.used_oil.add(command)
    if isinstance(command, CountVessel):
        return rooms.used_oil.count(command)
    return rooms.used_oil.haul(command)
