"""Everything the shop can do, room by room. A room is loaded when it is first entered."""

from __future__ import annotations

from collections.abc import Callable
from functools import cached_property
from importlib import import_module
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING

from shopdesk.persistence.engine import Database
from shopdesk.persistence.marks import change_marks
from shopdesk.services.acting import Actor, Clock, Office

if TYPE_CHECKING:
    from shopdesk.documents.fonts import Fonts
    from shopdesk.services.bay import Bay
    from shopdesk.services.billing import Billing
    from shopdesk.services.bills import Bills
    from shopdesk.services.board import Board
    from shopdesk.services.buying import Buying
    from shopdesk.services.cards import Cards
    from shopdesk.services.chosen_rules import ChosenRules
    from shopdesk.services.containers import Containers
    from shopdesk.services.cores import Cores
    from shopdesk.services.counting import Counting
    from shopdesk.services.deliveries import Deliveries
    from shopdesk.services.drafts import DraftStore
    from shopdesk.services.duedates import Due
    from shopdesk.services.finding import Finding
    from shopdesk.services.instruments import Instruments
    from shopdesk.services.intake import Intake
    from shopdesk.services.invoices import Invoices
    from shopdesk.services.items import Items
    from shopdesk.services.job import Jobs
    from shopdesk.services.kits import Kits
    from shopdesk.services.matching import Matching
    from shopdesk.services.ordering_hints import OrderingHints
    from shopdesk.services.outlook import Outlooks
    from shopdesk.services.papers import Papers
    from shopdesk.services.photos import Photos
    from shopdesk.services.pours import Pours
    from shopdesk.services.recall import Recalls
    from shopdesk.services.receiving_file import ReceivingFiles
    from shopdesk.services.reserving import Reserving
    from shopdesk.services.safekeeping import Safekeeping
    from shopdesk.services.setup import SetUp
    from shopdesk.services.sheets import Sheets
    from shopdesk.services.shelf_papers import ShelfPapers
    from shopdesk.services.shelf_reports import ShelfReports
    from shopdesk.services.shelf_settings import ShelfRules
    from shopdesk.services.signing import Keys
    from shopdesk.services.stock import Stock
    from shopdesk.services.unit_history import UnitHistories
    from shopdesk.services.used_oil import UsedOil
    from shopdesk.services.verifying_files import Verifying
    from shopdesk.services.warmup import WarmUps
    from shopdesk.services.warmup_log import WarmUpLogs
    from shopdesk.services.work import WorkOrders

ROOMS = {
    "setup": "setup:SetUp",
    "sheets": "sheets:Sheets",
    "items": "items:Items",
    "instruments": "instruments:Instruments",
    "intake": "intake:Intake",
    "board": "board:Board",
    "invoices": "invoices:Invoices",
    "stock": "stock:Stock",
    "cards": "cards:Cards",
    "containers": "containers:Containers",
    "counting": "counting:Counting",
    "kits": "kits:Kits",
    "recalls": "recall:Recalls",
    "buying": "buying:Buying",
    "deliveries": "deliveries:Deliveries",
    "receiving_files": "receiving_file:ReceivingFiles",
    "bills": "bills:Bills",
    "cores": "cores:Cores",
    "reserving": "reserving:Reserving",
    "matching": "matching:Matching",
    "pours": "pours:Pours",
    "outlooks": "outlook:Outlooks",
    "shelf_reports": "shelf_reports:ShelfReports",
    "ordering_hints": "ordering_hints:OrderingHints",
    "used_oil": "used_oil:UsedOil",
    "chosen_rules": "chosen_rules:ChosenRules",
    "shelf_rules": "shelf_settings:ShelfRules",
    "work": "work:WorkOrders",
    "bay": "bay:Bay",
    "billing": "billing:Billing",
    "due": "duedates:Due",
    "photos": "photos:Photos",
    "unit_histories": "unit_history:UnitHistories",
    "warmups": "warmup:WarmUps",
    "warmup_logs": "warmup_log:WarmUpLogs",
    "finding": "finding:Finding",
    "safekeeping": "safekeeping:Safekeeping",
}
"""The rooms that need the office alone, with the module and the class of each."""


class Desk:
    """The rooms of one open shop. Whoever holds it closes it.

    Rooms may be entered on several threads: each is made once.
    """

    setup: SetUp
    sheets: Sheets
    items: Items
    instruments: Instruments
    intake: Intake
    board: Board
    invoices: Invoices
    stock: Stock
    cards: Cards
    containers: Containers
    counting: Counting
    kits: Kits
    recalls: Recalls
    buying: Buying
    deliveries: Deliveries
    receiving_files: ReceivingFiles
    bills: Bills
    cores: Cores
    reserving: Reserving
    matching: Matching
    pours: Pours
    outlooks: Outlooks
    shelf_reports: ShelfReports
    ordering_hints: OrderingHints
    used_oil: UsedOil
    chosen_rules: ChosenRules
    shelf_rules: ShelfRules
    work: WorkOrders
    bay: Bay
    billing: Billing
    due: Due
    photos: Photos
    unit_histories: UnitHistories
    warmups: WarmUps
    warmup_logs: WarmUpLogs
    finding: Finding
    safekeeping: Safekeeping

    def __init__(
        self,
        database: Database,
        clock: Clock,
        fonts: Callable[[], Fonts],
        schemas: Path,
        *,
        station: tuple[str, str],
        announce: Callable[[frozenset[str]], None] = lambda _: None,
    ) -> None:
        self._database = database
        self._fonts = fonts
        self._schemas = schemas
        self._station = station
        self._making = RLock()
        self.office = Office(database, clock, announce)

    if not TYPE_CHECKING:  # the checker knows the rooms from their annotations, and no others

        def __getattr__(self, name: str) -> object:
            """Make a room at the first visit."""
            place = ROOMS.get(name)
            if place is None:
                raise AttributeError(name)
            module, _colon, room = place.partition(":")
            made = getattr(import_module(f"shopdesk.services.{module}"), room)
            with self._making:
                return self.__dict__.setdefault(name, made(self.office))

    @cached_property
    def keys(self) -> Keys:
        """The shop's signing keys."""
        from shopdesk.services.signing import Keys

        return Keys(self.office, self.actor)

    @cached_property
    def papers(self) -> Papers:
        """Every paper of a work order."""
        from shopdesk.services.papers import Papers

        return Papers(self.office, self._fonts, self.keys)

    @cached_property
    def shelf_papers(self) -> ShelfPapers:
        """Labels, count sheets and orders."""
        from shopdesk.services.shelf_papers import ShelfPapers

        return ShelfPapers(self.office, self._fonts)

    @cached_property
    def verifying(self) -> Verifying:
        """Records judged from their facts."""
        from shopdesk.services.verifying_files import Verifying

        return Verifying(self.office, self._schemas)

    @cached_property
    def jobs(self) -> Jobs:
        """Whole jobs from files."""
        from shopdesk.services.job import Jobs

        return Jobs(self.office, self._station)

    def actor(self) -> Actor:
        """Give who is at work here; nobody yet in a database without a shop."""
        if not self.setup.is_set_up():
            return Actor(person_id=0, station_id=0)
        return self.setup.actor_at(*self._station)

    def drafts(self, actor: Actor) -> DraftStore:
        """Give where this station's drafts live."""
        from shopdesk.services.drafts import DraftStore

        return DraftStore(self.office, actor.station_id)

    def changes(self) -> int:
        """Give a number that moves whenever any program changes this shop."""
        with self.office.reading() as reading:
            return change_marks(reading.connection).get("shop", 0)

    def close(self) -> None:
        """Close the database."""
        self._database.close()
