"""The promised time as it is said at the counter: "16:30", "4 pm", "tomorrow 10:00", "Fri 9am"."""

import re
from datetime import date, datetime, time, timedelta
from gettext import gettext as _
from zoneinfo import ZoneInfo

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.figures import Figures
from shopdesk.ui.presenters.dates import read_date

_CLOCK = re.compile(
    r"(?<![\d.-])(?:(\d{1,2}):(\d{2})\s*([ap]\.?m\.?)?|(\d{1,2})\s*([ap]\.?m\.?))(?!\w)", re.IGNORECASE
)
_LONGEST = 60


def weekday_names() -> tuple[str, ...]:
    """Return the seven days in three letters, Monday first."""
    return tuple(_("Mon Tue Wed Thu Fri Sat Sun").split())


def read_promised(text: str, now: datetime, field: str = "promised_at") -> datetime:
    """Read a time, with or without a day, as the next such time after ``now`` in its zone.

    Raises RuleBroken if it cannot be read, or if a day that was named lies before today.
    """
    typed = " ".join(text.split())[:_LONGEST]
    found = _CLOCK.search(typed)
    if found is None:
        raise RuleBroken(_("Write the time as 16:30 or 4 pm, with a day before it if need be."), field)
    clock = _clock(found, field)
    day = f"{typed[: found.start()]} {typed[found.end() :]}".strip(" ,")
    return _on_day(day, clock, now, field)


def promised_words(figures: Figures, at: datetime) -> str:
    """Write a promised time with its weekday."""
    return f"{weekday_names()[at.weekday()]} {figures.day(at.date())}, {figures.clock(at)}"


def promised_hint(figures: Figures) -> str:
    """Give an example of a time as this shop writes it."""
    half_past_four = datetime.combine(date(2026, 1, 5), time(16, 30), ZoneInfo(figures.shop.zone))
    return _("{time}, or Fri 9 am").format(time=figures.clock(half_past_four))


def _clock(found: re.Match[str], field: str) -> time:
    hour, minute = int(found[1] or found[4]), int(found[2] or 0)
    half = (found[3] or found[5] or "").casefold().replace(".", "")
    wrong = RuleBroken(_("There is no such time of day. Write it as 16:30 or 4 pm."), field)
    if minute > 59 or hour > 23 or (half and not 1 <= hour <= 12):
        raise wrong
    if half:
        hour = hour % 12 + (12 if half == "pm" else 0)
    return time(hour, minute)


def _on_day(day: str, clock: time, now: datetime, field: str) -> datetime:
    today = datetime.combine(now.date(), clock, now.tzinfo)
    if not day:
        return today if today > now else _later(today, 1)
    weekday = _weekday(day)
    if weekday is not None:
        ahead = (weekday - now.weekday()) % 7
        return _later(today, ahead if ahead or today > now else 7)
    wanted = read_date(day if re.search(r"\d{4}", day) else _with_year(day, now), now.date(), field)
    if wanted < now.date():
        raise RuleBroken(_("That day has passed."), field)
    return datetime.combine(wanted, clock, now.tzinfo)


def _later(at: datetime, days: int) -> datetime:
    return datetime.combine(at.date() + timedelta(days=days), at.time(), at.tzinfo)


def _weekday(day: str) -> int | None:
    wanted = day.casefold()
    for number, name in enumerate(weekday_names()):
        if len(wanted) >= 2 and (wanted.startswith(name.casefold()) or name.casefold().startswith(wanted)):
            return number
    return None


def _with_year(day: str, now: datetime) -> str:
    """Add this year to a day without one ("27 Nov"), or the next where that day has passed."""
    if not re.search(r"\d", day):
        return day  # today, tomorrow
    try:
        this_year = read_date(f"{day} {now.year}", now.date())
    except RuleBroken:
        return day
    return f"{day} {now.year + (this_year < now.date())}"
