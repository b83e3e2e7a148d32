"""Texts of a lot that is looked after: the vehicles that had it, and what of it is still here."""

from gettext import gettext as _
from gettext import ngettext

from shopdesk.services.figures import Figures
from shopdesk.services.recall import Recall, RecalledContainer, RecalledVehicle


def lot_note(found: Recall) -> str:
    """Say in a line how far a lot went."""
    cars, boxes = len({each.vehicle_id for each in found.vehicles}), len(found.containers)
    if not cars and not boxes:
        return _("No container on the list has this lot.")
    return " · ".join(
        (
            ngettext("{n} vehicle had it", "{n} vehicles had it", cars).format(n=cars),
            ngettext("{n} container", "{n} containers", boxes).format(n=boxes),
        )
    )


def plate_words(row: RecalledVehicle) -> str:
    """Name a vehicle by its plate, else by the end of its VIN."""
    return row.plate or row.vin[-8:] or "—"


def whom_words(row: RecalledVehicle) -> str:
    """Name who keeps a vehicle, and who paid then where that was somebody else."""
    paid = _("(paid by {name})").format(name=row.order_customer) if row.order_customer else ""
    return " ".join(part for part in (row.customer, paid) if part)


def call_words(row: RecalledVehicle) -> str:
    """Give the phones of a keeper, else the e-mail addresses."""
    return ", ".join(row.phones or row.emails) or _("no phone")


def held_words(row: RecalledVehicle | RecalledContainer, figures: Figures) -> str:
    """Say how much of the lot a vehicle got or a container should hold."""
    quantity = row.quantity if isinstance(row, RecalledVehicle) else row.held
    return figures.stock(row.base, quantity)
