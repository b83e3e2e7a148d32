"""A kit: what is sold as one line and leaves the shelf as its parts, one by one."""

from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.items import ItemView
from shopdesk.services.kits import KitKept, KitPartRow
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.changes import Topic
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import DraftKeeper
from shopdesk.ui.presenters.kits import (
    MOST,
    field_of,
    item_field,
    kit_command,
    kit_texts,
    quantity_field,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.fields import NumberField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.search_field import SearchField


@dataclass(frozen=True, kw_only=True, slots=True)
class _Read:
    kit: ItemView
    items: tuple[ItemView, ...]
    parts: tuple[KitPartRow, ...]


class KitScreen(Screen):
    """The subject is the id of the item that is sold as a kit."""

    def __init__(self, desk: Desk, work: AtWork) -> None:
        super().__init__(desk, _("Kit"))
        self._work = work
        self._read: _Read | None = None
        self._keeper: DraftKeeper | None = None
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self.form = Form(desk.look, columns=2, least_width=220)
        for place in range(MOST):
            title = _("Part {n}").format(n=place + 1)
            self.form.add(SearchField(desk.look, item_field(place), title))
            spoken = _("{part}: in one kit").format(part=title)
            self.form.add(NumberField(desk.look, quantity_field(place), _("In one kit"), spoken=spoken))
        self.form.completed.connect(self.keep)
        scroll = Scroll(desk.look)
        self.column.addWidget(scroll)
        card = Card(desk.look, _("What one kit holds"))
        scroll.add(card)
        says = _(
            "On a work order the kit is one line at its own price; its parts leave the shelf one by one."
        )
        card.add(PlainLabel(says, tone="ink2", wrap=True))
        card.add(self.form)
        self.set_actions(PageAction(words=_("Save kit"), do=self.keep, icon="check"))
        self.listen(Topic.STOCK)

    def open_at(self, subject: str) -> None:
        """Show a kit; what was begun to be typed for it comes back."""
        if subject != self.subject:
            self.form.fill(kit_texts((), self._work.figures))
            if self._keeper is not None:
                self._keeper.flush_if_waiting()
                self._keeper.deleteLater()
            self._keeper = self.desk.drafts.keep(self.form, "kit", subject, self)
        super().open_at(subject)

    def refresh(self) -> None:
        """Read the kit again; what is being typed stays."""
        rooms, kit_id = self._work.rooms, int(self.subject)
        self.desk.background.read(self, "kit", lambda: _read(rooms, kit_id), self._show, self._gone)

    def focus_first(self) -> None:
        """The first part."""
        self.form.focus_first()

    def keep(self) -> None:
        """Keep the parts, or say beside a field what is wrong."""
        self.form.clear_errors()
        if self._read is None:
            return
        texts = self.form.texts()
        uid = self._uids.of("save", self.subject, *sorted(texts.items()))
        try:
            command = kit_command(int(self.subject), texts, self._read.items, self._work.actor, uid)
        except RuleBroken as refusal:
            self.form.show_refusal(refusal)
            return
        room = self._work.rooms.kits
        self._sending.send(lambda: room.save(command), self._kept, self._refused)

    def _refused(self, refusal: RuleBroken) -> None:
        refusal.field = field_of(refusal.field, self.form.texts())
        self.form.show_refusal(refusal)

    def _kept(self, _kept: KitKept) -> None:
        if self._keeper is not None:
            self._keeper.forget()
        self._uids.forget()
        self.form.fill({})
        self.desk.notices.tell(_("The kit is saved."))
        self.refresh()

    def _show(self, read: _Read) -> None:
        self._read = read
        names = [goods.name for goods in read.items if goods.id != read.kit.id]
        for place in range(MOST):
            field = self.form.field(item_field(place))
            if isinstance(field, SearchField):
                field.offer(names)
        if not self.form.touched:
            self.form.fill(kit_texts(read.parts, self._work.figures))
        self.set_heading(
            _("Kit: {name}").format(name=read.kit.name), self._work.figures.money(read.kit.price_minor)
        )

    def _gone(self, refusal: RuleBroken) -> None:
        self.desk.ways.go("fluids")
        self.desk.notices.refuse(refusal.sentence)


def _read(rooms: Rooms, kit_id: int) -> _Read:
    items = tuple(rooms.items.all())
    return _Read(kit=rooms.items.item(kit_id), items=items, parts=rooms.kits.parts(kit_id))
