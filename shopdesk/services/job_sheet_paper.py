"""Fills the job sheet: the unit's own sheet in the order of work, with cautions and boxes to write in."""

from collections.abc import Iterator, Sequence
from gettext import gettext as _

from sqlalchemy import select

from shopdesk.documents.facts import TextBlock
from shopdesk.documents.job_sheet import JobSheetPaper, JobStep, TorqueRow, WriteBox
from shopdesk.domain.cautions import Caution, caution_text, cautions_for, cautions_for_step
from shopdesk.domain.methods import SELECTOR_KINDS, LevelMethod, ServiceMethod
from shopdesk.domain.order import Step
from shopdesk.persistence.tables.customers import customer
from shopdesk.persistence.tables.shop import person
from shopdesk.persistence.tables.vehicles import vehicle
from shopdesk.services.acting import AnyRow, Reading
from shopdesk.services.bay import RecordView, record_view
from shopdesk.services.figures import Figures, shown_unit
from shopdesk.services.paper_parts import odometer_words
from shopdesk.services.record_paper import source_words
from shopdesk.services.vehicles import vehicle_words
from shopdesk.services.work import the_work_order


def job_sheet_paper(reading: Reading, record_id: int) -> JobSheetPaper:
    """Give the job sheet's content for one service record."""
    view = record_view(reading, record_id)
    order = the_work_order(reading, view.work_order_id)
    car = reading.one(vehicle, order.vehicle_id, _("That vehicle is not there."))
    payer = reading.one(customer, order.customer_id, _("That customer is not there."))
    figures = Figures(reading.shop)
    level = view.sheet.body.level
    fill = view.sheet.service_fill_ul
    return JobSheetPaper(
        shop_name=reading.shop.name,
        number=str(order.number),
        vehicle=vehicle_words(car),
        plate=car.plate,
        vin=car.vin,
        unit=view.unit_label,
        key_tag=order.key_tag,
        parked_at=order.parked_text,
        odometer_in=odometer_words(reading, order.odometer_in_id, car.odometer_unit),
        promised=figures.stamp(order.promised_at) if order.promised_at else "",
        technician=_technician(reading, view),
        service_method=_(view.service_method),
        specification=view.sheet.specification,
        product=view.item_name,
        planned_quantity=figures.volume_both(fill) if fill else _("not on the sheet"),
        level_method=_(level.method),
        window=figures.window(level.window_low_mc, level.window_high_mc),
        complaint=order.complaint,
        warnings=tuple(text for text in (car.warning, payer.warning) if text),
        steps=_steps(view),
        boxes=_boxes(figures, view),
        torques=_torques(figures, view),
        cautions=_cautions(view, wheel_off=order.wheel_off),
        notes=_notes(order),
        source=source_words(figures, view, personal=True),
    )


def _technician(reading: Reading, view: RecordView) -> str:
    if view.people:
        return ", ".join(view.people)
    return str(
        reading.connection.execute(
            select(person.c.name).where(person.c.role == "technician").limit(1)
        ).scalar()
        or ""
    )


def _wanted_steps(view: RecordView) -> tuple[Step, ...]:
    if view.service_method is not ServiceMethod.LEVEL_CHECK:
        return view.sheet.body.steps
    drains = (Step.DRAINED, Step.DRAIN_PLUG_TORQUED)
    return tuple(step for step in view.sheet.body.steps if step not in drains)


def _steps(view: RecordView) -> tuple[JobStep, ...]:
    return tuple(
        JobStep(text=_(step).capitalize(), cautions=tuple(caution_text(each) for each in cautions))
        for step, cautions in first_cautions(view, _wanted_steps(view))
    )


def first_cautions(view: RecordView, steps: Sequence[Step]) -> Iterator[tuple[Step, tuple[Caution, ...]]]:
    """Give each step with the cautions that no earlier step carried, so that none is read past."""
    shown: set[Caution] = set()
    for step in steps:
        all_of_it = cautions_for_step(step, kind=view.unit_kind, level_method=view.sheet.body.level.method)
        yield step, tuple(caution for caution in all_of_it if caution not in shown)
        shown |= set(all_of_it)


def _cautions(view: RecordView, *, wheel_off: bool) -> tuple[str, ...]:
    """Give what no step carries: the rest of the usual ones, and the sheet's own."""
    beside = {caution for _step, each in first_cautions(view, _wanted_steps(view)) for caution in each}
    cautions = cautions_for(
        view.unit_kind,
        level_method=view.sheet.body.level.method,
        service_method=view.service_method,
        wheel_off=wheel_off,
    )
    rest = tuple(caution_text(caution) for caution in cautions if caution not in beside)
    return rest + view.sheet.body.cautions


def _boxes(figures: Figures, view: RecordView) -> tuple[WriteBox, ...]:
    volume, degrees = shown_unit(figures.shop.volume_unit), shown_unit(figures.shop.temperature_unit)
    torque = shown_unit(figures.shop.torque_unit)
    level = view.sheet.body.level
    labels = [
        (_("Drained"), volume, view.service_method is not ServiceMethod.LEVEL_CHECK),
        (_("Put in"), volume, True),
        (_("Spilled"), volume, True),
        (_("Ran out at level check"), volume, True),
        (_("Fluid in the pan, temperature"), degrees, True),
        (_("Level plug opened at"), degrees, level.method is LevelMethod.OVERFLOW_TUBE),
        (_("Level plug closed at"), degrees, level.method is LevelMethod.OVERFLOW_TUBE),
        (_("Time opened"), "", level.method is LevelMethod.OVERFLOW_TUBE),
        (_("Time closed"), "", level.method is LevelMethod.OVERFLOW_TUBE),
        (_("Seconds per selector position"), "s", view.unit_kind in SELECTOR_KINDS),
        (_("Fill plug torque"), torque, True),
        (_("Drain plug torque"), torque, view.sheet.body.has_drain_plug),
        (_("New washers (which)"), "", True),
        (_("Odometer out"), "", True),
    ]
    return tuple(WriteBox(label=label, unit=unit) for label, unit, is_wanted in labels if is_wanted)


def _torques(figures: Figures, view: RecordView) -> tuple[TorqueRow, ...]:
    washers = {washer.plug: washer.text for washer in view.sheet.body.washers}
    rows = []
    for torque in view.sheet.body.torques:
        words = figures.torque(torque.torque_mnm)
        if torque.tolerance_mnm is not None:
            words = f"{words} ± {figures.torque(torque.tolerance_mnm)}"
        rows.append(TorqueRow(fastener=_(torque.plug), torque=words, note=washers.get(torque.plug, "")))
    return tuple(rows)


def _notes(order: AnyRow) -> tuple[TextBlock, ...]:
    blocks = []
    if order.wheel_off:
        text = _("A wheel comes off: record the wheel-nut torque before the work is finished.")
        blocks.append(TextBlock(title=_("Wheel off"), text=text))
    if order.note:
        blocks.append(TextBlock(title=_("Note"), text=order.note))
    return tuple(blocks)
