"""Entering a shop: its pages, drafts, finding and the watch for other programs; or the first run."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtCore import QObject

from shopdesk.services.acting import Actor
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.figures import Figures
from shopdesk.services.setup import PersonRow
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.ui.ask import Ask
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.background import Background
from shopdesk.ui.changes import ALL_TOPICS, Bus, Topic, Watch
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.find_list import FindHit
from shopdesk.ui.pages import page_entries
from shopdesk.ui.printing import Printing
from shopdesk.ui.resizing import Resizing
from shopdesk.ui.screen import Screen
from shopdesk.ui.theme.look import Look, LookChoice
from shopdesk.ui.window import MainWindow, PageEntry

_ICON = {"customer": "users", "vehicle": "car", "work order": "clipboard-list", "invoice": "receipt"}


@dataclass(frozen=True, kw_only=True, slots=True)
class Frame:
    """The empty window and what it stands on; ``open_shop`` and ``open_demo`` enter another shop."""

    window: MainWindow
    look: Look
    background: Background
    bus: Bus
    ask: Ask
    printing: Printing
    keep_choice: Callable[[LookChoice], None]
    open_shop: Callable[[], None]
    open_demo: Callable[[], None]


def enter_shop(
    frame: Frame, rooms: Rooms, actor: Actor, figures: Figures | None
) -> tuple[Callable[[], None], Callable[[], None]]:
    """Show the shop's pages, or the first run where there is no shop yet.

    Gives what keeps everything typed, and what ends the watch for other programs.
    """
    window = frame.window
    drafts = Drafts(frame.background, rooms.drafts(actor))
    desk = Desk(
        look=frame.look,
        background=frame.background,
        bus=frame.bus,
        ask=frame.ask,
        drafts=drafts,
        printing=frame.printing,
        ways=window.ways,
        notices=window.notices,
        keep_choice=frame.keep_choice,
    )
    if figures is None:
        _first_run(frame, desk, rooms)
        return drafts.keep_all, lambda: None
    work = AtWork(rooms, actor, figures)
    for entry in page_entries(desk, work):
        window.add_page(entry)
    window.set_shop(figures.shop.name)
    window.rail.set_person(_person(rooms.setup.people(), actor))
    window.set_provider(lambda text: _hits(rooms, text))
    watch = Watch(frame.background, frame.bus, rooms.changes)
    _follow_shop(frame, work, watch)
    follow_person(window, frame.background, frame.bus, work, watch)
    resizing = Resizing(frame.look, frame.background, drafts, window.ways)

    def stop() -> None:
        watch.stop()
        resizing.stop()

    window.ways.go("today")
    return drafts.keep_all, stop


def _follow_shop(frame: Frame, work: AtWork, owner: QObject) -> None:
    """Write figures in the shop's units as they are set up now, for as long as ``owner`` lives."""

    def changed(shop: ShopFacts) -> None:
        if shop == work.figures.shop:
            return
        work.figures = Figures(shop)
        frame.window.set_shop(shop.name)
        frame.bus.announce(ALL_TOPICS)

    def ask() -> None:
        frame.background.read(owner, "shop", work.rooms.setup.shop, changed)

    frame.bus.listen(owner, (Topic.SHOP,), ask)


def follow_person(window: MainWindow, background: Background, bus: Bus, work: AtWork, owner: QObject) -> None:
    """Name on the rail who is at work here now, for as long as ``owner`` lives."""

    def say(people: Sequence[PersonRow]) -> None:
        window.rail.set_person(_person(people, work.actor))

    def ask() -> None:
        background.read(owner, "person", work.rooms.setup.people, say)

    work.taken_over = ask
    bus.listen(owner, (Topic.SHOP,), ask)


def _person(people: Sequence[PersonRow], actor: Actor) -> str:
    return next((person.name for person in people if person.id == actor.person_id), "")


def _hits(rooms: Rooms, text: str) -> Sequence[FindHit]:
    lots = [
        FindHit(
            kind=_("lot"),
            title=_("Lot {lot}").format(lot=lot),
            detail=_("Where it went"),
            page="lots",
            subject=lot,
            icon="droplets",
        )
        for lot in rooms.recalls.lots_from(text)
    ]
    return [
        FindHit(
            kind=_(hit.kind),
            title=hit.shown,
            detail=hit.detail,
            page=hit.kind,
            subject=str(hit.subject_id),
            icon=_ICON.get(hit.kind, "file-text"),
        )
        for hit in rooms.finding.find(text)
    ] + lots


def _first_run(frame: Frame, desk: Desk, rooms: Rooms) -> None:
    from shopdesk.ui.screens.first_run import FirstRunScreen

    def build() -> Screen:
        return FirstRunScreen(
            desk,
            rooms,
            set_up=frame.open_shop,
            look_at_demo=frame.open_demo,
        )

    frame.window.add_page(PageEntry(page="first run", words="", icon="", build=build, on_rail=False))
    frame.window.ways.go("first run")
