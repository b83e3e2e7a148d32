"""Every page of the window. A page's module is loaded when the page is first visited."""

from gettext import gettext as _

from shopdesk.ui.at_work import AtWork
from shopdesk.ui.desk import Desk
from shopdesk.ui.screen import Screen
from shopdesk.ui.window import PageEntry


def page_entries(desk: Desk, work: AtWork) -> tuple[PageEntry, ...]:
    """Give the pages in the order of the rail; the others are reached from them."""

    def today() -> Screen:
        from shopdesk.ui.screens.today import TodayScreen

        return TodayScreen(desk, work)

    def work_orders() -> Screen:
        from shopdesk.ui.screens.work_orders import WorkOrdersScreen

        return WorkOrdersScreen(desk, work)

    def work_order() -> Screen:
        from shopdesk.ui.screens.work_order.screen import WorkOrderScreen

        return WorkOrderScreen(desk, work)

    def new_work_order() -> Screen:
        from shopdesk.ui.screens.new_work_order import NewWorkOrderScreen

        return NewWorkOrderScreen(desk, work)

    def bay() -> Screen:
        from shopdesk.ui.screens.bay.screen import BayScreen

        return BayScreen(desk, work)

    def vehicles() -> Screen:
        from shopdesk.ui.screens.vehicles import VehiclesScreen

        return VehiclesScreen(desk, work)

    def vehicle() -> Screen:
        from shopdesk.ui.screens.vehicle.screen import VehicleScreen

        return VehicleScreen(desk, work)

    def customers() -> Screen:
        from shopdesk.ui.screens.customers import CustomersScreen

        return CustomersScreen(desk, work)

    def customer() -> Screen:
        from shopdesk.ui.screens.customer import CustomerScreen

        return CustomerScreen(desk, work)

    def fluids() -> Screen:
        from shopdesk.ui.screens.fluids.screen import FluidsScreen

        return FluidsScreen(desk, work)

    def item() -> Screen:
        from shopdesk.ui.screens.fluids.item import ItemScreen

        return ItemScreen(desk, work)

    def due() -> Screen:
        from shopdesk.ui.screens.due import DueScreen

        return DueScreen(desk, work)

    def money() -> Screen:
        from shopdesk.ui.screens.money import MoneyScreen

        return MoneyScreen(desk, work)

    def invoice() -> Screen:
        from shopdesk.ui.screens.invoice import InvoiceScreen

        return InvoiceScreen(desk, work)

    def paper() -> Screen:
        from shopdesk.ui.screens.paper import PaperScreen

        return PaperScreen(desk, work)

    def setup() -> Screen:
        from shopdesk.ui.screens.setup.screen import SetUpScreen

        return SetUpScreen(desk, work)

    def sheet() -> Screen:
        from shopdesk.ui.screens.setup.sheet import SheetScreen

        return SheetScreen(desk, work)

    return (
        PageEntry(page="today", words=_("Today"), icon="sun", build=today),
        PageEntry(page="work orders", words=_("Work orders"), icon="clipboard-list", build=work_orders),
        PageEntry(page="vehicles", words=_("Vehicles"), icon="car", build=vehicles),
        PageEntry(page="customers", words=_("Customers"), icon="users", build=customers),
        PageEntry(page="fluids", words=_("Fluids"), icon="droplets", build=fluids),
        PageEntry(page="due", words=_("Due"), icon="calendar-clock", build=due),
        PageEntry(page="money", words=_("Money"), icon="receipt", build=money),
        PageEntry(page="setup", words=_("Set-up"), icon="settings", build=setup, at_foot=True),
        PageEntry(page="work order", words="", icon="", build=work_order, on_rail=False, under="work orders"),
        PageEntry(
            page="new work order", words="", icon="", build=new_work_order, on_rail=False, under="work orders"
        ),
        PageEntry(page="bay", words=_("Bay"), icon="", build=bay, on_rail=False, bay=True),
        PageEntry(page="vehicle", words="", icon="", build=vehicle, on_rail=False, under="vehicles"),
        PageEntry(page="customer", words="", icon="", build=customer, on_rail=False, under="customers"),
        PageEntry(page="item", words="", icon="", build=item, on_rail=False, under="fluids"),
        PageEntry(page="invoice", words="", icon="", build=invoice, on_rail=False, under="money"),
        PageEntry(page="paper", words="", icon="", build=paper, on_rail=False),
        PageEntry(page="sheet", words="", icon="", build=sheet, on_rail=False, under="setup"),
    )
