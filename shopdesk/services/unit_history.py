"""A unit over its services: what was put in, how warm, how it looked, how low it came in, how old it is."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.domain import units
from shopdesk.domain.level import Arrived
from shopdesk.domain.methods import ServiceMethod, lets_fluid_run_out
from shopdesk.domain.proof import ProofVerdict
from shopdesk.domain.record import Facts
from shopdesk.domain.renewal import AgeRange
from shopdesk.domain.unit_history import FoundLow, Loss, Outlier, UsualRefill, loss_between, usual_refill
from shopdesk.persistence.tables.service import service_record
from shopdesk.persistence.tables.stock import item
from shopdesk.persistence.tables.units import unit
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.services.acting import Office, Reading
from shopdesk.services.bay import RecordView, record_view
from shopdesk.services.fluid_ages import Ages, Done, done_of, finished_of, run_now
from shopdesk.services.odometers import history
from shopdesk.services.refills import hint_for, refill_ul, refills_of
from shopdesk.services.sheets import sheet_view


@dataclass(frozen=True, kw_only=True, slots=True)
class ServiceRow:
    """One service of a unit. Volumes in µL, temperatures in 1/1000 °C; None where it is not recorded.

    ``deficit_ul`` is how low it came in (negative: high), None when it cannot be said. The ages are
    those of the fluid right after this service: ``age_run`` in tenths of the dial's unit.
    """

    record_id: int
    done_on: date
    method: ServiceMethod
    shown_tenths: int | None
    drained_ul: int | None
    put_in_ul: int | None
    ran_out_ul: int | None
    refill_ul: int | None
    open_mc: int | None
    close_mc: int | None
    appearance: int | None
    odour: int | None
    particles: int | None
    verdict: ProofVerdict
    arrived: Arrived
    deficit_ul: int | None
    two_u_ul: int | None
    new_share: float | None
    age_run: AgeRange
    age_days: AgeRange


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitHistory:
    """All finished services of a unit, oldest first, and what follows from them together.

    ``age_run`` and ``age_days``: the fluid's age now. ``usual`` is the shop's refill of this
    designation by drain and fill; ``hint`` is about the unit's last one.
    """

    unit_id: int
    distance_unit: str
    services: tuple[ServiceRow, ...]
    age_run: AgeRange
    age_days: AgeRange
    usual: UsualRefill | None
    hint: Outlier | None
    loss: Loss


def unit_history(reading: Reading, unit_id: int) -> UnitHistory:
    """Give a unit's history; NotFound when there is no such unit."""
    thing = reading.one(unit, unit_id, _("That unit is not there any more."))
    known = history(reading, thing.vehicle_id)
    done = tuple(done_of(reading, row) for row in finished_of(reading, unit_id))
    ages = Ages(reading, thing, done)
    rows = tuple(_service_row(each, ages, at) for at, each in enumerate(done))
    refills = refills_of(reading, thing.sheet_id) if thing.sheet_id is not None else {}
    last = done[-1].view.record_id if done else None
    return UnitHistory(
        unit_id=unit_id,
        distance_unit=known.unit,
        services=rows,
        age_run=ages.run_now(run_now(reading, thing.vehicle_id)),
        age_days=ages.days_now(reading.today),
        usual=usual_refill(list(refills.values())),
        hint=hint_for(refills, last),
        loss=loss_between(_stretches(done, rows, known.unit)),
    )


def _service_row(done: Done, ages: Ages, at: int) -> ServiceRow:
    view = done.view
    facts = Facts(each.entry for each in view.entries)
    opened = facts.last("open_temperature") or facts.last("reading_temperature")
    closed = facts.last("close_temperature")
    deficit, two_u, arrived = _deficit(view)
    return ServiceRow(
        record_id=view.record_id,
        done_on=view.done_on,
        method=view.service_method,
        shown_tenths=done.shown_tenths,
        drained_ul=facts.total_ul("drained"),
        put_in_ul=facts.total_ul("put_in"),
        ran_out_ul=facts.total_ul("ran_out"),
        refill_ul=refill_ul(facts, runs_out=lets_fluid_run_out(view.sheet.body.level.method)),
        open_mc=opened.value_int if opened else None,
        close_mc=closed.value_int if closed else None,
        appearance=facts.number("appearance"),
        odour=facts.number("odour"),
        particles=facts.number("particles"),
        verdict=view.outcome.proof.verdict,
        arrived=arrived,
        deficit_ul=deficit,
        two_u_ul=two_u,
        new_share=view.outcome.fresh.share,
        age_run=ages.run_after(at),
        age_days=ages.days_after(at),
    )


_SAID = (Arrived.LOW, Arrived.HIGH, Arrived.NO_DIFFERENCE)


def _deficit(view: RecordView) -> tuple[int | None, int | None, Arrived]:
    """How low the unit came in: by the direct check where one was made, else by the balance."""
    found, balance = view.outcome.found, view.outcome.balance
    if found is not None and found.arrived in _SAID:
        return found.delta_ul, found.two_u_ul, found.arrived
    if balance.arrived in _SAID:
        return balance.delta_ul, balance.two_u_ul, balance.arrived
    return None, None, balance.arrived


def _stretches(done: Sequence[Done], rows: Sequence[ServiceRow], distance_unit: str) -> list[FoundLow]:
    """Each service but the first, with what was run since the one before."""
    found = []
    for at in range(1, len(done)):
        before, now = done[at - 1].run, done[at].run
        known = before is not None and now is not None and before.actual and now.actual
        run = now.tenths - before.tenths if known and now is not None and before is not None else None
        proof = done[at - 1].view.outcome.proof
        found.append(
            FoundLow(
                deficit_ul=rows[at].deficit_ul,
                two_u_ul=rows[at].two_u_ul,
                run_tenths=run if run is not None and run > 0 else None,
                unit=distance_unit,
                proven_before=proof.verdict is ProofVerdict.PROVEN and proof.absolute,
            )
        )
    return found


@dataclass(frozen=True, kw_only=True, slots=True)
class UnitAbout:
    """What a unit is and takes. Volumes in µL; ``fluid_minor_per_l``: the last fluid's price."""

    unit_id: int
    vehicle_id: int
    label: str
    plate: str
    designation: str
    total_ul: int | None
    refill_ul: int | None
    low_mc: int | None
    high_mc: int | None
    fluid: str
    fluid_minor_per_l: Fraction | None


def unit_about(reading: Reading, unit_id: int) -> UnitAbout:
    """Say what a unit is and takes; NotFound when there is no such unit."""
    thing = reading.one(unit, unit_id, _("That unit is not there any more."))
    car = reading.one(vehicle, thing.vehicle_id, _("That vehicle is not there any more."))
    sheet = sheet_view(reading, sheet_id=thing.sheet_id) if thing.sheet_id is not None else None
    low, high = sheet.body.level.window() if sheet is not None else (None, None)
    fluid, price = _last_fluid(reading, unit_id)
    return UnitAbout(
        unit_id=unit_id,
        vehicle_id=car.id,
        label=thing.label,
        plate=car.plate or car.vin,
        designation=sheet.designation if sheet is not None else "",
        total_ul=thing.total_ul or (sheet.total_ul if sheet is not None else None),
        refill_ul=sheet.service_fill_ul if sheet is not None else None,
        low_mc=low,
        high_mc=high,
        fluid=fluid,
        fluid_minor_per_l=price,
    )


def _last_fluid(reading: Reading, unit_id: int) -> tuple[str, Fraction | None]:
    """Give the fluid put in last with its price a litre; nothing where none was named."""
    row = reading.connection.execute(
        select(item.c.name, item.c.sale_unit, item.c.price_minor)
        .join(service_record, service_record.c.item_id == item.c.id)
        .where(service_record.c.unit_id == unit_id)
        .order_by(service_record.c.id.desc())
        .limit(1)
    ).first()
    if row is None:
        return "", None
    litres = units.to_ul(Fraction(1), row.sale_unit) / 1_000_000
    return row.name, Fraction(row.price_minor) / Fraction(litres)


class UnitHistories:
    """The room where a unit is looked at over the years."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def of(self, unit_id: int) -> UnitHistory:
        """Give a unit's history."""
        with self._office.reading() as reading:
            return unit_history(reading, unit_id)

    def about(self, unit_id: int) -> UnitAbout:
        """Say what a unit is and takes."""
        with self._office.reading() as reading:
            return unit_about(reading, unit_id)

    def hint(self, record_id: int) -> Outlier | None:
        """Say whether a record's refill, finished or not, is unusual for its designation."""
        with self._office.reading() as reading:
            view = record_view(reading, record_id)
            if view.service_method is not ServiceMethod.SINGLE:
                return None
            refills = refills_of(reading, view.sheet.sheet_id)
            runs_out = lets_fluid_run_out(view.sheet.body.level.method)
            own = refill_ul(Facts(each.entry for each in view.entries), runs_out=runs_out)
            return None if own is None else hint_for({**refills, record_id: own}, record_id)
