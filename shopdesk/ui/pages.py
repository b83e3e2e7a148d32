"""Every page of the window. A page's module is loaded when the page is first visited."""

from collections.abc import Callable
from functools import partial
from gettext import gettext as _
from importlib import import_module

from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.screen import Screen
from shopdesk.ui.window import PageEntry


def page_entries(desk: Desk, work: AtWork) -> tuple[PageEntry, ...]:
    """Give the pages in the order of the rail; then those reached from them.

    A page under another that has words of its own is a section of it: the window shows a bar of them.
    """

    def screen(place: str) -> Callable[[], Screen]:
        return partial(_build, place, desk, work)

    def on_rail(page: str, words: str, icon: str, place: str, section: str = "") -> PageEntry:
        return PageEntry(page=page, words=words, icon=icon, build=screen(place), section_words=section)

    def reached(page: str, place: str, under: str = "", words: str = "") -> PageEntry:
        return PageEntry(page=page, words=words, icon="", build=screen(place), on_rail=False, under=under)

    return (
        on_rail("today", _("Today"), "sun", "today:TodayScreen"),
        on_rail("work orders", _("Work orders"), "clipboard-list", "work_orders:WorkOrdersScreen"),
        on_rail("vehicles", _("Vehicles"), "car", "vehicles:VehiclesScreen"),
        on_rail("customers", _("Customers"), "users", "customers:CustomersScreen"),
        on_rail("fluids", _("Fluids"), "droplets", "fluids.screen:FluidsScreen", section=_("Shelf")),
        on_rail("due", _("Due"), "calendar-clock", "due:DueScreen"),
        on_rail("money", _("Money"), "receipt", "money:MoneyScreen"),
        PageEntry(
            page="setup",
            words=_("Set-up"),
            icon="settings",
            build=screen("setup.screen:SetUpScreen"),
            at_foot=True,
        ),
        reached("work order", "work_order.screen:WorkOrderScreen", under="work orders"),
        reached("verify", "verify:VerifyScreen", under="work orders", words=_("Second opinion")),
        reached("new work order", "new_work_order:NewWorkOrderScreen", under="work orders"),
        PageEntry(
            page="bay", words=_("Bay"), icon="", build=screen("bay.screen:BayScreen"), on_rail=False, bay=True
        ),
        reached("unit", "unit:UnitScreen", under="vehicles"),
        reached("plan", "plan:PlanScreen", under="vehicles"),
        reached("vehicle", "vehicle.screen:VehicleScreen", under="vehicles"),
        reached("customer", "customer:CustomerScreen", under="customers"),
        reached("item", "fluids.item:ItemScreen", under="fluids"),
        reached("orders", "buying.orders:OrdersScreen", under="fluids", words=_("Orders")),
        reached("order", "buying.order:OrderScreen", under="fluids"),
        reached("bill", "buying.bill:BillScreen", under="fluids"),
        reached("receiving file", "buying.receiving_file:ReceivingFileScreen", under="fluids"),
        reached("used oil", "used_oil:UsedOilScreen", under="fluids", words=_("Used oil")),
        reached("counts", "counts.screen:CountsScreen", under="fluids", words=_("Counts")),
        reached("containers", "containers.screen:ContainersScreen", under="fluids", words=_("Containers")),
        reached("booked", "booked:BookedScreen", under="fluids", words=_("Booked work")),
        reached("usage", "usage:UsageScreen", under="fluids", words=_("Used and billed")),
        reached("lots", "lots:LotsScreen", under="fluids", words=_("Where a lot went")),
        reached("pours", "pours:PoursScreen", under="work orders"),
        reached("kit", "kit:KitScreen", under="fluids"),
        reached("invoice", "invoice:InvoiceScreen", under="money"),
        reached("paper", "paper:PaperScreen"),
        reached("sheet", "setup.sheet:SheetScreen", under="setup"),
    )


def _build(place: str, desk: Desk, work: AtWork) -> Screen:
    """Load ``module:Class`` of the screens and make it."""
    module, _colon, name = place.partition(":")
    made = getattr(import_module(f"shopdesk.ui.screens.{module}"), name)(desk, work)
    if not isinstance(made, Screen):
        raise TypeError(f"{place} is not a page")
    return made
