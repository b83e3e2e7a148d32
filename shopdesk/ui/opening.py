"""Entering a shop: its pages, drafts, finding and the watch for other programs; or the first run."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from gettext import gettext as _
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject

from shopdesk.services.acting import Actor
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.figures import Figures
from shopdesk.ui.at_work import Announcer, AtWork
from shopdesk.ui.changes import Bus, Watch
from shopdesk.ui.desk import Desk
from shopdesk.ui.drafts import Drafts
from shopdesk.ui.find_list import FindHit
from shopdesk.ui.pages import page_entries
from shopdesk.ui.window import PageEntry

if TYPE_CHECKING:
    from shopdesk.ui.program import Program

_ICON = {"customer": "users", "vehicle": "car", "work order": "clipboard-list", "invoice": "receipt"}


def announcer_for(bus: Bus, owner: QObject) -> Announcer:
    """Give what carries changes to the bus, living as long as ``owner``."""
    announcer = Announcer(bus)
    announcer.setParent(owner)
    return announcer


def enter_shop(
    program: Program, rooms: Rooms, actor: Actor, figures: Figures | None
) -> tuple[Callable[[], None], Callable[[], None]]:
    """Show the shop's pages, or the first run where there is no shop yet.

    Gives what keeps everything typed, and what ends the watch for other programs.
    """
    window = program.window
    drafts = Drafts(program.background, rooms.drafts(actor))
    desk = Desk(
        look=program.look,
        background=program.background,
        bus=program.bus,
        ask=program.ask,
        drafts=drafts,
        printing=program.given.printing,
        ways=window.ways,
        notices=window.notices,
    )
    if figures is None:
        _first_run(program, desk, rooms)
        return drafts.keep_all, lambda: None
    work = AtWork(rooms, actor, figures)
    for entry in page_entries(desk, work):
        window.add_page(entry)
    window.set_shop(figures.shop.name)
    window.rail.set_person(_person(rooms, actor))
    window.set_provider(lambda text: _hits(rooms, text))
    watch = Watch(program.background, program.bus, rooms.changes)
    window.ways.go("today")
    return drafts.keep_all, watch.stop


def _person(rooms: Rooms, actor: Actor) -> str:
    return next((person.name for person in rooms.setup.people() if person.id == actor.person_id), "")


def _hits(rooms: Rooms, text: str) -> Sequence[FindHit]:
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
    ]


def _first_run(program: Program, desk: Desk, rooms: Rooms) -> None:
    from shopdesk.ui.screen import Screen
    from shopdesk.ui.screens.first_run import FirstRunScreen

    given = program.given

    def build() -> Screen:
        return FirstRunScreen(
            desk,
            rooms,
            set_up=lambda: program.open(given.open_shop),
            look_at_demo=lambda: program.open(given.open_demo),
        )

    program.window.add_page(PageEntry(page="first run", words="", icon="", build=build, on_rail=False))
    program.window.ways.go("first run")
