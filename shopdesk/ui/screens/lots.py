"""Where a lot went: the vehicles that had it with their phones in one step, and what is still here."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.recall import PutAside, PutLotAside, Recall, RecalledContainer, RecalledVehicle
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.forms.form_card import FormCard
from shopdesk.ui.presenters.lots import call_words, held_words, lot_note, plate_words, whom_words
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.fields import TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.rows_model import Column
from shopdesk.ui.widgets.search_field import SearchField
from shopdesk.ui.widgets.state_mark import State
from shopdesk.ui.widgets.table import RowTable

_MOST_VEHICLES, _MOST_CONTAINERS = 14, 8
_ASIDE, _GONE = "quarantine", "empty"


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    lots: tuple[str, ...]
    found: Recall | None


class LotsScreen(Screen):
    """The subject is a lot, or nothing."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Where a lot went"))
        self._work = work
        self._found: Recall | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = Form(desk.look, columns=1)
        self.lot = self.form.add(
            SearchField(
                desk.look, "lot", _("Lot"), help_line=_("As printed on the container; Enter shows it")
            )
        )
        self.form.completed.connect(self._look_up)
        self.vehicles = self._vehicles_table()
        self.containers = self._containers_table()
        self.aside = FormCard(desk.look, _("Put all of it aside"), _("Put aside"))
        self.why = Form(desk.look, columns=1)
        self.why.add(TextField(desk.look, "reason", _("Why"), help_line=_("Such as the maker's notice")))
        self.aside.add(self.why)
        self.aside.end()
        self.aside.cancel.hide()
        self._draft = desk.drafts.keep(self.why, "lot aside", "", self)
        self.aside.wanted.connect(self.put_aside)
        self.why.completed.connect(self.put_aside)
        self._lay_out()
        self._show_lot(None)
        self.listen(Topic.STOCK, Topic.WORK, Topic.CUSTOMERS)

    def open_at(self, subject: str) -> None:
        """Show a lot."""
        if subject:
            self.lot.set_text(subject)
        super().open_at(subject or self.subject)

    def refresh(self) -> None:
        """Read the lot again."""
        rooms, lot = self._work.rooms, self.subject
        self.desk.background.read(self, "lot", lambda: _read(rooms, lot), self._show)

    def focus_first(self) -> None:
        """The lot to look for, or where it went."""
        if self.subject:
            self.vehicles.setFocus()
        else:
            self.lot.setFocus()

    def put_aside(self) -> None:
        """Put every container of the lot aside."""
        texts = self.why.texts()
        command = PutLotAside(
            actor=self._work.actor,
            uid=self._uids.of("aside", self.subject, texts["reason"]),
            lot=self.subject,
            reason=texts["reason"],
        )
        room = self._work.rooms.recalls
        self._sending.send(lambda: room.put_aside(command), self._is_aside, self._refused)

    def _refused(self, refusal: RuleBroken) -> None:
        self.why.show_refusal(refusal)

    def _is_aside(self, kept: PutAside) -> None:
        self._draft.forget()
        self._uids.forget()
        self.why.fill({"reason": ""})
        sentence = _("{n} put aside: nothing is poured from lot {lot} any more.")
        self.desk.notices.tell(sentence.format(n=len(kept.container_ids), lot=self.subject))
        self.refresh()

    def _lay_out(self) -> None:
        look = self.desk.look
        scroll = Scroll(look)
        self.column.addWidget(scroll)
        columns = Columns(look, main=8, side=4)
        scroll.add(columns)
        sought = Card(look)
        sought.add(self.form)
        self._cars = Card(look, _("Vehicles that had it"))
        self._cars.add(self.vehicles)
        self._boxes = Card(look, _("Containers of it"))
        self._boxes.add(self.containers)
        columns.add_main(sought)
        columns.add_main(self._cars)
        columns.add_side(self._boxes)
        columns.add_side(self.aside)

    def _look_up(self) -> None:
        self.desk.ways.go("lots", self.lot.text().strip())

    def _show(self, read: _Read) -> None:
        self.lot.offer(list(read.lots))
        self._show_lot(read.found)

    def _show_lot(self, found: Recall | None) -> None:
        self._found = found
        self.set_heading(
            _("Where lot {lot} went").format(lot=found.lot) if found else _("Where a lot went"),
            lot_note(found) if found else "",
        )
        self._cars.setVisible(found is not None)
        self._boxes.setVisible(found is not None and bool(found.containers))
        left = [each for each in found.containers if each.state not in (_ASIDE, _GONE)] if found else []
        self.aside.setVisible(bool(left))
        self.vehicles.set_rows(found.vehicles if found else ())
        self.containers.set_rows(found.containers if found else ())
        printable = found is not None and bool(found.containers)
        printing = PageAction(words=_("Print the list"), do=self._print, icon="printer")
        self.set_actions(printing if printable else None)

    def _print(self) -> None:
        if self._found is not None:
            self.desk.ways.go("paper", f"lot list:{self._found.containers[0].container_id}")

    def _vehicles_table(self) -> RowTable[RecalledVehicle]:
        figures = self._work.figures
        table: RowTable[RecalledVehicle] = RowTable(
            self.desk.look,
            _("Vehicles that had it"),
            [
                Column(title=_("Plate"), text=plate_words, chars=9, strong=True),
                Column(title=_("Vehicle"), text=lambda row: row.vehicle, chars=18, optional=True),
                Column(title=_("Customer"), text=whom_words, stretch=True, chars=16),
                Column(title=_("Call"), text=call_words, chars=14),
                Column(title=_("Job"), text=lambda row: str(row.work_order_number), chars=6, number=True),
                Column(title=_("On"), text=lambda row: figures.day(row.on_date), chars=11, optional=True),
                Column(title=_("Put in"), text=lambda row: held_words(row, figures), chars=8, number=True),
            ],
            key=lambda row: (row.work_order_number, row.item),
            empty=_("No vehicle had any of this lot."),
        )
        table.fit_rows(_MOST_VEHICLES)
        table.opened.connect(lambda row: self.desk.ways.go("vehicle", str(row.vehicle_id)))
        return table

    def _containers_table(self) -> RowTable[RecalledContainer]:
        figures = self._work.figures
        table: RowTable[RecalledContainer] = RowTable(
            self.desk.look,
            _("Containers of it"),
            [
                Column(title=_("Container"), text=lambda row: row.label, stretch=True, chars=14, strong=True),
                Column(
                    title=_("Should hold"), text=lambda row: held_words(row, figures), chars=9, number=True
                ),
                Column(
                    title=_("State"),
                    text=lambda row: _("Put aside") if row.state == _ASIDE else "",
                    chars=11,
                    state=lambda _row: State.LATE,
                ),
            ],
            key=lambda row: row.container_id,
            quiet=True,
        )
        table.fit_rows(_MOST_CONTAINERS)
        table.opened.connect(lambda row: self.desk.ways.go("containers", str(row.container_id)))
        return table


def _read(rooms: Rooms, lot: str) -> _Read:
    return _Read(lots=rooms.recalls.lots(), found=rooms.recalls.recall(lot) if lot else None)
