"""How old the fluid of a unit is: its services and the odometer as the rules of fluid age take them."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from gettext import gettext as _
from gettext import ngettext
from itertools import pairwise

from sqlalchemy import select

from shopdesk.domain.fluid_age import Beginning, Serviced, age_now
from shopdesk.domain.methods import ServiceMethod
from shopdesk.domain.record import Facts
from shopdesk.domain.renewal import AgeRange, FreshShare
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.units import unit
from shopdesk.persistence.tables.vehicles import odometer_reading, odometer_segment, vehicle
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.bay import RecordView, record_view
from shopdesk.services.figures import Figures
from shopdesk.services.odometers import history


@dataclass(frozen=True, kw_only=True, slots=True)
class Run:
    """What the vehicle had run in all, in tenths of its dial's unit, across replaced instruments."""

    tenths: int
    actual: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class Done:
    """A finished record with what the vehicle had run then, None without an odometer reading."""

    view: RecordView
    run: Run | None
    shown_tenths: int | None


def age_after(reading: Reading, record_id: int) -> tuple[AgeRange, AgeRange, str]:
    """Give the fluid's age right after a service, finished or not: distance in tenths, days, dial's unit."""
    row = reading.one(service_record, record_id, _("That service record is not there."))
    thing = reading.one(unit, row.unit_id, _("That unit is not there any more."))
    earlier = [each for each in finished_of(reading, row.unit_id) if _before(each, row)]
    done = tuple(done_of(reading, each) for each in [*earlier, row])
    ages = Ages(reading, thing, done)
    return (
        ages.run_after(len(done) - 1),
        ages.days_after(len(done) - 1),
        history(reading, thing.vehicle_id).unit,
    )


def age_words(figures: Figures, run: AgeRange, days: AgeRange, distance_unit: str) -> str:
    """Say how old the fluid is, by distance and by time, each with its bounds; rounded outwards."""
    told = [
        _bounds(run, lambda tenths, up: figures.distance(_whole(tenths, 10, up=up) * 10, distance_unit)),
        _bounds(days, lambda count, up: _months(_whole(count * 100, 3044, up=up))),
    ]
    said = [each for each in told if each]
    return ", ".join(said) if said else _("not known: {reason}").format(reason=run.reason)


def _bounds(age: AgeRange, words: Callable[[int, bool], str]) -> str:
    if age.average is not None:
        return _("about {age}").format(age=words(age.average, True))
    if age.at_most is None:
        return _("at least {age}").format(age=words(age.at_least, False)) if age.at_least else ""
    most = words(age.at_most, True)
    if age.at_least:
        return _("{least} to {most}").format(least=words(age.at_least, False), most=most)
    return _("at most {age}").format(age=most)


def _whole(value: int, by: int, *, up: bool) -> int:
    return -(-value // by) if up else value // by


def _months(count: int) -> str:
    return ngettext("{n} month", "{n} months", count).format(n=count)


def _before(each: AnyRow, row: AnyRow) -> bool:
    return bool((each.done_on, each.id) < (row.done_on, row.id))


def finished_of(reading: Reading, unit_id: int) -> Sequence[AnyRow]:
    """Give the finished records of a unit, oldest first."""
    return reading.connection.execute(
        select(service_record)
        .where(service_record.c.unit_id == unit_id, service_record.c.finished_utc.is_not(None))
        .order_by(service_record.c.done_on, service_record.c.id)
    ).all()


def done_of(reading: Reading, row: AnyRow) -> Done:
    """Give a record with what the vehicle had run then."""
    run, shown = _run_at(reading, row.odometer_id)
    return Done(view=record_view(reading, row.id), run=run, shown_tenths=shown)


def _run_at(reading: Reading, odometer_id: int | None) -> tuple[Run | None, int | None]:
    if odometer_id is None:
        return None, None
    row = reading.connection.execute(
        select(odometer_reading, odometer_segment.c.base_tenths)
        .join(odometer_segment, odometer_segment.c.id == odometer_reading.c.segment_id)
        .where(odometer_reading.c.id == odometer_id)
    ).one()
    return Run(tenths=row.value_tenths + row.base_tenths, actual=row.actual), row.value_tenths


def run_now(reading: Reading, vehicle_id: int) -> int | None:
    """What the vehicle had run at its last reading that nobody doubts."""
    known = history(reading, vehicle_id)
    bases = {segment.number: segment.base_tenths for segment in known.segments}
    runs = [fact.tenths + bases.get(fact.segment, 0) for fact in known.facts if not fact.doubtful]
    return runs[-1] if runs else None


class Ages:
    """The fluid's age through the services of one stay of a unit in its vehicle."""

    def __init__(self, reading: Reading, thing: AnyRow, done: Sequence[Done]) -> None:
        self._done = done
        self._built_with = thing.installed_on is None and thing.installed_tenths is None
        row = reading.one(vehicle, thing.vehicle_id, _("That vehicle is not there any more."))
        # A model year may begin in the year before; the bound must not be too low.
        self._built_on = date(row.year - 1, 1, 1) if row.year and self._built_with else None

    def run_after(self, at: int) -> AgeRange:
        """Give the age in distance right after one of the services."""
        runs = [each.run for each in self._done[: at + 1]]
        known = [run.tenths for run in runs if run is not None and run.actual]
        if len(known) < len(runs) or known != sorted(known):
            return _not_said(_("The odometer at one of the services is not known."))
        between = [later - before for before, later in pairwise(known)]
        return self._after(at, between, known[0] if self._built_with else None)

    def days_after(self, at: int) -> AgeRange:
        """Give the age in days right after one of the services."""
        days = [each.view.done_on for each in self._done[: at + 1]]
        bound = None if self._built_on is None else max(0, (days[0] - self._built_on).days)
        return self._after(at, [(later - before).days for before, later in pairwise(days)], bound)

    def _after(self, at: int, between: Sequence[int], bound: int | None) -> AgeRange:
        services = [
            Serviced(run=run, share=_share(each.view))
            for run, each in zip((0, *between), self._done[: at + 1], strict=True)
        ]
        return age_now(Beginning(age=None, at_most=bound), services, 0)

    def run_now(self, run: int | None) -> AgeRange:
        """Give the age in distance now."""
        if not self._done:
            return _unknown(run if self._built_with else None)
        last = self._done[-1].run
        after = self.run_after(len(self._done) - 1)
        if run is None or last is None or run < last.tenths:
            return _not_said(_("The odometer since the last service is not known."))
        return _later(after, run - last.tenths)

    def days_now(self, today: date) -> AgeRange:
        """Give the age in days now."""
        if not self._done:
            return _unknown((today - self._built_on).days if self._built_on else None)
        last = self._done[-1].view.done_on
        return _later(self.days_after(len(self._done) - 1), max(0, (today - last).days))


def _share(view: RecordView) -> FreshShare:
    """A level that was only looked at renews nothing; that is known, not unknown."""
    used = Facts(each.entry for each in view.entries).used_ul()
    if view.service_method is ServiceMethod.LEVEL_CHECK and not used:
        return FreshShare(share=0.0, low=0.0, high=0.0, assumption="")
    return view.outcome.fresh


def _later(age: AgeRange, more: int) -> AgeRange:
    """The age after so much more; what is not said stays so."""
    if age.at_least is None:
        return age
    return AgeRange(
        average=None if age.average is None else age.average + more,
        at_least=age.at_least + more,
        at_most=None if age.at_most is None else age.at_most + more,
        reason=age.reason,
    )


def _not_said(reason: str) -> AgeRange:
    return AgeRange(average=None, at_least=None, at_most=None, reason=reason)


def _unknown(at_most: int | None) -> AgeRange:
    return AgeRange(
        average=None, at_least=None, at_most=at_most, reason=_("No service of this unit is known.")
    )
