"""Texts and shares of the day at a glance."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from gettext import gettext as _
from zoneinfo import ZoneInfo

from shopdesk.domain.intervals import DueState
from shopdesk.domain.stages import Stage
from shopdesk.services.board import WorkOrderRow
from shopdesk.services.duedates import DueRow
from shopdesk.services.figures import Figures
from shopdesk.services.invoices import InvoiceRow
from shopdesk.services.stock import OnHandRow
from shopdesk.ui.presenters.promised import weekday_names

#: How a due state looks: the key of the drawn mark.
MARK_OF_DUE: dict[DueState, str] = {
    DueState.OVERDUE: "late",
    DueState.SOON: "soon",
    DueState.FINE: "fine",
    DueState.NONE: "plain",
}


@dataclass(frozen=True, kw_only=True, slots=True)
class GlassText:
    """One fluid on the shelf: how full its tube is drawn, where its order mark stands, and in words."""

    item_id: int
    name: str
    figure: str
    full: float
    mark: float | None
    mark_words: str
    low: bool


def glass_text(figures: Figures, row: OnHandRow) -> GlassText:
    """Give a fluid's glass. The tube is full at the owner's upper mark, or at two order marks."""
    top = row.fill_to or (2 * row.order_at if row.order_at else 0) or max(row.on_hand, row.package_quantity)
    low = row.on_hand <= row.order_at if row.order_at is not None else row.on_hand <= 0
    return GlassText(
        item_id=row.item_id,
        name=row.name,
        figure=figures.stock(row.base, row.on_hand),
        full=_share(row.on_hand, top),
        mark=_share(row.order_at, top) if row.order_at else None,
        mark_words=_("order at {level}").format(level=figures.stock(row.base, row.order_at))
        if row.order_at
        else "",
        low=low,
    )


def _share(part: int, whole: int) -> float:
    return min(1.0, max(0.0, part / whole)) if whole > 0 else 0.0


def shelf_sentence(rows: tuple[OnHandRow, ...], figures: Figures) -> str:
    """Say which fluids are at or below their order mark, or that none is."""
    low = [row for row in rows if glass_text(figures, row).low]
    if not rows:
        return _("No fluid is on the list yet.")
    if not low:
        return _("Every fluid is above its order mark.")
    names = ", ".join(row.name for row in low[:4])
    if len(low) > 4:
        return _("To order: {names} and {n} more.").format(names=names, n=len(low) - 4)
    return _("To order: {names}.").format(names=names)


def waits_for(row: WorkOrderRow) -> str:
    """Say what a work order waits for, or its stage."""
    return row.waiting_reason or _(row.stage).capitalize()


def stage_mark(stage: Stage, *, waiting: bool) -> str:
    """Give the mark of a work order on the board."""
    if waiting:
        return "soon"
    return "fine" if stage is Stage.FINISHED else "plain"


def promised(figures: Figures, at: datetime | None, now: datetime) -> str:
    """Give the promised time as short as a list wants it: the clock today, the weekday this week, the day."""
    if at is None:
        return ""
    zone = ZoneInfo(figures.shop.zone)
    there = at.astimezone(zone).date()
    ahead = (there - now.astimezone(zone).date()).days
    if ahead == 0:
        return figures.clock(at)
    if 0 < ahead < 7:
        return f"{weekday_names()[there.weekday()]} {figures.clock(at)}"
    return figures.day(there)


def promised_fully(figures: Figures, at: datetime | None, now: datetime) -> str:
    """Give the promised time with its day, which is left out today."""
    short = promised(figures, at, now)
    return short if at is None or short == figures.clock(at) else f"{figures.day_of(at)} {figures.clock(at)}"


def by_promise(rows: Sequence[WorkOrderRow]) -> tuple[WorkOrderRow, ...]:
    """Put the work in the order in which it was promised; what has no time comes last."""
    return tuple(sorted(rows, key=lambda row: (row.promised_at is None, row.promised_at or row.opened_utc)))


def due_by(figures: Figures, row: DueRow) -> str:
    """Give the odometer at which a unit is due, empty when only the date counts."""
    return figures.distance(row.odometer_tenths, row.odometer_unit) if row.odometer_tenths is not None else ""


def days_words(days: int) -> str:
    """Say how many days ahead a day lies, or how many behind."""
    if days == 0:
        return _("today")
    if days < 0:
        return _("{n} days ago").format(n=-days) if days < -1 else _("yesterday")
    return _("in {n} days").format(n=days) if days > 1 else _("tomorrow")


def age_words(row: InvoiceRow, today: date) -> str:
    """Say how long an invoice has been open."""
    return days_words((row.issued_on - today).days)


@dataclass(frozen=True, kw_only=True, slots=True)
class Known:
    """How many fluids and parts, unit sheets and measuring tools the shop has written down."""

    fluids: int = 0
    sheets: int = 0
    tools: int = 0

    @property
    def ready(self) -> bool:
        """Whether a service record can be written with what is there."""
        return bool(self.fluids and self.sheets and self.tools)


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstStep:
    """One thing to do first: what it is for, and the page where it is done."""

    words: str
    way: str
    page: str
    subject: str
    done: bool
    state: str


def first_steps(known: Known) -> tuple[FirstStep, ...]:
    """Give what a new shop writes down before its first service record."""
    return (
        _step(
            _("The fluids and parts you keep, with their prices."), _("New item"), "item", "new", known.fluids
        ),
        _step(
            _("A unit sheet for each gearbox or axle you service: fluid, level, torques, interval."),
            _("New sheet"),
            "sheet",
            "",
            known.sheets,
        ),
        _step(
            _("Your measuring tools: a verdict on the level is only as sure as what it was read with."),
            _("Measuring tools"),
            "setup",
            "tools",
            known.tools,
        ),
    )


def _step(words: str, way: str, page: str, subject: str, count: int) -> FirstStep:
    state = _("{n} written down").format(n=count) if count else _("none yet")
    return FirstStep(words=words, way=way, page=page, subject=subject, done=count > 0, state=state)
