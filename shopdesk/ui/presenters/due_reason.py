"""What a unit's next due came from, as names and values."""

from gettext import gettext as _

from shopdesk.services.duedates import WorkedOutDue
from shopdesk.services.figures import Figures


def due_rows(worked_out: WorkedOutDue, figures: Figures) -> tuple[tuple[str, str], ...]:
    """Give the figures that decided a next due, in the order in which they were used."""
    due = worked_out.due
    rows: list[tuple[str, str]] = []
    if due.layer is not None:
        rows.append((_("Interval"), _(due.layer)))
    if due.odometer_tenths is not None:
        rows.append((_("By distance"), figures.distance(due.odometer_tenths, worked_out.odometer_unit)))
    if due.on_by_distance is not None:
        name = _("Reached, by an assumed rate of use") if due.assumed_rate else _("Reached, by its own use")
        rows.append((name, figures.day(due.on_by_distance)))
    if due.on_by_distance_low is not None and due.on_by_distance_high is not None:
        between = f"{figures.day(due.on_by_distance_low)} – {figures.day(due.on_by_distance_high)}"
        rows.append((_("Likely between"), between))
    if due.on_by_time is not None:
        rows.append((_("By time"), figures.day(due.on_by_time)))
    rows.append((_("How it is driven"), _("severe use") if due.severe else _("normal use")))
    if due.due_on is not None:
        rows.append((_("Whichever comes first"), figures.day(due.due_on)))
    return tuple(rows)
