"""Another counter changes, closes or takes away what is on screen: both values are shown, nothing is lost.

The other counter is a second shop opened on the same database, as another program would have it open; what
it changed is heard of as the watch for other programs tells it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from shopdesk.domain.errors import Conflict
from shopdesk.domain.pricing import LineKind
from shopdesk.domain.stages import Stage
from shopdesk.launch import open_desk
from shopdesk.services.bay import Enter, EntryTyped
from shopdesk.services.customers import EditCustomer
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.instruments import InstrumentKind, SaveInstrument
from shopdesk.services.items import EditItem
from shopdesk.services.lines import LineTyped
from shopdesk.services.setup import AddTaxRate, EditShop, EndTaxRate
from shopdesk.services.vehicles import EditUnit, EditVehicle
from shopdesk.services.work import EditWorkOrder, MoveStage, SetLines
from shopdesk.ui.changes import ALL_TOPICS
from shopdesk.ui.presenters.sheets import sheet_command, sheet_texts
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.form import Form
from tests.ui.form_cases import put
from tests.ui.shop_window import ShopInWindow, StandingClock, shop_in_window
from tests.ui.work_shop import make_work_shop

ORDER, CUSTOMER, VEHICLE = 2, 2, 2


@dataclass
class Counters:
    """The window, and the other counter's rooms."""

    here: ShopInWindow
    there: Rooms

    def by(self, command: Any, **values: Any) -> Any:
        """Make a command of the other counter."""
        return command(actor=self.there.actor(), **values)

    def heard(self) -> None:
        """Let the window hear that something was changed elsewhere."""
        self.here.bus.announce(ALL_TOPICS)
        self.here.settle()


@pytest.fixture
def counters(look: Look, sqlite_template: Path, tmp_path: Path) -> Iterator[Counters]:
    kept, file = sqlite_template.with_name("writers.db"), tmp_path / "shop.db"
    if not kept.exists():
        make_work_shop(sqlite_template, kept)
    file.write_bytes(kept.read_bytes())
    with shop_in_window(look, file) as shop:
        shop.show()
        there = open_desk(f"sqlite:///{file}", clock=StandingClock())
        yield Counters(shop, there)
        there.close()


@dataclass(frozen=True)
class Meeting:
    """A thing both counters change: how here, how there, and what is kept."""

    opens: Callable[[Counters], tuple[Form, Callable[[], None]]]
    field: str
    there: Callable[[Counters, str], None]
    kept: Callable[[Counters], str]


def _customer(counters: Counters) -> tuple[Form, Callable[[], None]]:
    page: Any = counters.here.go("customer", str(CUSTOMER))
    return page.form, page._save


def _edit_customer(counters: Counters, text: str) -> None:
    now = counters.there.intake.customer(CUSTOMER)
    command = counters.by(
        EditCustomer, customer_id=CUSTOMER, version=now.version, name=text, phones=now.phones
    )
    counters.there.intake.edit_customer(command)


def _vehicle(counters: Counters) -> tuple[Form, Callable[[], None]]:
    page: Any = counters.here.go("vehicle", str(VEHICLE))
    page.particulars.open_form()
    counters.here.settle()
    return page.particulars.form, page.particulars.save


def _edit_vehicle(counters: Counters, text: str) -> None:
    now = counters.there.intake.vehicle(VEHICLE)
    command = counters.by(
        EditVehicle,
        vehicle_id=VEHICLE,
        version=now.version,
        plate=now.plate,
        odometer_unit="mi",
        model=text,
    )
    counters.there.intake.edit_vehicle(command)


def _unit(counters: Counters) -> tuple[Form, Callable[[], None]]:
    page: Any = counters.here.go("vehicle", str(VEHICLE))
    page.units._open_change()
    counters.here.settle()
    return page.units.changing.form, page.units._change


def _edit_unit(counters: Counters, text: str) -> None:
    unit = counters.there.intake.vehicle(VEHICLE).units[0]
    command = counters.by(EditUnit, unit_id=unit.id, version=unit.version, sheet_id=unit.sheet_id, label=text)
    counters.there.intake.edit_unit(command)


def _item(counters: Counters) -> tuple[Form, Callable[[], None]]:
    page: Any = counters.here.go("item", "1")
    page._edit()
    counters.here.settle()
    return page.form, page._save


def _edit_item(counters: Counters, text: str) -> None:
    now = next(item for item in counters.there.items.all() if item.id == 1)
    command = counters.by(
        EditItem,
        item_id=1,
        version=now.version,
        name=now.name,
        package="1 gal",
        sale_unit="qt",
        price="11.40",
        maker=text,
    )
    counters.there.items.save(command)


def _sheet(counters: Counters) -> tuple[Form, Callable[[], None]]:
    page: Any = counters.here.go("sheet", str(_newest_sheet(counters).sheet_id))
    return page.form, page._save


def _newest_sheet(counters: Counters) -> Any:
    return next(sheet for sheet in counters.there.sheets.all() if sheet.designation == "PX6-A")


def _edit_sheet(counters: Counters, text: str) -> None:
    shop = counters.there.setup.shop()
    texts = sheet_texts(_newest_sheet(counters), shop) | {"checked_by": text}
    counters.there.sheets.save(sheet_command(texts, counters.there.actor(), f"another {text}"))


def _shop(section: str) -> Callable[[Counters], tuple[Form, Callable[[], None]]]:
    def opens(counters: Counters) -> tuple[Form, Callable[[], None]]:
        page: Any = counters.here.go("setup", section)
        return page.section.form, page.section.save

    return opens


def _edit_shop(name: str) -> Callable[[Counters, str], None]:
    def edit(counters: Counters, text: str) -> None:
        now = counters.there.setup.shop()
        names = ("name", "address", "phone", "email", "registration_text", "warranty_text")
        units = (
            "volume_unit",
            "temperature_unit",
            "torque_unit",
            "distance_unit",
            "paper_size",
            "label_size",
        )
        values = {each: getattr(now, each) for each in (*names, *units)}
        command = counters.by(EditShop, version=now.version, **(values | {name: text}))
        counters.there.setup.edit_shop(command)

    return edit


def _facts(counters: Counters) -> tuple[Form, Callable[[], None]]:
    page: Any = counters.here.go("work order", str(ORDER))
    page.head.begin()
    return page.head.form, page.head.save


def _edit_order(counters: Counters, text: str) -> None:
    now = counters.there.board.work_order(ORDER)
    command = counters.by(
        EditWorkOrder,
        work_order_id=ORDER,
        version=now.version,
        complaint=now.complaint,
        promised_at=now.promised_at,
        driver=text,
    )
    counters.there.work.edit(command)


MEETINGS = {
    "customer": Meeting(_customer, "name", _edit_customer, lambda c: c.there.intake.customer(CUSTOMER).name),
    "vehicle": Meeting(_vehicle, "model", _edit_vehicle, lambda c: c.there.intake.vehicle(VEHICLE).model),
    "unit": Meeting(_unit, "label", _edit_unit, lambda c: c.there.intake.vehicle(VEHICLE).units[0].label),
    "item": Meeting(
        _item, "maker", _edit_item, lambda c: next(i.maker for i in c.there.items.all() if i.id == 1)
    ),
    "sheet": Meeting(_sheet, "checked_by", _edit_sheet, lambda c: str(_newest_sheet(c).checked_by)),
    "shop": Meeting(_shop("shop"), "phone", _edit_shop("phone"), lambda c: c.there.setup.shop().phone),
    "papers": Meeting(
        _shop("papers"),
        "warranty_text",
        _edit_shop("warranty_text"),
        lambda c: c.there.setup.shop().warranty_text,
    ),
    "work order": Meeting(_facts, "driver", _edit_order, lambda c: c.there.board.work_order(ORDER).driver),
}
NAMES = sorted(MEETINGS)


def test_that_both_values_are_shown_each_time_and_saving_again_keeps_what_was_typed(
    counters: Counters,
) -> None:
    for name in NAMES:  # one after the other in one window: opening one takes longer than all of this
        _meet(counters, MEETINGS[name], name)


def _meet(counters: Counters, meeting: Meeting, name: str) -> None:
    form, save = meeting.opens(counters)
    meeting.there(counters, "Theirs 6")
    counters.heard()
    text = form.field(meeting.field).text()
    assert text == "Theirs 6", f"{name}: what nobody types into shows what is kept now"
    _type(form, meeting.field, "Mine 12")
    for theirs, heard in (("Theirs 7", True), ("Theirs 8", False)):
        meeting.there(counters, theirs)
        if heard:
            counters.heard()
        assert form.field(meeting.field).text() == "Mine 12", name
        save()
        counters.here.settle()
        assert form.field(meeting.field).text() == "Mine 12", name
        assert form.field(meeting.field).error == f"Somebody else put meanwhile: {theirs}", name
        assert meeting.kept(counters) == theirs, name
    save()
    counters.here.settle()
    assert meeting.kept(counters) == "Mine 12", name


def test_that_drafts_put_back_meet_what_was_kept_since(
    counters: Counters, look: Look, tmp_path: Path
) -> None:
    names = [name for name in NAMES if name != "unit"]  # what is typed for a unit is no draft
    for name in names:
        form, _save = MEETINGS[name].opens(counters)
        _type(form, MEETINGS[name].field, "Mine 12")
        counters.here.desk.drafts.keep_all()
        counters.here.settle()
    counters.here.window.hide()
    for name in names:
        MEETINGS[name].there(counters, "Theirs 7")
    with shop_in_window(look, tmp_path / "shop.db") as again:
        again.show()
        counters.here = again
        for name in names:
            form, save = MEETINGS[name].opens(counters)
            field = form.field(MEETINGS[name].field)
            assert (field.text(), field.error) == ("Mine 12", "Somebody else put meanwhile: Theirs 7"), name
            save()
            again.settle()
            assert MEETINGS[name].kept(counters) == "Mine 12", name


def test_that_a_draft_put_back_takes_over_what_it_did_not_change(counters: Counters) -> None:
    form, save = _customer(counters)
    _type(form, "note", "Mine 12")
    counters.here.desk.drafts.keep_all()
    counters.here.settle()
    counters.here.go("customer", "new")
    _edit_customer(counters, "Theirs 7")
    form, save = _customer(counters)
    assert (form.field("name").text(), form.field("note").text()) == ("Theirs 7", "Mine 12")
    assert not form.error
    save()
    counters.here.settle()
    kept = counters.there.intake.customer(CUSTOMER)
    assert (kept.name, kept.note) == ("Theirs 7", "Mine 12")


def _type(form: Form, name: str, text: str) -> None:
    control: Any = form.field(name).control
    control.setFocus()
    put(control, text)


def test_that_a_unit_taken_out_meanwhile_is_said_and_what_was_typed_stays(counters: Counters) -> None:
    form, save = _unit(counters)
    _type(form, "label", "Mine 12")
    unit = counters.there.intake.vehicle(VEHICLE).units[0]
    command = counters.by(
        EditUnit, unit_id=unit.id, version=unit.version, sheet_id=unit.sheet_id, label=unit.label,
        removed_on=date(2026, 11, 25),
    )  # fmt: skip
    counters.there.intake.edit_unit(command)
    counters.heard()
    assert form.field("label").text() == "Mine 12"
    save()
    counters.here.settle()
    assert form.isVisible()
    assert form.field("label").text() == "Mine 12"
    assert form.error
    assert len(counters.there.intake.vehicle(VEHICLE).units) == 3


@pytest.mark.parametrize("stage", [Stage.CANCELLED, Stage.AUTHORISED])
def test_that_facts_typed_for_a_work_order_moved_meanwhile_are_not_lost(
    counters: Counters, stage: Stage
) -> None:
    form, save = _facts(counters)
    _type(form, "driver", "Mine 12")
    counters.there.work.move(counters.by(MoveStage, work_order_id=ORDER, stage=stage))
    counters.heard()
    assert form.field("driver").text() == "Mine 12"
    assert form.isVisible()
    save()
    counters.here.settle()
    if form.isVisible() and counters.there.board.work_order(ORDER).driver != "Mine 12":
        assert form.field("driver").text() == "Mine 12"
        assert form.error or counters.here.window.notices.words
        save()
        counters.here.settle()
    kept = counters.there.board.work_order(ORDER).driver
    assert kept == "Mine 12" or (form.isVisible() and form.field("driver").text() == "Mine 12")


def test_that_lines_kept_elsewhere_stand_beside_those_typed(counters: Counters) -> None:
    page: Any = counters.here.go("work order", "3")
    page.show_pane("price")
    page.price.editor.add_line()
    cells = page.price.editor.rows[0].cells
    put(cells["text"], "Mine 12")
    put(cells["quantity"], "1")
    put(cells["price"], "10")
    version = counters.there.board.work_order(3).version
    theirs = LineTyped(kind=LineKind.LABOUR, text="Theirs 7", quantity="0.5", unit_price="90")
    counters.there.work.set_lines(counters.by(SetLines, work_order_id=3, version=version, lines=(theirs,)))
    page.price.save()
    counters.here.settle()
    assert "Theirs 7" in page.price._theirs.text()
    assert page.price.editor.rows[0].cells["text"].typed() == "Mine 12"
    page.price.save()
    counters.here.settle()
    assert [line.text for line in counters.there.board.work_order(3).lines] == ["Mine 12"]


def test_that_lines_typed_for_a_work_order_cancelled_meanwhile_stay_in_sight(counters: Counters) -> None:
    page: Any = counters.here.go("work order", "3")
    page.show_pane("price")
    page.price.editor.add_line()
    put(page.price.editor.rows[0].cells["text"], "Mine 12")
    put(page.price.editor.rows[0].cells["price"], "10")
    counters.there.work.move(counters.by(MoveStage, work_order_id=3, stage=Stage.CANCELLED))
    page.price.save()
    counters.here.settle()
    counters.heard()
    assert page.price.editor.rows[0].cells["text"].typed() == "Mine 12"
    assert page.price.editor.isVisible()
    assert not counters.there.board.work_order(3).lines


def test_that_what_was_measured_elsewhere_stands_beside_what_is_typed(counters: Counters) -> None:
    page: Any = counters.here.go("work order", str(ORDER))
    page.show_pane("service")
    form = page.service.form
    field = form.stack.field("drained:1")
    put(field.control, "4.4 qt")
    record = page.service.record_id
    entry = EntryTyped(field="drained", value="4.6 qt", instrument_id=1)
    counters.there.bay.enter(counters.by(Enter, record_id=record, entries=(entry,)))
    page.service.keep()
    counters.here.settle()
    field = form.stack.field("drained:1")
    assert field.text() == "4.4 qt"
    assert field.error.startswith("Somebody else put meanwhile: 4.6")
    assert len(counters.there.bay.record(record).entries) == 1
    page.service.keep()
    counters.here.settle()
    theirs, ours = counters.there.bay.record(record).entries
    assert (ours.typed, ours.entry.corrects_id) == ("4.4 qt", theirs.entry.id)


def test_that_a_tool_added_elsewhere_is_listed_and_what_is_typed_stays(counters: Counters) -> None:
    page: Any = counters.here.go("setup", "tools")
    _type(page.section.form, "name", "Mine 12")
    command = counters.by(SaveInstrument, kind=InstrumentKind.PAN, name="Theirs 7", marks="100 mL")
    counters.there.instruments.save(command)
    counters.heard()
    assert "Theirs 7" in [row.name for row in page.section.table.rows]
    assert page.section.form.field("name").text() == "Mine 12"


def test_that_a_rate_ended_elsewhere_is_not_ended_twice(counters: Counters) -> None:
    command = counters.by(
        AddTaxRate, tax_class="labour", name="Levy", percent="1", from_on=date(2026, 1, 1), citation="Notice"
    )
    rate = counters.there.setup.add_tax_rate(command)
    page: Any = counters.here.go("setup", "taxes")
    section = page.section
    rows = [row.name for row in section.table.rows]
    assert "Levy" in rows
    section.table.setFocus()
    while section.table.current() is None or section.table.current().name != "Levy":
        counters.here.key("Down")
    _type(section.ending, "to_on", "31 Dec 2026")
    ended = section.table.current()
    counters.there.setup.end_tax_rate(counters.by(EndTaxRate, rate_id=ended.id, to_on=date(2026, 11, 30)))
    section.end_rate()
    counters.here.settle()
    assert section.ending.field("to_on").error
    assert section.ending.field("to_on").text() == "31 Dec 2026"
    assert rate is not None


def test_that_another_counters_refusal_names_what_happened(counters: Counters) -> None:
    now = counters.there.intake.customer(CUSTOMER)
    _edit_customer(counters, "First")
    late = counters.by(
        EditCustomer, customer_id=CUSTOMER, version=now.version, name="Second", phones=now.phones
    )
    with pytest.raises(Conflict, match="meanwhile"):
        counters.there.intake.edit_customer(late)
