"""Out of which containers a service's fluid came, checked against what was put in; and what is billed for it.

Several containers, of several products, may go into one unit (a bottle of friction modifier is part
of what was put in). What a container gave is read before and after, or written as a quantity; the
last saying of a record stands. Physical use and billed quantity are two numbers, each by its own rule.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import text
from shopdesk.domain.budget import root_sum_of_squares
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.ledger import Source
from shopdesk.domain.pricing import BillingRule, billed_quantity_milli
from shopdesk.domain.record import Facts
from shopdesk.persistence.engine import int_sum
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.shelf import record_draw
from shopdesk.persistence.tables.stock import container, stock_move
from shopdesk.persistence.tables.units import sheet_revision
from shopdesk.services.acting import AnyRow, Command, Reading, Writing, new_uid
from shopdesk.services.cards import card_of
from shopdesk.services.containers import container_view
from shopdesk.services.deviating import deviate
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.items import ItemKind, item_view, quantity_of
from shopdesk.services.ledger import QUARANTINE
from shopdesk.services.reserving import sale_unit_quantity
from shopdesk.services.shelf_settings import shelf_settings
from shopdesk.services.typed import under


@dataclass(frozen=True, kw_only=True, slots=True)
class SourceTyped:
    """One container: read ``before`` and ``after``, each to ± ``within``; or the ``quantity`` it gave.

    A container past its day needs a ``reason``.
    """

    container_id: int
    before: str = ""
    after: str = ""
    quantity: str = ""
    within: str = ""
    reason: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class SaySources(Command):
    """All containers a record's fluid came from, in the order they were poured."""

    record_id: int
    sources: tuple[SourceTyped, ...]


@dataclass(frozen=True, kw_only=True, slots=True)
class SourceRow:
    """What one container gave, in its item's base unit."""

    container_id: int
    label: str
    lot: str
    item_id: int
    item: str
    before: int | None
    after: int | None
    quantity: int
    half_width: int


@dataclass(frozen=True, kw_only=True, slots=True)
class PourCheck:
    """What the containers gave against what was put in (µL).

    ``difference_ul`` is given less put in; None when one of the two is not known. ``agrees`` when it
    is within ``limit_ul``, what the readings can show.
    """

    sources: tuple[SourceRow, ...]
    given_ul: int
    put_in_ul: int | None
    difference_ul: int | None
    limit_ul: int
    agrees: bool | None
    sentence: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Billed:
    """What is billed for a record's fluid by its rule, beside what was used; thousandths of the sale unit."""

    item_id: int
    rule: BillingRule
    quantity_milli: int
    sale_unit: str
    used_ul: int
    sentence: str


def say_sources(writing: Writing, command: SaySources) -> tuple[SourceRow, ...]:
    """Keep out of which containers a record's fluid came."""
    record = writing.one(service_record, command.record_id, _("That service record is not there."))
    if record.finished_utc is not None:
        raise RuleBroken(_("This service record is finished; count the containers instead."), "record_id")
    group = new_uid()
    seen: set[int] = set()
    for position, typed in enumerate(command.sources, start=1):
        with under(f"sources/{position - 1}"):
            values = _read_source(writing, record.id, typed, seen)
        writing.add_chained(record_draw, record_id=record.id, group_uid=group, position=position, **values)
    if not command.sources:
        raise RuleBroken(_("Say at least one container."), "sources")
    return source_rows(writing, record.id)


def _read_source(writing: Writing, record_id: int, typed: SourceTyped, seen: set[int]) -> dict[str, object]:
    box = container_view(writing, typed.container_id)
    if box.id in seen:
        raise RuleBroken(_("This container stands here twice."), "container_id")
    seen.add(box.id)
    if box.state == QUARANTINE:
        raise RuleBroken(_("This container was put aside; release it first, with a reason."), "container_id")
    if box.good_until is not None and box.good_until < writing.today:
        reason = text.clean(typed.reason, field="reason", most=1000)
        if not reason:
            raise RuleBroken(_("Its best-before day has passed; write why it is used."), "reason")
        sentence = _("{container}: used after its best-before day").format(container=box.label)
        deviate(writing, record_id, sentence, reason)
    goods = item_view(writing, box.item_id)
    if goods.kind is not ItemKind.FLUID:
        raise RuleBroken(_("That container holds no fluid."), "container_id")
    return {"container_id": box.id, **_volumes(writing, typed, box.capacity)}


def _volumes(writing: Writing, typed: SourceTyped, capacity: int) -> dict[str, object]:
    within = quantity_of(writing, ItemKind.FLUID, typed.within, "within") if typed.within.strip() else 0
    said = " → ".join(part for part in (typed.before.strip(), typed.after.strip()) if part)
    kept: dict[str, object] = {"half_width": within, "typed": (said or typed.quantity.strip())[:200]}
    if typed.quantity.strip():
        quantity = quantity_of(writing, ItemKind.FLUID, typed.quantity, "quantity")
        return kept | {"before_quantity": None, "after_quantity": None, "quantity": quantity}
    before = quantity_of(writing, ItemKind.FLUID, typed.before, "before")
    after = quantity_of(writing, ItemKind.FLUID, typed.after, "after")
    if before > capacity:
        raise RuleBroken(_("That is more than the container can hold; read again."), "before")
    if after > before:
        raise RuleBroken(_("After pouring there is not more in it than before."), "after")
    both = round(root_sum_of_squares((within, within)))
    return kept | {
        "before_quantity": before,
        "after_quantity": after,
        "quantity": before - after,
        "half_width": both,
    }


def source_rows(reading: Reading, record_id: int) -> tuple[SourceRow, ...]:
    """Give the containers that stand for a record: those of its last saying."""
    rows = _standing(reading, record_id)
    return tuple(_source_row(reading, row) for row in rows)


def _standing(reading: Reading, record_id: int) -> Sequence[AnyRow]:
    last = (
        select(record_draw.c.group_uid)
        .where(record_draw.c.record_id == record_id)
        .order_by(record_draw.c.id.desc())
        .limit(1)
        .scalar_subquery()
    )
    return reading.connection.execute(
        select(record_draw)
        .where(record_draw.c.record_id == record_id, record_draw.c.group_uid == last)
        .order_by(record_draw.c.position)
    ).all()


def _source_row(reading: Reading, row: AnyRow) -> SourceRow:
    box = container_view(reading, row.container_id)
    return SourceRow(
        container_id=box.id,
        label=box.label,
        lot=box.lot,
        item_id=box.item_id,
        item=box.item,
        before=row.before_quantity,
        after=row.after_quantity,
        quantity=row.quantity,
        half_width=row.half_width,
    )


def sources_by_item(reading: Reading, record_id: int) -> Mapping[int, tuple[Source, ...]]:
    """Give what each item's containers gave a record, less what left the shelf for it before."""
    already = {
        row.container_id: -int(row.quantity)
        for row in reading.connection.execute(
            select(stock_move.c.container_id, int_sum(stock_move.c.quantity).label("quantity"))
            .where(stock_move.c.record_id == record_id)
            .group_by(stock_move.c.container_id)
        )
    }
    found: dict[int, tuple[Source, ...]] = {}
    rows = _standing(reading, record_id)
    items = _items_of(reading, [row.container_id for row in rows])
    for row in rows:
        left = max(0, row.quantity - already.get(row.container_id, 0))
        item_id = items[row.container_id]
        found[item_id] = (*found.get(item_id, ()), (row.container_id, left))
    return found


def said_by_item(reading: Reading, record_id: int) -> Mapping[int, int]:
    """Give how much of each item the containers gave a record altogether."""
    rows = _standing(reading, record_id)
    items = _items_of(reading, [row.container_id for row in rows])
    said: dict[int, int] = {}
    for row in rows:
        item_id = items[row.container_id]
        said[item_id] = said.get(item_id, 0) + row.quantity
    return said


def _items_of(reading: Reading, container_ids: Sequence[int]) -> Mapping[int, int]:
    rows = reading.connection.execute(
        select(container.c.id, container.c.item_id).where(container.c.id.in_(set(container_ids)))
    )
    return {row.id: row.item_id for row in rows}


def pour_check(reading: Reading, record_id: int, facts: Facts) -> PourCheck:
    """Check what the containers gave against what was put in."""
    rows = source_rows(reading, record_id)
    given, put_in = sum(row.quantity for row in rows), facts.used_ul()
    reading_of = facts.volume("put_in")
    limit = round(
        root_sum_of_squares(
            (*(row.half_width for row in rows), reading_of.half_width_ul if reading_of else 0)
        )
    )
    difference = given - put_in if rows and put_in is not None else None
    return PourCheck(
        sources=rows,
        given_ul=given,
        put_in_ul=put_in,
        difference_ul=difference,
        limit_ul=limit,
        agrees=None if difference is None else abs(difference) <= limit,
        sentence=_pour_sentence(reading, given, put_in, difference, limit),
    )


def _pour_sentence(
    reading: Reading, given: int, put_in: int | None, difference: int | None, limit: int
) -> str:
    if difference is None or put_in is None:
        return _("Cannot be checked: the containers or what was put in were not recorded.")
    volume = Figures(reading.shop).volume
    words = {"given": volume(given), "put_in": volume(put_in), "difference": volume(abs(difference))}
    if abs(difference) <= limit:
        return _("The containers gave {given}, {put_in} was put in: no difference that shows.").format(
            **words
        )
    if difference > 0:
        return _("The containers gave {given}, but {put_in} was put in: {difference} more.").format(**words)
    return _("The containers gave {given}, but {put_in} was put in: {difference} less.").format(**words)


def billed_for(reading: Reading, record_id: int, facts: Facts) -> Billed | None:
    """Give what is billed for a record's fluid by its rule; None when no fluid was chosen."""
    columns = (service_record.c.item_id, sheet_revision.c.service_fill_ul)
    row = reading.connection.execute(
        select(*columns)
        .join(sheet_revision, sheet_revision.c.id == service_record.c.sheet_revision_id)
        .where(service_record.c.id == record_id)
    ).one()
    if row.item_id is None:
        return None
    goods, settings = item_view(reading, row.item_id), shelf_settings(reading)
    rule = card_of(reading, goods.id).billing_rule or settings.billing_rule
    others = sum(
        quantity for item_id, quantity in said_by_item(reading, record_id).items() if item_id != goods.id
    )
    used = max(0, (facts.used_ul() or 0) - others)
    quantity = billed_quantity_milli(
        rule,
        pumped_ul=used,
        sale_unit_ul=sale_unit_quantity(reading.shop, goods.kind, goods.sale_unit),
        step_milli=settings.billing_step_milli,
        package_ul=goods.package_quantity,
        sheet_ul=row.service_fill_ul,
    )
    figures = Figures(reading.shop)
    sentence = _("{used} used; {billed} {unit} billed: {rule}.")
    return Billed(
        item_id=goods.id,
        rule=rule,
        quantity_milli=quantity,
        sale_unit=goods.sale_unit,
        used_ul=used,
        sentence=sentence.format(
            used=figures.volume(used),
            billed=figures.pieces(quantity),
            unit=shown_unit(goods.sale_unit),
            rule=_(rule),
        ),
    )
