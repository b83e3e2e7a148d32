"""How this shop runs its shelf: what it accepts, how it bills fluid, when it wants to be told.

Each setting is declared once, with its default and the text that stands beside it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from gettext import gettext as _

from sqlalchemy import insert, select, update

from shopdesk.domain.errors import NotFound, RuleBroken
from shopdesk.domain.matching import Substitution
from shopdesk.domain.percent import read_percent
from shopdesk.domain.pricing import BillingRule
from shopdesk.domain.units import read_whole
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.shop import setting
from shopdesk.services.acting import Command, Office, Reading, Writing


@dataclass(frozen=True, kw_only=True, slots=True)
class ShelfSettings:
    """All of them, read."""

    substitution: Substitution
    billing_rule: BillingRule
    billing_step_milli: int
    shrinkage_ppm: int
    service_level_ppm: int
    lead_days: int
    demand_days: int
    bill_tolerance_ppm: int


@dataclass(frozen=True, kw_only=True, slots=True)
class DeclaredSetting:
    """One setting: its name, the text beside it, its default as text, its choices (empty: a number)."""

    key: str
    text: str
    default: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class ChangeShelfSetting(Command):
    """A new value for one setting, as text."""

    key: str
    value: str


@dataclass(frozen=True, kw_only=True, slots=True)
class SettingRow:
    """A setting with its present value."""

    key: str
    text: str
    value: str
    choices: tuple[str, ...]


DECLARED: tuple[DeclaredSetting, ...] = (
    DeclaredSetting(
        key="substitution",
        text=N_("What may be put in without asking again"),
        default=Substitution.CLAIMS.value,
        choices=tuple(Substitution),
    ),
    DeclaredSetting(
        key="billing_rule",
        text=N_("What quantity of a fluid is billed"),
        default=BillingRule.MEASURED_STEP.value,
        choices=tuple(BillingRule),
    ),
    DeclaredSetting(
        key="billing_step_milli",
        text=N_("Step to which a measured quantity is rounded up, in thousandths of the sale unit"),
        default="100",
    ),
    DeclaredSetting(
        key="shrinkage_ppm",
        text=N_("Share of what was used that may be missing without a word (per cent)"),
        default="2",
    ),
    DeclaredSetting(
        key="service_level_ppm",
        text=N_("How often the shelf should last until the delivery (per cent)"),
        default="95",
    ),
    DeclaredSetting(key="lead_days", text=N_("Days from order to delivery"), default="4"),
    DeclaredSetting(key="demand_days", text=N_("Days of use that a hint looks back"), default="90"),
    DeclaredSetting(
        key="bill_tolerance_ppm",
        text=N_("By how much a supplier's bill may differ without a word (per cent)"),
        default="1",
    ),
)
_BY_KEY = {each.key: each for each in DECLARED}
_PREFIX = "shelf."


def _whole(least: int, most: int) -> Callable[[str, str], int]:
    return lambda value, field: read_whole(value, field=field, least=least, most=most)


def _share(least_ppm: int, most_ppm: int) -> Callable[[str, str], int]:
    def read(value: str, field: str) -> int:
        ppm = read_percent(value, field=field)
        if not least_ppm <= ppm <= most_ppm:
            sentence = _("Write a share from {least} to {most} per cent.")
            raise RuleBroken(sentence.format(least=least_ppm / 10_000, most=most_ppm / 10_000), field)
        return ppm

    return read


_NUMBERS: Mapping[str, Callable[[str, str], int]] = {
    "billing_step_milli": _whole(1, 1000),
    "shrinkage_ppm": _share(0, 200_000),
    "service_level_ppm": _share(500_000, 999_000),
    "lead_days": _whole(1, 365),
    "demand_days": _whole(14, 730),
    "bill_tolerance_ppm": _share(0, 200_000),
}


def shelf_settings(reading: Reading) -> ShelfSettings:
    """Give what the shop has chosen, or the defaults."""
    values = _values(reading)
    return ShelfSettings(
        substitution=Substitution(values["substitution"]),
        billing_rule=BillingRule(values["billing_rule"]),
        **{key: read(values[key], key) for key, read in _NUMBERS.items()},
    )


def _values(reading: Reading) -> dict[str, str]:
    rows = reading.connection.execute(
        select(setting.c.key, setting.c.value_text).where(setting.c.key.like(f"{_PREFIX}%"))
    )
    kept = {row.key.removeprefix(_PREFIX): row.value_text for row in rows}
    return {each.key: kept.get(each.key, each.default) for each in DECLARED}


def change_setting(writing: Writing, command: ChangeShelfSetting) -> SettingRow:
    """Keep a new value, read by the setting's own rule."""
    declared = _BY_KEY.get(command.key)
    if declared is None:
        raise NotFound(_("There is no such setting."), "key")
    value = command.value.strip()
    if declared.choices and value not in declared.choices:
        sentence = _("Choose one of: {choices}.")
        raise RuleBroken(sentence.format(choices=", ".join(_(each) for each in declared.choices)), "value")
    if not declared.choices:
        _NUMBERS[declared.key](value, "value")
    name = f"{_PREFIX}{declared.key}"
    changed = writing.connection.execute(
        update(setting).where(setting.c.key == name).values(value_text=value, version=setting.c.version + 1)
    )
    if changed.rowcount == 0:
        writing.connection.execute(insert(setting).values(key=name, value_text=value))
    writing.touched.add(setting.name)
    return SettingRow(key=declared.key, text=declared.text, value=value, choices=declared.choices)


class ShelfRules:
    """The room where the shop says how it runs its shelf."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def change(self, command: ChangeShelfSetting) -> SettingRow:
        """Keep a new value of one setting."""
        return self._office.carry_out(command, lambda writing: change_setting(writing, command), SettingRow)

    def settings(self) -> ShelfSettings:
        """Give all settings, read."""
        with self._office.reading() as reading:
            return shelf_settings(reading)

    def rows(self) -> tuple[SettingRow, ...]:
        """Give every setting with its text and its present value."""
        with self._office.reading() as reading:
            values = _values(reading)
        return tuple(
            SettingRow(key=each.key, text=each.text, value=values[each.key], choices=each.choices)
            for each in DECLARED
        )
