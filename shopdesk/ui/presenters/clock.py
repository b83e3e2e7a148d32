"""What day it is where the shop is."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from shopdesk.services.figures import Figures


def shop_day(figures: Figures) -> date:
    """Give today's date in the shop's own zone."""
    return datetime.now(ZoneInfo(figures.shop.zone)).date()
