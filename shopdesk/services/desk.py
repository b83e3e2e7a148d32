"""Everything the shop can do, room by room."""

from collections.abc import Callable
from pathlib import Path

from shopdesk.documents.fonts import Fonts
from shopdesk.persistence.engine import Database
from shopdesk.persistence.marks import change_marks
from shopdesk.services.acting import Actor, Clock, Office
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


class Desk:
    """The rooms of one open shop. Whoever holds it closes it."""

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
        self._station = station
        office = Office(database, clock, announce)
        self.setup = SetUp(office)
        self.sheets = Sheets(office)
        self.items = Items(office)
        self.instruments = Instruments(office)
        self.intake = Intake(office)
        self.board = Board(office)
        self.invoices = Invoices(office)
        self.stock = Stock(office)
        self.cards = Cards(office)
        self.containers = Containers(office)
        self.counting = Counting(office)
        self.kits = Kits(office)
        self.recalls = Recalls(office)
        self.buying = Buying(office)
        self.deliveries = Deliveries(office)
        self.receiving_files = ReceivingFiles(office)
        self.bills = Bills(office)
        self.cores = Cores(office)
        self.reserving = Reserving(office)
        self.matching = Matching(office)
        self.pours = Pours(office)
        self.outlooks = Outlooks(office)
        self.shelf_reports = ShelfReports(office)
        self.shelf_papers = ShelfPapers(office, fonts)
        self.ordering_hints = OrderingHints(office)
        self.used_oil = UsedOil(office)
        self.chosen_rules = ChosenRules(office)
        self.shelf_rules = ShelfRules(office)
        self.work = WorkOrders(office)
        self.bay = Bay(office)
        self.billing = Billing(office)
        self.due = Due(office)
        self.keys = Keys(office, self.actor)
        self.photos = Photos(office)
        self.unit_histories = UnitHistories(office)
        self.verifying = Verifying(office, schemas)
        self.warmups = WarmUps(office)
        self.warmup_logs = WarmUpLogs(office)
        self.papers = Papers(office, fonts, self.keys)
        self.finding = Finding(office)
        self.safekeeping = Safekeeping(office)
        self.jobs = Jobs(office, station)
        self.office = office

    def actor(self) -> Actor:
        """Give who is at work here; nobody yet in a database without a shop."""
        if not self.setup.is_set_up():
            return Actor(person_id=0, station_id=0)
        return self.setup.actor_at(*self._station)

    def drafts(self, actor: Actor) -> DraftStore:
        """Give where this station's drafts live."""
        return DraftStore(self.office, actor.station_id)

    def changes(self) -> int:
        """Give a number that moves whenever any program changes this shop."""
        with self.office.reading() as reading:
            return change_marks(reading.connection).get("shop", 0)

    def close(self) -> None:
        """Close the database."""
        self._database.close()
