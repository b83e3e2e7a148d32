"""Figures from rules of law that the shop chose to follow, each with its dates and whether it was checked."""

from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _

from sqlalchemy import or_, select

from shopdesk.domain import text
from shopdesk.domain.dated_rules import OFFERED, OfferedRule, RuleKey, unchecked_sentence
from shopdesk.domain.errors import RuleBroken
from shopdesk.persistence.tables.used_oil import chosen_rule
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing


@dataclass(frozen=True, kw_only=True, slots=True)
class ChooseRule(Command):
    """Follow a figure from a day on; ``value`` as text where the shop's differs from the one offered."""

    key: RuleKey
    from_on: date
    value: str = ""
    place: str = ""
    citation: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class StopRule(Command):
    """Do not follow a chosen figure after a day."""

    rule_id: int
    to_on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class CheckRule(Command):
    """Somebody read the rule itself and found the figure right."""

    rule_id: int
    checked_by: str
    on: date | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class ChosenRule:
    """A chosen figure in microlitres; ``remark`` says whether anybody checked it."""

    id: int
    key: RuleKey
    place: str
    value_ul: int
    from_on: date
    to_on: date | None
    citation: str
    checked_by: str
    checked_on: date | None
    remark: str


def offered(key: RuleKey) -> OfferedRule:
    """Give the figure offered under a name."""
    return next(rule for rule in OFFERED if rule.key is key)


def choose_rule(writing: Writing, command: ChooseRule) -> ChosenRule:
    """Follow a figure; the one followed before ends the day before."""
    rule = offered(command.key)
    typed = command.value.strip()
    value = writing.typed_here().volume(typed, "value").value if typed else rule.value_ul
    if value <= 0:
        raise RuleBroken(_("A figure is above nothing."), "value")
    for before in _rows(writing, command.key):
        if before.to_on is None or before.to_on >= command.from_on:
            if before.from_on >= command.from_on:
                sentence = _("A figure of this kind is already followed from {day} on.")
                raise RuleBroken(sentence.format(day=before.from_on.isoformat()), "from_on")
            writing.change(chosen_rule, before.id, to_on=command.from_on - timedelta(days=1))
    rule_id = writing.add(
        chosen_rule,
        rule=command.key.value,
        place=text.clean(command.place, field="place", most=80) or rule.place,
        value_ul=value,
        from_on=command.from_on,
        citation=text.clean(command.citation, field="citation", most=300) or rule.citation,
    )
    return _rule(writing, rule_id)


def stop_rule(writing: Writing, command: StopRule) -> ChosenRule:
    """End a figure."""
    row = writing.one(chosen_rule, command.rule_id, _("That figure is not there."))
    if command.to_on < row.from_on:
        raise RuleBroken(_("The last day lies before the first day."), "to_on")
    writing.change(chosen_rule, row.id, to_on=command.to_on)
    return _rule(writing, row.id)


def check_rule(writing: Writing, command: CheckRule) -> ChosenRule:
    """Note who checked a figure, and when."""
    row = writing.one(chosen_rule, command.rule_id, _("That figure is not there."))
    who = text.required(command.checked_by, field="checked_by", label=_("who checked it"), most=120)
    writing.change(chosen_rule, row.id, checked_by=who, checked_on=command.on or writing.today)
    return _rule(writing, row.id)


def _rows(reading: Reading, key: RuleKey) -> list[AnyRow]:
    return list(
        reading.connection.execute(
            select(chosen_rule).where(chosen_rule.c.rule == key.value).order_by(chosen_rule.c.from_on)
        )
    )


def _rule(reading: Reading, rule_id: int) -> ChosenRule:
    return _view(reading.one(chosen_rule, rule_id, _("That figure is not there.")))


def _view(row: AnyRow) -> ChosenRule:
    return ChosenRule(
        id=row.id,
        key=RuleKey(row.rule),
        place=row.place,
        value_ul=row.value_ul,
        from_on=row.from_on,
        to_on=row.to_on,
        citation=row.citation,
        checked_by=row.checked_by,
        checked_on=row.checked_on,
        remark="" if row.checked_on else unchecked_sentence(),
    )


def rule_on(reading: Reading, key: RuleKey, on: date) -> ChosenRule | None:
    """Give the figure followed on a day, or None while none is chosen."""
    row = reading.connection.execute(
        select(chosen_rule)
        .where(
            chosen_rule.c.rule == key.value,
            chosen_rule.c.from_on <= on,
            or_(chosen_rule.c.to_on.is_(None), chosen_rule.c.to_on >= on),
        )
        .order_by(chosen_rule.c.from_on.desc())
        .limit(1)
    ).one_or_none()
    return None if row is None else _view(row)


class ChosenRules:
    """The room where the shop chooses which figures of law it follows."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def choose(self, command: ChooseRule) -> ChosenRule:
        """Follow a figure from a day on."""
        return self._office.carry_out(command, lambda writing: choose_rule(writing, command), ChosenRule)

    def stop(self, command: StopRule) -> ChosenRule:
        """End a figure."""
        return self._office.carry_out(command, lambda writing: stop_rule(writing, command), ChosenRule)

    def check(self, command: CheckRule) -> ChosenRule:
        """Note who checked a figure."""
        return self._office.carry_out(command, lambda writing: check_rule(writing, command), ChosenRule)

    @staticmethod
    def offered() -> tuple[OfferedRule, ...]:
        """Give every figure that can be chosen."""
        return OFFERED

    def chosen(self) -> tuple[ChosenRule, ...]:
        """Give every figure that was ever chosen, by name and day."""
        with self._office.reading() as reading:
            rows = reading.connection.execute(
                select(chosen_rule).order_by(chosen_rule.c.rule, chosen_rule.c.from_on)
            )
            return tuple(_view(row) for row in rows)
