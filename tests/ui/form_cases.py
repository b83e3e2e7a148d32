"""Every form of the window: how a person comes to it, its inputs, and what saves it.

Forms with a way of their own (opened by a button, or not made of ``Form``) are named here. Those of other
pages are found in the page: whatever ``Form`` is in sight, saved as Enter in its last field saves it.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from random import Random
from typing import Any

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QPushButton, QWidget
from shiboken6 import isValid

from shopdesk.domain.methods import UnitKind
from shopdesk.services.acting import new_uid
from shopdesk.services.job import JobDone
from shopdesk.services.vehicles import AddUnit
from shopdesk.services.work import OpenWorkOrder
from shopdesk.ui.screens.bay.step_page import BigChoice
from shopdesk.ui.screens.work_order.line_row import LineCells
from shopdesk.ui.widgets.controls import Check, Control, Line, Notes, Pick
from shopdesk.ui.widgets.field import LabelledField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from tests.ui.hostile_texts import text_for
from tests.ui.shop_window import JOB, ShopInWindow


@dataclass(frozen=True)
class Typist:
    """What somebody types: seeded, wild or not, and what is right here."""

    dice: Random
    wild: float
    usual: Mapping[str, Sequence[str]]

    def text(self, name: str) -> str:
        """Give a text for a field."""
        return text_for(name, self.dice, self.wild, self.usual)


@dataclass(frozen=True)
class Box:
    """One input: its name, what stands in it, and typing into it as a person does."""

    name: str
    widget: QWidget
    get: Callable[[], str]
    type: Callable[[Typist], None]
    error: Callable[[], str]
    plain: bool
    """Whether what is typed is kept word for word."""


@dataclass
class Hand:
    """The form in hand."""

    root: Callable[[], Any]
    save: Callable[[], None]
    most_commands: int = 1
    left_out: frozenset[str] = frozenset()
    waits: Callable[[], bool] = lambda: False
    """Whether the page asks back before it saves."""
    around: Callable[[], Any] | None = None
    """Where sentences about the form may stand, if not within it."""

    def boxes(self) -> list[Box]:
        """Give the inputs in sight now."""
        root = self.root()
        return [box for box in _boxes(root) if box.name not in self.left_out]

    def sentences(self) -> list[str]:
        """Give what is said to be wrong."""
        root = self.around() if self.around is not None else self.root()
        said = [box.error() for box in _boxes(root)]
        forms = [root, *root.findChildren(Form)] if isinstance(root, Form) else root.findChildren(Form)
        said += [form.error for form in forms]
        for label in root.findChildren(PlainLabel):
            if label.property("tone") == "late" and not label.isHidden() and label.isVisibleTo(root):
                said.append(label.text())
        return [each for each in said if each]


@dataclass(frozen=True)
class Case:
    """A form by name; ``reach`` goes there and gives it in hand."""

    name: str
    reach: Callable[[ShopInWindow, Random], Hand]
    wild: float = 0.25
    usual: Mapping[str, Sequence[str]] = field(default_factory=dict)
    """What is right here for fields that are called alike elsewhere."""
    says_nothing_alone: frozenset[str] = frozenset()
    """Fields that are not kept where others are empty: the name of a tax without a rate."""
    fresh: bool = False
    """Whether the form is come to anew for every turn."""


def type_into(control: Control, name: str, typist: Typist) -> None:
    """Put something into an input, telling all who listen, as keys and clicks do."""
    dice = typist.dice
    if isinstance(control, Pick):
        if control.count() and dice.random() < 0.5:
            control.setCurrentIndex(dice.randrange(control.count()))
    elif isinstance(control, Check):
        control.setChecked(dice.random() < 0.5)
    else:
        put(control, typist.text(name))


def put(control: Line | Notes, text: str) -> None:
    """Put a text in; half characters that Qt's binding refuses are pasted as the mark it shows for them."""
    try:
        text.encode("utf-16-le")
    except UnicodeEncodeError:
        text = text.encode("utf-16-le", "surrogatepass").decode("utf-16-le", "replace")
    if isinstance(control, Notes):
        control.setPlainText(text)
    else:
        control.setText(text)
        control.editingFinished.emit()


def _boxes(root: QWidget) -> Iterator[Box]:
    for part in root.findChildren(QWidget):
        if not isValid(part) or not part.isVisibleTo(root) or not part.isEnabled():
            continue
        if isinstance(part, LabelledField):
            yield _field_box(part)
        elif isinstance(part, BigChoice):
            yield _choice_box(part)
    for line in root.findChildren(LineCells):
        yield from _cell_boxes(line, root)


def _field_box(part: LabelledField) -> Box:
    def typing(typist: Typist) -> None:
        type_into(part.control, part.name, typist)
        part.check()  # the keyboard goes on to the next one

    plain = part._reader is None and isinstance(part.control, Line | Notes)
    return Box(
        name=part.name,
        widget=part,
        get=part.text,
        type=typing,
        error=lambda: part.error if not part.isHidden() else "",
        plain=plain,
    )


def _choice_box(part: BigChoice) -> Box:
    def answer(typist: Typist) -> None:
        buttons = part._answers._buttons
        typist.dice.choice(list(buttons.values())).click()

    return Box(name=part.name, widget=part, get=part.text, type=answer, error=lambda: "", plain=False)


def _cell_boxes(line: LineCells, root: QWidget) -> Iterator[Box]:
    def typer(cell: Control, name: str) -> Callable[[Typist], None]:
        return lambda typist: type_into(cell, name, typist)

    for name, cell in line.cells.items():
        if isValid(cell) and cell.isVisibleTo(root):
            yield Box(
                name=f"{cell.accessibleName()} {id(line)}",
                widget=cell,
                get=cell.typed,
                type=typer(cell, name),
                error=lambda: line.error.text() if not line.error.isHidden() else "",
                plain=name == "text",
            )


def _form(form: Form, save: Callable[[], None] | None = None, **more: Any) -> Hand:
    return Hand(root=lambda: form, save=save or form.completed.emit, **more)


def _empty(form: Form) -> None:
    keep = {name: form.field(name).text() for name in form.texts()}
    form.fill({n: "" if isinstance(form.field(n).control, Line | Notes) else t for n, t in keep.items()})


def _new_customer(shop: ShopInWindow, _dice: Random) -> Hand:
    return _form(shop.go("customer", "new").form)  # type: ignore[attr-defined]


def _customer(shop: ShopInWindow, _dice: Random) -> Hand:
    return _form(shop.go("customer", "1").form)  # type: ignore[attr-defined]


def _customers_vehicle(shop: ShopInWindow, _dice: Random) -> Hand:
    part: Any = shop.go("customer", "1").vehicles  # type: ignore[attr-defined]
    part._open_form()
    return _form(part.form, part.save)


def _vehicle(shop: ShopInWindow, _dice: Random) -> Hand:
    part: Any = shop.go("vehicle", "1").particulars  # type: ignore[attr-defined]
    part.open_form()
    shop.settle()
    return Hand(root=lambda: part.form, save=part.save)


def _odometer(shop: ShopInWindow, dice: Random) -> Hand:
    part: Any = shop.go("vehicle", "1").odometer  # type: ignore[attr-defined]
    part._put_aside()
    if dice.random() < 0.3 and part.correct.isVisible():
        part._begin_correction()
    return _form(part.form)


def _keeper(shop: ShopInWindow, dice: Random) -> Hand:
    part: Any = shop.go("vehicle", "1").keeper  # type: ignore[attr-defined]
    part.open_form()
    shop.settle()
    for _row in range(dice.randrange(3)):
        QTest.keyClick(part.table, Qt.Key.Key_Down)
    return _form(part.form)


def _new_unit(shop: ShopInWindow, _dice: Random) -> Hand:
    part: Any = shop.go("vehicle", "2").units  # type: ignore[attr-defined]
    part._open_add()
    shop.settle()
    return _form(part.adding.form)


def _unit(shop: ShopInWindow, dice: Random) -> Hand:
    page: Any = shop.go("vehicle", "2")
    if not page.strip.cards:
        kind = UnitKind.AUTOMATIC
        shop.rooms.intake.add_unit(AddUnit(actor=shop.rooms.actor(), vehicle_id=2, kind=kind, label="Again"))
        shop.settle()
    cards = page.strip.cards
    if cards:
        dice.choice(cards[:12]).click()
    page.units._open_change()
    shop.settle()
    form = page.units.changing
    return _form(form.form, waits=form.isHidden)


def _new_sheet(shop: ShopInWindow, _dice: Random) -> Hand:
    page: Any = shop.go("sheet")
    return _form(page.form, page._save)


def _sheet(shop: ShopInWindow, _dice: Random) -> Hand:
    page: Any = shop.go("sheet", "1")
    return _form(page.form, page._save)


def _new_item(shop: ShopInWindow, _dice: Random) -> Hand:
    page: Any = shop.go("item", "new")
    return _form(page.form, page._save)


def _item(shop: ShopInWindow, _dice: Random) -> Hand:
    page: Any = shop.go("item", "1")
    page._edit()
    shop.settle()
    return _form(page.form, page._save)


def _receive(shop: ShopInWindow, _dice: Random) -> Hand:
    page: Any = shop.go("fluids", "receive")
    return _form(page.receive.form)


def _setup(section: str, part: str = "form") -> Callable[[ShopInWindow, Random], Hand]:
    def reach(shop: ShopInWindow, _dice: Random) -> Hand:
        page: Any = shop.go("setup", section)
        return _form(getattr(page.section, part))

    return reach


def _rate_ends(shop: ShopInWindow, _dice: Random) -> Hand:
    page: Any = shop.go("setup", "taxes")
    return Hand(
        root=lambda: page.section.ending,
        save=page.section.end_rate,
        waits=lambda: page.section.table.current() is None,
    )


def _new_work_order(shop: ShopInWindow, dice: Random) -> Hand:
    page: Any = shop.go("new work order", dice.choice(("", "vehicle:1", "customer:2")))
    return Hand(root=lambda: page, save=page.open, most_commands=5)


def _work_order(shop: ShopInWindow, number: int = 2) -> Any:
    return shop.go("work order", str(number))


def _head(shop: ShopInWindow, dice: Random) -> Hand:
    page = _work_order(shop, dice.choice((2, 3)))
    page.head.begin()
    return _form(page.head.form)


def _lines(shop: ShopInWindow, dice: Random) -> Hand:
    page = _work_order(shop, 3)
    page.show_pane("price")
    editor = page.price.editor
    while len(editor.rows) < 1 + dice.randrange(4):
        editor.add_line()
    return Hand(
        root=lambda: editor,
        save=page.price.save,
        left_out=frozenset(),
        waits=lambda: not page.price.has_unkept,
    )


def _consent(shop: ShopInWindow, _dice: Random) -> Hand:
    page = _work_order(shop)
    page.show_pane("price")
    page.price.consent.begin()
    return _form(page.price.consent.form)


def _record(shop: ShopInWindow, _dice: Random) -> Hand:
    page = _work_order(shop)
    page.show_pane("service")
    form = page.service.form
    return Hand(
        root=lambda: form,
        save=page.service.keep,
        waits=lambda: not form.changes(),
    )


def _begin_record(shop: ShopInWindow, dice: Random) -> Hand:
    """Every other work order: a record is begun once."""
    actor, rooms = shop.rooms.actor(), shop.rooms
    order = rooms.work.open(OpenWorkOrder(actor=actor, vehicle_id=2, customer_id=2, complaint="Whines."))
    page = _work_order(shop, order.work_order_id)
    page.strip.cards[dice.choice((0, 0, 1, 2))].click()
    shop.settle()
    page.show_pane("service")
    wanted = page.service.record_wanted
    if wanted.isHidden():
        wanted = page.service.sheet_wanted
    return Hand(root=lambda: wanted, save=wanted.form.completed.emit, waits=lambda: wanted.isHidden())


def _unpaid(shop: ShopInWindow) -> JobDone:
    """Do the usual work once more and leave it unpaid."""
    job = json.loads(JOB.read_text(encoding="utf-8"))
    job |= {"id": new_uid(), "customer": {"name": "Hollis Grange", "phones": ["303 555 0155"]}}
    job["vehicle"] = {**job["vehicle"], "plate": "HG 55", "vin": ""}
    del job["payment"]
    return shop.rooms.jobs.run(job)[0]


def _order_payment(shop: ShopInWindow, _dice: Random) -> Hand:
    page = _work_order(shop, _unpaid(shop).work_order_id)
    page.show_pane("papers")
    return _form(page.money.form, waits=lambda: page.money.form.isHidden())


def _payment(shop: ShopInWindow, _dice: Random) -> Hand:
    done = _unpaid(shop)
    assert done.invoice is not None
    page: Any = shop.go("invoice", str(done.invoice.invoice_id))
    page._take_payment()
    return _form(page.payment.form, waits=lambda: not page.payment.is_open)


def _bay(shop: ShopInWindow, dice: Random) -> Hand:
    page: Any = shop.go("bay", "2")
    for _step in range(dice.randrange(1, 4)):
        page.step(dice.choice((-1, 1, 1)))
    if page._place >= len(page._steps) - 1:
        page.step(-1)
    shop.settle()
    return Hand(
        root=lambda: page._page or page,
        save=page.mark_done,
        most_commands=3,
        waits=lambda: page.working.why.isVisible() or page._page is None,
        around=lambda: page,
    )


def _count(shop: ShopInWindow, dice: Random) -> Hand:
    page: Any = shop.go("counts")
    if page._view is None or page._closed():
        page._new()
        shop.settle()
    page._type_back(dice.choice(list(page.lines.rows)))
    shop.settle()
    return Hand(root=lambda: page.card or page, save=page.card.keep, around=lambda: page)


def _container(shop: ShopInWindow, dice: Random) -> Hand:
    page: Any = shop.go("containers")
    page._choose(dice.choice(page._boxes))
    shop.settle()
    offered = [
        key for key, button in page.buttons.items() if button.isVisible() and key not in ("jug", "lot")
    ]
    page._do(dice.choice(offered))
    shop.settle()
    if page.step is None:
        return Hand(root=lambda: page, save=lambda: None, waits=lambda: True)
    return Hand(root=lambda: page.step or page, save=page.step.keep, around=lambda: page)


_SHEET = {"tolerance": ("2 N·m", "")}
CASES: tuple[Case, ...] = (
    Case("new customer", _new_customer),
    Case("customer", _customer),
    Case("another vehicle", _customers_vehicle),
    Case("vehicle", _vehicle),
    Case("odometer", _odometer),
    Case("keeper", _keeper, fresh=True),
    Case("new unit", _new_unit),
    Case("unit", _unit),
    Case("new sheet", _new_sheet, wild=0.03, usual=_SHEET),
    Case("sheet", _sheet, wild=0.03, usual=_SHEET),
    Case("new item", _new_item, wild=0.06),
    Case("item", _item, wild=0.06),
    Case("receive", _receive),
    Case("shop", _setup("shop"), wild=0.08),
    Case("papers", _setup("papers"), wild=0.1),
    Case("people", _setup("people"), wild=0.7),
    Case("tools", _setup("tools"), wild=0.15, usual={"tolerance": ("30 mL", "30 mL", "2 °C", "")}),
    Case("tax rate", _setup("taxes")),
    Case("a rate ends", _rate_ends, wild=0.6),
    Case("new work order", _new_work_order, wild=0.1),
    Case("work order facts", _head, wild=0.12),
    Case(
        "lines",
        _lines,
        wild=0.06,
        usual={"quantity": ("1", "1.5", "2"), "discount": ("", "", "1.00"), "unit": ("qt", "h", "")},
    ),
    Case("consent", _consent),
    Case("begin a record", _begin_record),
    Case("service record", _record, wild=0.05),
    Case("payment on the work order", _order_payment),
    Case("payment on the invoice", _payment),
    Case("bay", _bay, wild=0.3),
    Case("count", _count, wild=0.3, fresh=True),
    Case("container", _container, wild=0.2, fresh=True),
)

_NAMED = frozenset(
    (
        "customer",
        "vehicle",
        "item",
        "sheet",
        "invoice",
        "work order",
        "new work order",
        "bay",
        "setup",
        "fluids",
        "counts",
        "containers",
    )
)
"""Pages whose forms are among the cases above."""
_SUBJECTS = {"pours": "2", "order": "new", "kit": "1", "plan": "2"}


def cases_of_other_pages(shop: ShopInWindow) -> list[Case]:
    """Give a case for every other page that has a form, at once or behind its main action."""
    found = []
    for page, entry in list(shop.window._pages.items()):
        has_subject = page in _SUBJECTS or bool(entry.words)  # one without words needs to be told of what
        if page not in _NAMED and has_subject and _forms_of(shop, page):
            found.append(Case(f"page {page}", _page(page), wild=0.3, fresh=True))
    return found


def _forms_of(shop: ShopInWindow, page: str) -> list[Form]:
    screen = shop.go(page, _SUBJECTS.get(page, ""))
    ways: list[Callable[[], object]] = []
    if screen.main is not None and screen.main.enabled:
        ways.append(screen.main.do)
    ways += [button.click for button in screen.findChildren(QPushButton) if button.isVisible()][:12]
    while not (forms := _in_sight(screen)) and ways and shop.place()[0] == page:
        ways.pop(0)()
        shop.settle()
    return forms if shop.place()[0] == page else []


def _in_sight(screen: QWidget) -> list[Form]:
    return [form for form in screen.findChildren(Form) if form.isVisible() and form.texts()]


def _page(page: str) -> Callable[[ShopInWindow, Random], Hand]:
    def reach(shop: ShopInWindow, dice: Random) -> Hand:
        forms = _forms_of(shop, page)
        if not forms:
            screen = shop.go(page)
            return Hand(root=lambda: screen, save=lambda: None)
        form = dice.choice(forms)
        return _form(form, around=lambda: shop.window.ways.screen, most_commands=2, waits=lambda: True)

    return reach
