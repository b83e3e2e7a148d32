"""A unit over its services: four pictures, its fluid's age, the shop's usual refill, what it loses."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain import units
from shopdesk.domain.level import Arrived, arrived_words
from shopdesk.domain.record import APPEARANCE, ODOUR, PARTICLES
from shopdesk.domain.renewal import AgeRange
from shopdesk.domain.unit_history import LEAST_REFILLS, Outlier
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.fluid_ages import age_words
from shopdesk.services.unit_history import ServiceRow, UnitAbout, UnitHistory
from shopdesk.ui.presenters.verdict import Worked

_WORST = 4
_MARGIN = 0.08
Place = tuple[float, float]


@dataclass(frozen=True, kw_only=True, slots=True)
class Course:
    """One thing over the services: a place (0 to 1 across and up) for each where it is known.

    ``tone`` is a token's name; ``spread`` the bounds (0 to 1) of each place where they are known.
    """

    name: str
    tone: str
    places: tuple[Place | None, ...]
    spread: tuple[Place | None, ...] = ()


@dataclass(frozen=True, kw_only=True, slots=True)
class CoursePicture:
    """A picture over the services. ``told`` is each service in words; ``band`` the sheet's window."""

    name: str
    courses: tuple[Course, ...] = ()
    told: tuple[str, ...] = ()
    upward: tuple[tuple[float, str], ...] = ()
    across: tuple[tuple[float, str], ...] = ()
    band: Place | None = None
    zero: float | None = None
    empty: str = ""

    def sentence(self) -> str:
        """Everything the picture shows, for those who cannot see it."""
        return " ".join(f"{words}." for words in self.told) or self.empty


@dataclass(frozen=True, slots=True)
class _Scale:
    low: float
    high: float

    def at(self, value: float) -> float:
        return (value - self.low) / (self.high - self.low)


def pictures(history: UnitHistory, about: UnitAbout, figures: Figures) -> tuple[CoursePicture, ...]:
    """Give the four pictures: volumes, temperatures, condition, how low it came in."""
    return (
        _volumes(history.services, figures),
        _temperatures(history.services, about, figures),
        _condition(history.services, figures),
        _deficits(history.services, figures),
    )


def _volumes(rows: Sequence[ServiceRow], figures: Figures) -> CoursePicture:
    unit = figures.shop.volume_unit
    values = {
        _("Drained"): ("ink2", [_volume(row.drained_ul, figures) for row in rows]),
        _("Put in"): ("fluid", [_volume(row.put_in_ul, figures) for row in rows]),
    }
    return _picture(_("Drained and put in"), rows, values, shown_unit(unit), figures, from_zero=True)


def _temperatures(rows: Sequence[ServiceRow], about: UnitAbout, figures: Figures) -> CoursePicture:
    values = {
        _("Opened or read at"): ("ink2", [_degrees(row.open_mc, figures) for row in rows]),
        _("Closed at"): ("ink", [_degrees(row.close_mc, figures) for row in rows]),
    }
    window = [_degrees(about.low_mc, figures), _degrees(about.high_mc, figures)]
    unit = shown_unit(figures.shop.temperature_unit)
    return _picture(_("Temperature when the level was set"), rows, values, unit, figures, window=window)


def _condition(rows: Sequence[ServiceRow], figures: Figures) -> CoursePicture:
    values = {
        _("Looks"): ("fluid", [_grade(row.appearance) for row in rows]),
        _("Smell"): ("ink2", [_grade(row.odour) for row in rows]),
        _("Magnet and pan"): ("ink", [_grade(row.particles) for row in rows]),
    }
    found = _picture(
        _("Condition of the old fluid, 0 best"), rows, values, "", figures, from_zero=True, top=_WORST
    )
    told = tuple(_told_condition(row, figures) for row in rows)
    return _replaced(found, told)


def _deficits(rows: Sequence[ServiceRow], figures: Figures) -> CoursePicture:
    unit = shown_unit(figures.shop.volume_unit)
    values = {_("Came in low by (below 0: high)"): ("ink", [_volume(r.deficit_ul, figures) for r in rows])}
    spread = [_volume(row.two_u_ul, figures) for row in rows]
    found = _picture(_("How low it came in"), rows, values, unit, figures, from_zero=True, spread=spread)
    return _replaced(found, tuple(_told_deficit(row, figures) for row in rows))


def _replaced(picture: CoursePicture, told: tuple[str, ...]) -> CoursePicture:
    return CoursePicture(
        name=picture.name,
        courses=picture.courses,
        told=told,
        upward=picture.upward,
        across=picture.across,
        band=picture.band,
        zero=picture.zero,
        empty=picture.empty,
    )


def _picture(
    name: str,
    rows: Sequence[ServiceRow],
    values: dict[str, tuple[str, list[float | None]]],
    unit: str,
    figures: Figures,
    *,
    from_zero: bool = False,
    top: float | None = None,
    window: Sequence[float | None] = (),
    spread: Sequence[float | None] = (),
) -> CoursePicture:
    known = [value for _tone, column in values.values() for value in column if value is not None]
    if not known:
        return CoursePicture(name=name, empty=_("Nothing of it is recorded yet."))
    reach = [v + s for v, s in zip(known, spread, strict=False) if s is not None]
    depth = [v - s for v, s in zip(known, spread, strict=False) if s is not None]
    others = [bound for bound in window if bound is not None] + ([0.0] if from_zero else [])
    others += [] if top is None else [top]
    scale, steps = _scale([*known, *reach, *depth, *others])
    across = _across([row.done_on for row in rows])
    courses = tuple(
        Course(
            name=words,
            tone=tone,
            places=tuple(_place(x, value, scale) for x, value in zip(across, column, strict=True)),
            spread=tuple(_spread(v, s, scale) for v, s in zip(column, spread, strict=False)),
        )
        for words, (tone, column) in values.items()
    )
    low, high = (*window, None, None)[:2]
    return CoursePicture(
        name=name,
        courses=courses,
        told=tuple(_told(row, values, at, unit, figures) for at, row in enumerate(rows)),
        upward=tuple((scale.at(step), f"{_number(step, figures)} {unit}".strip()) for step in steps),
        across=tuple((x, figures.day(row.done_on)) for x, row in zip(across, rows, strict=True)),
        band=None if low is None or high is None else (scale.at(low), scale.at(high)),
        zero=scale.at(0.0) if from_zero and scale.low < 0 else None,
    )


def _scale(values: Sequence[float]) -> tuple[_Scale, tuple[float, ...]]:
    """Give a scale that ends on whole steps of 1, 2 or 5, at most five of them."""
    low, high = min(values), max(values)
    rough = max(high - low, 1e-3) / 4
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(power * times for times in (1, 2, 5, 10) if power * times >= rough)
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    last = max(last, first + 1)
    steps = tuple(number * step for number in range(first, last + 1))
    return _Scale(steps[0], steps[-1]), steps


def _across(days: Sequence[date]) -> list[float]:
    first, last = min(days), max(days)
    length = max(1, (last - first).days)
    room = 1 - 2 * _MARGIN
    if first == last:
        return [0.5 + 0.1 * (at - (len(days) - 1) / 2) for at in range(len(days))]
    return [_MARGIN + room * (day - first).days / length for day in days]


def _place(x: float, value: float | None, scale: _Scale) -> Place | None:
    return None if value is None else (x, scale.at(value))


def _spread(value: float | None, within: float | None, scale: _Scale) -> Place | None:
    if value is None or within is None:
        return None
    return scale.at(value - within), scale.at(value + within)


def _volume(ul: int | None, figures: Figures) -> float | None:
    if ul is None:
        return None
    unit = figures.shop.volume_unit
    shown = f"imp {unit}" if figures.shop.imperial and unit == "qt" else unit
    return float(units.from_ul(ul, shown))


def _degrees(mc: int | None, figures: Figures) -> float | None:
    return None if mc is None else float(units.from_mc(mc, figures.shop.temperature_unit))


def _grade(number: int | None) -> float | None:
    return None if number is None else float(number)


def _number(value: float, figures: Figures) -> str:
    return figures.number(Fraction(str(round(value, 6))), 2, keep_zeros=False)


def _told(
    row: ServiceRow,
    values: dict[str, tuple[str, list[float | None]]],
    at: int,
    unit: str,
    figures: Figures,
) -> str:
    said = [figures.day(row.done_on)]
    for name, (_tone, column) in values.items():
        value = column[at]
        amount = _("not recorded") if value is None else f"{_number(value, figures)} {unit}"
        said.append(f"{name}: {amount}")
    return ", ".join(said)


def _told_condition(row: ServiceRow, figures: Figures) -> str:
    graded = (
        (_("Looks"), row.appearance, APPEARANCE),
        (_("Smell"), row.odour, ODOUR),
        (_("Magnet and pan"), row.particles, PARTICLES),
    )
    said = [
        f"{name}: " + (_("not recorded") if grade is None else f"{grade} {_(words[grade])}")
        for name, grade, words in graded
    ]
    return ", ".join([figures.day(row.done_on), *said])


def _told_deficit(row: ServiceRow, figures: Figures) -> str:
    words = arrived_words(row.arrived)
    if row.deficit_ul is None or row.two_u_ul is None:
        return f"{figures.day(row.done_on)}, {words}"
    amount = f"{figures.volume(abs(row.deficit_ul))} ± {figures.volume(row.two_u_ul)}"
    if row.arrived is Arrived.NO_DIFFERENCE:
        amount = f"{figures.volume(row.deficit_ul)} ± {figures.volume(row.two_u_ul)}"
        words = _("no difference found:")
    return f"{figures.day(row.done_on)}, {words} {amount}"


_NOTHING = AgeRange(average=None, at_least=None, at_most=None, reason="")


def ages(history: UnitHistory, figures: Figures) -> tuple[Worked, Worked]:
    """Say how old the fluid is now on average, by distance and by time, carried through every service."""
    unit = history.distance_unit
    return (
        _age(history, history.age_run, age_words(figures, history.age_run, _NOTHING, unit), figures),
        _age(history, history.age_days, age_words(figures, _NOTHING, history.age_days, unit), figures),
    )


def _age(history: UnitHistory, age: AgeRange, told: str, figures: Figures) -> Worked:
    known = age.average is not None or age.at_most is not None or bool(age.at_least)
    rows = tuple((figures.day(row.done_on), _age_row(row, history, figures)) for row in history.services)
    return Worked(
        words=_capital(told) if known else _("Not known"),
        mark="plain" if known else "unknown",
        note=_age_note(age),
        rows=rows or ((_("Services"), _("none recorded")),),
        formula=_(
            "After each service (1 − new share) × the age before it; between services what was run. What is "
            "not known stays not known, and is at most the vehicle's own."
        ),
    )


def _age_note(run: AgeRange) -> str:
    return "" if run.average is not None else run.reason


def _age_row(row: ServiceRow, history: UnitHistory, figures: Figures) -> str:
    share = _("new share not known") if row.new_share is None else figures.percent(row.new_share)
    shown = figures.distance(row.shown_tenths, history.distance_unit) if row.shown_tenths is not None else ""
    after = age_words(figures, row.age_run, row.age_days, history.distance_unit)
    parts = (shown, _("new: {share}").format(share=share), _("then {age}").format(age=after))
    return ", ".join(part for part in parts if part)


def usual(history: UnitHistory, about: UnitAbout, figures: Figures) -> Worked:
    """Say what this shop usually puts into this designation by one drain and fill."""
    found = history.usual
    if found is None:
        return Worked(words=_("Not known yet"), mark="unknown", note=_("It takes a measured drain and fill."))
    count = ngettext("from {n} refill", "from {n} refills", found.n).format(n=found.n)
    note = count
    if found.n <= LEAST_REFILLS:
        note = _("{count}; an unusual one is pointed out from {least} others on").format(
            count=count, least=LEAST_REFILLS
        )
    return Worked(
        words=f"{figures.volume(found.median_ul)} ± {figures.volume(found.mad_ul)}",
        note=note,
        rows=(
            (_("Unit"), about.designation),
            (_("Median"), figures.volume_both(found.median_ul)),
            (_("Median distance from it"), figures.volume_both(found.mad_ul)),
            (_("Least"), figures.volume_both(found.least_ul)),
            (_("Most"), figures.volume_both(found.most_ul)),
            (_("Refills"), str(found.n)),
        ),
        formula=_("Each refill is put in − spilled − ran out; ± is the median distance from the median."),
    )


def unusual_refill(found: Outlier | None, figures: Figures) -> str:
    """Say that a refill is unlike the shop's others, or nothing."""
    if found is None:
        return ""
    away = figures.volume(abs(found.away_ul))
    return _("{away} from the usual. {sentence}").format(away=away, sentence=found.sentence)


def loss(history: UnitHistory, figures: Figures) -> Worked:
    """Say what the unit loses between services, with its range."""
    found = history.loss
    if found.per_1000_mi_ul is None or found.low_ul is None or found.high_ul is None:
        return Worked(words=_("Cannot be said"), mark="unknown", note=found.sentence)
    rows = [
        (figures.day(row.done_on), _told_deficit(row, figures).partition(", ")[2]) for row in history.services
    ]
    stretches = ngettext("{n} stretch", "{n} stretches", found.n).format(n=found.n)
    return Worked(
        words=_("{amount} per 1,000 mi").format(amount=_ml(found.per_1000_mi_ul, figures)),
        mark="soon" if found.shown else "fine",
        note=_("{low} to {high}. {sentence}").format(
            low=_ml(found.low_ul, figures), high=_ml(found.high_ul, figures), sentence=found.sentence
        ),
        rows=((_("Counted"), stretches), *rows),
        formula=_(
            "What was missing as found, over the distance since the level was set and shown to be set; "
            "± from the balances' own."
        ),
    )


def _ml(ul: int, figures: Figures) -> str:
    return f"{figures.number(Fraction(ul, 1000), 0)} mL"


def service_volume(row: ServiceRow, figures: Figures) -> str:
    """Give what stayed in the unit at a service."""
    return "" if row.refill_ul is None else figures.volume(row.refill_ul)


def service_arrived(row: ServiceRow, figures: Figures) -> str:
    """Give how it came in."""
    if row.arrived is Arrived.NO_DIFFERENCE:
        return _("No difference found")
    return _capital(_told_deficit(row, figures).partition(", ")[2])


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
