"""Rich text typed anywhere stays plain: on every page that shows it, on every paper, in every message."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_raw
import pytest
from PySide6.QtCore import QAbstractItemModel, QModelIndex, Qt
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QLabel,
    QLineEdit,
    QPlainTextEdit,
    QTextEdit,
    QWidget,
)

from shopdesk.domain.stages import Stage
from shopdesk.launch import open_desk
from shopdesk.services.work import MoveStage
from shopdesk.ui.screens.setup.screen import SetUpScreen
from shopdesk.ui.theme.look import Look
from tests.documents.reading import solid, texts
from tests.ui.form_cases import put
from tests.ui.shop_window import JOB, ShopInWindow, StandingClock, shop_in_window
from tests.ui.walking import in_sight, marked_up

MARK = '<b>x</b><img src="a.png">'
SHORT = "<b>x</b>"
LONG = frozenset(
    (
        "name", "owner", "address", "registration_text", "warranty_text", "maker", "make", "model",
        "designation", "specification", "cautions", "source", "checked_by", "label", "complaint", "text",
        "item", "fluid", "person", "relation", "said", "lot", "note",
    )
)  # fmt: skip
BRIEF = frozenset({"key_tag", "bay", "document_no", "plate_place"})
SUBJECTS = {
    "customer": ("1",),
    "vehicle": ("1",),
    "item": ("1",),
    "sheet": ("1",),
    "unit": ("1",),
    "plan": ("1",),
    "pours": ("1",),
    "kit": ("2",),
    "order": ("new",),
    "bill": ("supplier:1",),
    "invoice": ("1",),
    "work order": ("1", "2"),
    "new work order": ("vehicle:1",),
    "bay": ("2",),
    "paper": ("invoice:1", "job sheet:1", "service record:1", "sticker:1", "estimate:1"),
    "setup": ("shop", "people", "sheets", "items", "tools", "taxes", "papers", "look"),
}


def marked(value: Any, key: str = "") -> Any:
    """Put markup behind every free text of a job."""
    if isinstance(value, dict):
        return {name: marked(each, name) for name, each in value.items()}
    if isinstance(value, list):
        return [marked(each, key) for each in value]
    if isinstance(value, str) and key in LONG:
        return value + MARK
    return value + SHORT if isinstance(value, str) and key in BRIEF else value


@pytest.fixture
def shop(look: Look, sqlite_file: Path) -> Iterator[ShopInWindow]:
    job = json.loads(JOB.read_text(encoding="utf-8"))
    rooms = open_desk(f"sqlite:///{sqlite_file}", clock=StandingClock())
    rooms.jobs.run(marked(job))
    rooms.close()
    with shop_in_window(look, sqlite_file) as found:
        found.show()
        yield found


def type_and_save(shop: ShopInWindow, form: Any, names: tuple[str, ...], save: Callable[[], None]) -> None:
    """Type markup into fields and save."""
    for name in names:
        put(form.field(name).control, f"{name} {MARK}")
    save()
    shop.settle()
    assert not [form.field(name).error for name in form.texts() if form.field(name).error]


def type_everywhere(shop: ShopInWindow) -> None:
    """Type what the job file has no place for, and a second work order, in the window."""
    customer: Any = shop.go("customer", "1")
    type_and_save(shop, customer.form, ("note", "warning"), customer._save)
    vehicle: Any = shop.go("vehicle", "1")
    vehicle.particulars.open_form()
    type_and_save(shop, vehicle.particulars.form, ("note", "warning"), vehicle.particulars.save)
    for section, names in (("people", ("name",)), ("tools", ("name",))):
        page: Any = shop.go("setup", section)
        form = page.section.form
        put(form.field("tolerance").control, "30 mL") if section == "tools" else None
        type_and_save(shop, form, names, page.section.save)
    page = shop.go("new work order", "vehicle:1")
    put(page.order.field("reading").control, "84320")
    put(page.order.field("complaint").control, f"Whines {MARK}")
    page.open()
    shop.settle()
    order: Any = shop.go("work order", "2")
    order.head.begin()
    type_and_save(shop, order.head.form, ("note", "driver"), order.head.save)
    shop.rooms.work.move(MoveStage(actor=shop.work.actor, work_order_id=2, stage=Stage.IN_THE_BAY))
    shop.settle()


def shown(around: QWidget) -> Iterator[str]:
    """Give every text in sight."""
    for part in in_sight(around):
        if isinstance(part, QLabel | QAbstractButton | QLineEdit):
            yield part.text()
        elif isinstance(part, QPlainTextEdit):
            yield part.toPlainText()
        elif isinstance(part, QComboBox):
            yield part.currentText()
        elif isinstance(part, QAbstractItemView):
            yield from _cells(part.model())


def _cells(model: QAbstractItemModel | None) -> Iterator[str]:
    for row in range(model.rowCount(QModelIndex()) if model is not None else 0):
        for column in range(model.columnCount(QModelIndex()) if model is not None else 0):
            assert model is not None
            yield str(model.index(row, column).data(Qt.ItemDataRole.DisplayRole))


def rich(window: QWidget) -> list[str]:
    """Name the parts that would make pictures and bold letters of what was typed."""
    found = marked_up(window)
    for part in in_sight(window):
        tip = part.toolTip()
        if "<b>x" in tip:  # a tip is read as markup by itself, so its text must be escaped
            found.append(f"tip: {tip}")
        if isinstance(part, QTextEdit):
            found.append(f"a field that takes markup: {part.accessibleName()}")
    return found


def test_that_rich_text_typed_anywhere_stays_plain_on_every_page(shop: ShopInWindow) -> None:
    type_everywhere(shop)
    seen: dict[str, bool] = {}
    for page in list(shop.window._pages):
        for subject in SUBJECTS.get(page, ("",)):
            screen = shop.go(page, subject)
            assert not rich(shop.window), (page, subject)
            words = [text for text in shown(screen) if SHORT in text]
            seen[f"{page} {subject}".strip()] = bool(words)
            if isinstance(screen, SetUpScreen):
                assert screen.section.isVisible()
    nowhere = {place for place, there in seen.items() if not there}
    assert {
        "today",
        "customers",
        "vehicles",
        "customer 1",
        "vehicle 1",
        "item 1",
        "sheet 1",
    } & nowhere == set()
    assert {"work orders", "work order 2", "fluids", "money", "invoice 1", "setup people"} & nowhere == set()
    assert {
        "setup tools",
        "setup shop",
        "setup papers",
        "setup sheets",
        "setup items",
        "bay 2",
    } & nowhere == set()


def test_that_rich_text_stays_plain_in_the_line_over_the_page_and_in_find(shop: ShopInWindow) -> None:
    customer: Any = shop.go("customer", "new")
    put(customer.form.field("name").control, f"Odalys {MARK}")
    customer._save()
    shop.settle()
    assert MARK in shop.window.notices.words
    assert MARK in shop.window.ways.screen.title  # type: ignore[union-attr]
    assert not rich(shop.window)
    shop.key("Ctrl+K")
    shop.type("Okonjo")
    shop.settle()
    assert any(MARK in text for text in shown(shop.window))
    assert not rich(shop.window)


def test_that_rich_text_stays_plain_on_every_paper(shop: ShopInWindow) -> None:
    papers = shop.rooms.papers
    made = (
        papers.invoice(1),
        papers.estimate(1),
        papers.job_sheet(1),
        papers.service_record(1),
        papers.sticker(1),
        papers.sticker(1, on_sheet=True),
    )
    for paper in made:
        words = "".join(solid(page) for page in texts(paper.content))
        assert SHORT in words, paper.name
        assert pictures(paper.content) == 0, paper.name


def pictures(pdf: bytes) -> int:
    """Count the pictures in a PDF."""
    document = pdfium.PdfDocument(pdf)
    try:
        kinds = [pdfium_raw.FPDF_PAGEOBJ_IMAGE]
        return sum(len(list(page.get_objects(filter=kinds))) for page in document)
    finally:
        document.close()
