"""Which fluid suits a unit: judged by its claims and by the shop's or the customer's rule.

The choice is kept with its ground. A fluid that does not suit, or of which nobody knows, needs a
reason; it then stands in the service record as done otherwise, on every paper.
"""

from dataclasses import dataclass
from gettext import gettext as _
from typing import Any

from sqlalchemy import delete, insert, select, update

from shopdesk.domain import text
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.matching import (
    ClaimBasis,
    Match,
    MatchVerdict,
    ProductClaim,
    RuleOf,
    Substitution,
    match,
    match_sentence,
    strength,
)
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.shelf import customer_fluid_rule, fluid_match
from shopdesk.persistence.tables.stock import item, item_claim
from shopdesk.persistence.tables.units import sheet_revision, specification, unit
from shopdesk.persistence.tables.work import work_order
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.deviating import deviate, withdraw
from shopdesk.services.items import ItemKind
from shopdesk.services.ledger import on_hand
from shopdesk.services.shelf_settings import shelf_settings


@dataclass(frozen=True, kw_only=True, slots=True)
class SetCustomerRule(Command):
    """What a customer accepts, as they said it; None goes back to the shop's rule."""

    customer_id: int
    rule: Substitution | None
    said: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class CustomerRule:
    """A customer's own rule, None when the shop's holds."""

    customer_id: int
    rule: Substitution | None
    said: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SuitableFluid:
    """A fluid on the list beside a unit's specification; ``on_hand`` in µL."""

    item_id: int
    name: str
    maker: str
    on_hand: int
    match: Match
    sentence: str


@dataclass(frozen=True, kw_only=True, slots=True)
class KeptMatch:
    """On what ground a record's fluid was chosen."""

    record_id: int
    item_id: int
    verdict: MatchVerdict
    basis: ClaimBasis | None
    licence_no: str
    rule: Substitution
    rule_of: RuleOf
    reason: str
    sentence: str


def set_customer_rule(writing: Writing, command: SetCustomerRule) -> CustomerRule:
    """Keep or take back a customer's own rule."""
    writing.one(customer, command.customer_id, _("That customer is not there."))
    here = customer_fluid_rule.c.customer_id == command.customer_id
    said = text.clean(command.said, field="said", most=1000, lines=True)
    if command.rule is None:
        writing.connection.execute(delete(customer_fluid_rule).where(here))
    else:
        if not said:
            raise RuleBroken(_("Write what the customer said, and when."), "said")
        values = {"rule": command.rule.value, "said_text": said}
        changed = writing.connection.execute(
            update(customer_fluid_rule)
            .where(here)
            .values(version=customer_fluid_rule.c.version + 1, **values)
        )
        if changed.rowcount == 0:
            writing.connection.execute(
                insert(customer_fluid_rule).values(customer_id=command.customer_id, **values)
            )
    writing.touched.add(customer_fluid_rule.name)
    return CustomerRule(customer_id=command.customer_id, rule=command.rule, said=said)


def customer_rule(reading: Reading, customer_id: int) -> CustomerRule:
    """Give a customer's own rule."""
    row = reading.connection.execute(
        select(customer_fluid_rule).where(customer_fluid_rule.c.customer_id == customer_id)
    ).one_or_none()
    return CustomerRule(
        customer_id=customer_id,
        rule=Substitution(row.rule) if row else None,
        said=row.said_text if row else "",
    )


def claims_of(reading: Reading, item_id: int) -> tuple[ProductClaim, ...]:
    """Give an item's claims, by specification."""
    rows = reading.connection.execute(
        select(item_claim.c.specification_id, item_claim.c.basis, item_claim.c.licence_no)
        .where(item_claim.c.item_id == item_id)
        .order_by(item_claim.c.id)
    )
    return tuple(
        ProductClaim(
            specification_id=row.specification_id, basis=ClaimBasis(row.basis), licence_no=row.licence_no
        )
        for row in rows
    )


def judge(reading: Reading, item_id: int, specification_id: int | None, customer_id: int) -> Match:
    """Judge one fluid for a specification and the customer who pays."""
    return match(
        specification_id,
        claims_of(reading, item_id),
        shop_rule=shelf_settings(reading).substitution,
        customer_rule=customer_rule(reading, customer_id).rule,
    )


def suitable_fluids(
    reading: Reading, specification_id: int | None, customer_id: int
) -> tuple[SuitableFluid, ...]:
    """Give every fluid with a claim for a specification: those that fit first, the strongest ground first."""
    name = specification_name(reading, specification_id)
    rows = reading.connection.execute(
        select(item.c.id, item.c.name, item.c.maker_text)
        .join(item_claim, item_claim.c.item_id == item.c.id)
        .where(
            item.c.active,
            item.c.kind == ItemKind.FLUID.value,
            item_claim.c.specification_id == specification_id,
        )
        .order_by(item.c.sort_key)
    ).all()
    found = []
    for row in rows:
        judged = judge(reading, row.id, specification_id, customer_id)
        found.append(
            SuitableFluid(
                item_id=row.id,
                name=row.name,
                maker=row.maker_text,
                on_hand=on_hand(reading, row.id),
                match=judged,
                sentence=match_sentence(judged, product=row.name, specification=name),
            )
        )
    return tuple(sorted(found, key=_turn))


def _turn(each: SuitableFluid) -> tuple[bool, int, bool]:
    basis = each.match.basis
    return each.match.needs_reason, strength(basis) if basis else 9, each.on_hand <= 0


def specification_name(reading: Reading, specification_id: int | None) -> str:
    """Give a specification's name, empty for none."""
    if specification_id is None:
        return ""
    return str(reading.one(specification, specification_id, _("That specification is not there.")).name)


def _record(reading: Reading, record_id: int) -> AnyRow:
    columns: list[Any] = [
        service_record.c.id,
        service_record.c.item_id,
        work_order.c.customer_id,
        sheet_revision.c.specification_id,
    ]
    return reading.connection.execute(
        select(*columns)
        .join(work_order, work_order.c.id == service_record.c.work_order_id)
        .join(sheet_revision, sheet_revision.c.id == service_record.c.sheet_revision_id)
        .where(service_record.c.id == record_id)
    ).one()


def keep_match(writing: Writing, record_id: int, reason: str) -> None:
    """Keep on what ground a record's fluid was chosen; a misfit stands as a deviation with its reason.

    The deviation of a fluid chosen before is withdrawn: it was not put in.
    """
    record = _record(writing, record_id)
    before = _last(writing, record_id)
    if before is not None and before.entry_id is not None:
        withdraw(writing, record_id, before.entry_id, _("another fluid was chosen"))
    if record.item_id is None:
        return
    found = judge(writing, record.item_id, record.specification_id, record.customer_id)
    why = text.clean(reason, field="match_reason", most=1000)
    sentence = _sentence(writing, found, record.item_id, record.specification_id)
    if found.needs_reason and not why:
        ask = _("Write why it is put in all the same.")
        raise RuleBroken(f"{sentence} {ask}", "match_reason")
    entry_id = deviate(writing, record_id, sentence, why) if found.needs_reason else None
    writing.add_chained(
        fluid_match,
        record_id=record_id,
        item_id=record.item_id,
        specification_id=record.specification_id,
        verdict=found.verdict.value,
        basis=found.basis.value if found.basis else "",
        licence_no=found.licence_no,
        rule=found.rule.value,
        rule_of=found.rule_of.value,
        reason=why,
        entry_id=entry_id,
    )


def _sentence(reading: Reading, found: Match, item_id: int, specification_id: int | None) -> str:
    product = reading.one(item, item_id, _("That item is not there.")).name
    return match_sentence(found, product=product, specification=specification_name(reading, specification_id))


def _last(reading: Reading, record_id: int) -> AnyRow | None:
    return reading.connection.execute(
        select(fluid_match)
        .where(fluid_match.c.record_id == record_id)
        .order_by(fluid_match.c.id.desc())
        .limit(1)
    ).one_or_none()


def kept_match(reading: Reading, record_id: int) -> KeptMatch | None:
    """Give on what ground a record's fluid was chosen, None for records from before that was kept."""
    row = _last(reading, record_id)
    if row is None:
        return None
    found = Match(
        verdict=MatchVerdict(row.verdict),
        rule=Substitution(row.rule),
        rule_of=RuleOf(row.rule_of),
        basis=ClaimBasis(row.basis) if row.basis else None,
        licence_no=row.licence_no,
    )
    return KeptMatch(
        record_id=record_id,
        item_id=row.item_id,
        verdict=found.verdict,
        basis=found.basis,
        licence_no=found.licence_no,
        rule=found.rule,
        rule_of=found.rule_of,
        reason=row.reason,
        sentence=_sentence(reading, found, row.item_id, row.specification_id),
    )


def specification_of_unit(reading: Reading, unit_id: int) -> int | None:
    """Give the specification of a unit's sheet in its newest revision, None without a sheet."""
    thing = reading.one(unit, unit_id, _("That unit is not there any more."))
    return reading.connection.execute(
        select(sheet_revision.c.specification_id)
        .where(sheet_revision.c.sheet_id == thing.sheet_id)
        .order_by(sheet_revision.c.revision.desc())
        .limit(1)
    ).scalar()


class Matching:
    """The room where fluids are matched with units."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def set_customer_rule(self, command: SetCustomerRule) -> CustomerRule:
        """Keep or take back a customer's own rule."""
        return self._office.carry_out(
            command, lambda writing: set_customer_rule(writing, command), CustomerRule
        )

    def customer_rule(self, customer_id: int) -> CustomerRule:
        """Give a customer's own rule."""
        with self._office.reading() as reading:
            return customer_rule(reading, customer_id)

    def for_unit(self, unit_id: int, customer_id: int) -> tuple[SuitableFluid, ...]:
        """Give the fluids that suit a unit, the best first."""
        with self._office.reading() as reading:
            return suitable_fluids(reading, specification_of_unit(reading, unit_id), customer_id)

    def judge(self, item_id: int, unit_id: int, customer_id: int) -> tuple[Match, str]:
        """Judge one fluid for a unit before it is chosen; gives the match and its sentence."""
        with self._office.reading() as reading:
            specification_id = specification_of_unit(reading, unit_id)
            found = judge(reading, item_id, specification_id, customer_id)
            return found, _sentence(reading, found, item_id, specification_id)

    def of_record(self, record_id: int) -> KeptMatch | None:
        """Give on what ground a record's fluid was chosen."""
        with self._office.reading() as reading:
            return kept_match(reading, record_id)
