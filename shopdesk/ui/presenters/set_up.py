"""Texts of the set-up pages: the shop, its people, measuring tools, tax rates and papers."""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from gettext import gettext as _

from shopdesk.domain.percent import read_percent
from shopdesk.domain.text import match_key
from shopdesk.domain.units import NumberStyle
from shopdesk.services.acting import Actor
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.instruments import InstrumentKind, InstrumentRow, SaveInstrument
from shopdesk.services.setup import (
    PRINT_CHOICES,
    UNIT_CHOICES,
    AddPerson,
    AddTaxRate,
    EditShop,
    EndTaxRate,
    TaxRateRow,
)
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.exact import exact_step, exact_torque, exact_volume
from shopdesk.ui.presenters.items import class_words

SHOP_FIELDS = ("name", "address", "phone", "email", *UNIT_CHOICES)
PAPER_FIELDS = (*PRINT_CHOICES, "registration_text", "warranty_text")

_ROLES = {
    "owner": lambda: _("Owner"),
    "technician": lambda: _("Technician"),
    "counter": lambda: _("Counter"),
}
_SYSTEMS = {
    "qt": lambda: _("US quarts"),
    "l": lambda: _("liters"),
    "degf": lambda: _("degrees Fahrenheit"),
    "degc": lambda: _("degrees Celsius"),
    "lbf*ft": lambda: _("foot-pounds"),
    "nm": lambda: _("newton meters"),
    "mi": lambda: _("miles"),
    "km": lambda: _("kilometers"),
}


def shop_texts(facts: ShopFacts, fields: Sequence[str]) -> dict[str, str]:
    """Give some of the shop's particulars as texts of a form."""
    return {name: str(getattr(facts, name)) for name in fields}


def edit_shop(texts: Mapping[str, str], facts: ShopFacts, actor: Actor, uid: str) -> EditShop:
    """Give the command that changes some of the shop's particulars; the others stay as they were read."""
    kept = shop_texts(facts, (*SHOP_FIELDS, *PAPER_FIELDS))
    values = {**kept, **texts}
    return EditShop(actor=actor, uid=uid, version=facts.version, **values)  # type: ignore[arg-type]


def unit_choices(field: str, *, imperial: bool) -> list[tuple[str, str]]:
    """Give the units a shop can choose for a field, in words with their sign."""

    def words(unit: str) -> str:
        if unit == "qt" and imperial:
            return _("imperial quarts (qt)")
        return f"{_SYSTEMS[unit]()} ({shown_unit(unit)})"

    return [(unit, words(unit)) for unit in UNIT_CHOICES[field]]


def print_choices(field: str) -> list[tuple[str, str]]:
    """Give the sizes of paper or label a shop can print on."""
    return [(name, name.replace("x", " × ")) for name in PRINT_CHOICES[field]]


def role_words(role: str) -> str:
    """Name somebody's role; one that is not among the usual ones keeps its name."""
    return _ROLES[role]() if role in _ROLES else role


def role_choices() -> list[tuple[str, str]]:
    """Give the usual roles as key and words."""
    return [(role, role_words(role)) for role in ("technician", "counter", "owner")]


def add_person(texts: Mapping[str, str], actor: Actor, uid: str) -> AddPerson:
    """Give the command that takes somebody on."""
    return AddPerson(actor=actor, uid=uid, name=texts["name"], role=texts["role"])


_TOOLS = {
    InstrumentKind.PAN: lambda: _("Graduated pan"),
    InstrumentKind.JUG: lambda: _("Jug or pump"),
    InstrumentKind.THERMOMETER: lambda: _("Thermometer or scan tool"),
    InstrumentKind.TORQUE_WRENCH: lambda: _("Torque wrench"),
}
_TOOL_EXAMPLES = {
    InstrumentKind.PAN: ("50 mL", "100 mL"),
    InstrumentKind.JUG: ("30 mL", "50 mL"),
    InstrumentKind.THERMOMETER: ("2 °C", "1 °C"),
    InstrumentKind.TORQUE_WRENCH: ("2 ft-lb", "1 ft-lb"),
}


def tool_words(kind: InstrumentKind) -> str:
    """Name a kind of measuring tool."""
    return _TOOLS[kind]()


def tool_choices() -> list[tuple[str, str]]:
    """Give the kinds of measuring tool as key and words."""
    return [(kind.value, tool_words(kind)) for kind in InstrumentKind]


def tool_help(kind: InstrumentKind) -> tuple[str, str]:
    """Give the lines beneath "reads to within" and "marks" for a kind of tool."""
    within, marks = _TOOL_EXAMPLES[kind]
    return (
        _("You can read it to ±, such as {example}").format(example=within),
        _("Or the step of its marks, such as {example}: half of it counts").format(example=marks),
    )


def within_words(row: InstrumentRow, shop: ShopFacts) -> str:
    """Say to within what a tool can be read."""
    write: Callable[[int, ShopFacts], str] = {
        InstrumentKind.THERMOMETER: exact_step,
        InstrumentKind.TORQUE_WRENCH: exact_torque,
    }.get(row.kind, exact_volume)
    return f"± {write(row.half_width, shop)}"


def tool_reader(figures: Figures, kind: Callable[[], InstrumentKind], field: str) -> Callable[[str], str]:
    """Give what reads a tool's half-width or marks while they are typed."""

    def read(text: str) -> str:
        typed = Typed(shop=figures.shop, style=NumberStyle.PERSON)
        if kind() is InstrumentKind.THERMOMETER:
            return exact_step(typed.temperature_step(text, field).value, figures.shop)
        if kind() is InstrumentKind.TORQUE_WRENCH:
            return figures.torque(typed.torque(text, field).value)
        return exact_volume(typed.volume(text, field).value, figures.shop)

    return read


def calibration_state(row: InstrumentRow, today: date) -> tuple[str, str]:
    """Say how a tool's calibration stands: the key of its mark, and a word."""
    if row.due_on is None:
        return "plain", ""
    if row.due_on < today:
        return "late", _("Overdue")
    return ("soon", _("Soon")) if (row.due_on - today).days <= 30 else ("fine", _("Fine"))


def save_instrument(
    texts: Mapping[str, str], actor: Actor, uid: str, *, calibrated_on: date | None, due_on: date | None
) -> SaveInstrument:
    """Give the command that keeps a measuring tool."""
    return SaveInstrument(
        actor=actor,
        uid=uid,
        kind=InstrumentKind(texts["kind"]),
        name=texts["name"],
        tolerance=texts["tolerance"],
        marks=texts["marks"],
        calibrated_on=calibrated_on,
        due_on=due_on,
    )


def rate_days(row: TaxRateRow, figures: Figures) -> str:
    """Say from when until when a rate applies."""
    if row.to_on is None:
        return _("from {day}").format(day=figures.day(row.from_on))
    return _("{first} to {last}").format(first=figures.day(row.from_on), last=figures.day(row.to_on))


def rate_state(row: TaxRateRow, today: date) -> tuple[str, str]:
    """Say whether a rate applies: the key of its mark, and a word."""
    if row.from_on > today:
        return "plain", _("To come")
    if row.to_on is not None and row.to_on < today:
        return "plain", _("Ended")
    return "fine", _("In force")


def rate_class(row: TaxRateRow) -> str:
    """Say on what a rate is taken."""
    return class_words(row.tax_class)


def percent_reader(figures: Figures) -> Callable[[str], str]:
    """Give what reads a rate in per cent while it is typed."""
    return lambda text: figures.rate(read_percent(text, field="percent"))


def add_tax_rate(
    texts: Mapping[str, str], actor: Actor, uid: str, *, from_on: date, to_on: date | None
) -> AddTaxRate:
    """Give the command that adds a dated rate."""
    return AddTaxRate(
        actor=actor,
        uid=uid,
        tax_class=texts["tax_class"],
        name=texts["name"],
        percent=texts["percent"],
        from_on=from_on,
        to_on=to_on,
        citation=texts["citation"],
    )


def end_tax_rate(row: TaxRateRow, to_on: date, actor: Actor, uid: str) -> EndTaxRate:
    """Give the command that gives a rate its last day."""
    return EndTaxRate(actor=actor, uid=uid, rate_id=row.id, to_on=to_on)


def not_legal_advice() -> str:
    """Say what the program cannot know about taxes."""
    return _(
        "Rates are your own dated data, each with where it is written. What is taxed, and how much, differs "
        "from place to place and changes. This is not legal or tax advice: ask your tax office or adviser."
    )


def fits(words: Sequence[str], typed: str) -> bool:
    """Say whether every word typed stands somewhere in a row."""
    row = match_key(" ".join(words))
    return all(part in row for part in match_key(typed[:200]).split())
