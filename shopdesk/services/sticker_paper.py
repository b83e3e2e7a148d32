"""Fills the next-due sticker: two big numbers and nothing that names a person."""

from gettext import gettext as _

from shopdesk.documents.sticker import StickerPaper
from shopdesk.persistence.tables.vehicles import odometer_reading, vehicle
from shopdesk.services.acting import Reading
from shopdesk.services.bay import record_view
from shopdesk.services.duedates import due_by_papers
from shopdesk.services.figures import Figures
from shopdesk.services.shopfacts import ShopFacts
from shopdesk.services.work import the_work_order


def sticker_paper(reading: Reading, record_id: int) -> tuple[str, StickerPaper]:
    """Give the work order's number and the sticker's content."""
    view = record_view(reading, record_id)
    order = the_work_order(reading, view.work_order_id)
    unit = reading.one(vehicle, order.vehicle_id, _("That vehicle is not there.")).odometer_unit
    figures = Figures(reading.shop)
    worked_out = due_by_papers(reading, record_id, view.unit_id)
    due = worked_out.due if worked_out else None
    done_at = ""
    if order.odometer_in_id is not None:
        shown = reading.one(odometer_reading, order.odometer_in_id, _("That reading is not there."))
        done_at = figures.distance(shown.value_tenths, unit)
    day = figures.sticker_day(due.on_by_time) if due and due.on_by_time else ""
    distance = figures.number(due.odometer_tenths // 10, 0) if due and due.odometer_tenths is not None else ""
    return str(order.number), StickerPaper(
        shop_name=reading.shop.name,
        phone=reading.shop.phone,
        item=_("{unit}: fluid").format(unit=view.unit_label),
        done_on=figures.day(view.done_on),
        done_odometer=done_at,
        due_date=day,
        due_odometer=distance,
        odometer_unit=unit,
        instead="" if day or distance else _("INSPECT"),
        qr_text=_symbol_text(
            view.unit_label,
            " / ".join(part for part in (day, f"{distance} {unit}" if distance else "") if part),
            reading.shop,
        ),
    )


#: A square code of this many bytes leaves the numbers their room on the smallest label.
_MOST_BYTES = 100


def _symbol_text(unit: str, due: str, shop: ShopFacts) -> str:
    """Say as much as the square code on a small label can hold; when it is due comes before all else."""
    due = due or _("inspect")
    texts = (
        _("{unit}: next fluid service {due}. {shop} {phone}"),
        _("{unit}: next fluid service {due}. {phone}"),
        _("{unit}: next fluid service {due}."),
        _("Next fluid service {due}."),
    )
    filled = [text.format(unit=unit, due=due, shop=shop.name, phone=shop.phone).strip() for text in texts]
    return next((text for text in filled if len(text.encode()) <= _MOST_BYTES), filled[-1])
