"""Fields and forms: nothing typed is lost, Enter goes on, every sentence stands where it belongs."""

from collections.abc import Callable
from datetime import date

import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.presenters.dates import read_date, show_date
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from shopdesk.ui.widgets.controls import Line
from shopdesk.ui.widgets.fields import (
    CheckField,
    ChoiceField,
    DateField,
    NotesField,
    NumberField,
    TextField,
)
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.number_pad import NumberPad

Show = Callable[..., QWidget]
TODAY = date(2026, 11, 25)


def doubled(text: str) -> str:
    try:
        return f"reads as {2 * int(text)}"
    except ValueError as error:
        raise RuleBroken("Write a whole number.", "pumped") from error


@pytest.fixture
def form(look: Look) -> Form:
    form = Form(look, columns=2)
    form.add(TextField(look, "name", "Name"))
    form.add(NumberField(look, "pumped", "Put in", doubled, unit="qt", help_line="Sheet: 5 qt"))
    form.add(ChoiceField(look, "grade", "Magnet", [("", "Choose…"), ("2", "2 Fine paste")]))
    form.add(DateField(look, "done", "Done on", lambda: TODAY))
    form.add(CheckField(look, "washer", "New washer"))
    form.add(NotesField(look, "notes", "Notes"))
    return form


def test_that_a_value_read_stands_beneath_and_help_when_there_is_none(
    form: Form, shown: Show, qtbot: QtBot
) -> None:
    shown(form)
    field = form.field("pumped")
    assert field.beneath == "Sheet: 5 qt"
    qtbot.keyClicks(field.control, "12")
    assert field.beneath == "reads as 24"


def test_that_a_wrong_text_is_kept_and_said_only_once_the_field_is_left(
    form: Form, shown: Show, qtbot: QtBot
) -> None:
    shown(form)
    field = form.field("pumped")
    field.setFocus()
    qtbot.keyClicks(field.control, "twelve")
    assert field.error == ""
    qtbot.keyClick(field.control, Qt.Key.Key_Tab)
    assert field.error == "Write a whole number."
    assert field.text() == "twelve"
    assert field.control.accessibleDescription() == "Write a whole number."
    qtbot.keyClick(field.control, Qt.Key.Key_Backspace)
    assert field.error == ""


def test_that_enter_goes_on_and_the_last_field_completes(form: Form, shown: Show, qtbot: QtBot) -> None:
    shown(form)
    form.focus_first()
    for name in ("pumped", "grade", "done", "washer", "notes"):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
        assert QApplication.focusWidget() is form.field(name).control
    form.field("notes").hide()
    form.field("washer").setFocus()
    with qtbot.waitSignal(form.completed):
        qtbot.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)


def test_that_a_number_field_selects_all_when_entered(form: Form, shown: Show, qtbot: QtBot) -> None:
    shown(form)
    field = form.field("pumped")
    field.set_text("48")
    qtbot.mouseClick(field.control, Qt.MouseButton.LeftButton)
    qtbot.keyClicks(field.control, "5")
    assert field.text() == "5"


def test_that_a_refusal_goes_beside_the_field_its_path_ends_in(form: Form, shown: Show) -> None:
    shown(form)
    form.show_refusal(RuleBroken("Too much.", "/service/pumped"))
    assert form.field("pumped").error == "Too much."
    assert QApplication.focusWidget() is form.field("pumped").control


def test_that_a_refusal_about_no_field_stands_beneath_the_form(form: Form, shown: Show) -> None:
    shown(form)
    form.show_refusal(RuleBroken("Not today.", "elsewhere"))
    form.field("grade").hide()
    assert form.error == "Not today."
    form.show_refusal(RuleBroken("No grade.", "grade"))
    assert form.error == "No grade."


def test_that_filling_is_not_typing_and_a_draft_is(form: Form) -> None:
    texts = {"name": "Lee", "pumped": "x", "grade": "2", "done": "", "washer": "yes", "notes": "a\nb"}
    form.fill(texts)
    assert (form.texts(), form.touched) == (texts, False)
    form.restore(texts | {"name": "<b>Lee</b>"})
    assert (form.texts()["name"], form.touched) == ("<b>Lee</b>", True)


def test_that_typing_announces_an_edit_and_filling_none(form: Form, shown: Show, qtbot: QtBot) -> None:
    shown(form)
    heard: list[str] = []
    form.edited.connect(lambda: heard.append("edited"))
    form.fill({"name": "Lee", "notes": "n", "washer": "yes", "grade": "2"})
    assert heard == []
    qtbot.keyClicks(form.field("name").control, "x")
    assert heard == ["edited"]


def test_that_the_columns_follow_width_and_text_size(form: Form, look: Look, shown: Show) -> None:
    shown(form, 900)
    places = {name: form.field(name).geometry() for name in ("name", "pumped")}
    assert places["name"].top() == places["pumped"].top()
    look.choose(LookChoice(shade=Shade.LIGHT, percent=200, less_motion=True))
    form.resize(560, 900)
    form.layout().activate()
    assert form.field("name").geometry().bottom() < form.field("pumped").geometry().top()
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def test_that_the_number_pad_types_into_the_field_it_aims_at(look: Look, shown: Show, qtbot: QtBot) -> None:
    field, pad = NumberField(look, "pumped", "Put in"), NumberPad(look)
    shown(pad)
    pad.aim_at(field.line, ["qt", "mL"])
    keys = {key.accessibleName(): key for key in pad.findChildren(QWidget) if key.accessibleName()}
    for name in ("4", "Decimal point", "8", "5", "9", "Delete the last one", "qt", "mL"):
        qtbot.mouseClick(keys[name], Qt.MouseButton.LeftButton)
    assert field.text() == "4.85 mL"
    assert min(key.height() for key in keys.values()) >= 56


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("2026-11-25", TODAY),
        ("25 nov 2026", TODAY),
        ("November 25, 2026", TODAY),
        ("25/11/2026", TODAY),
        ("11/25/2026", TODAY),
        ("Yesterday", date(2026, 11, 24)),
        ("29 Feb 2028", date(2028, 2, 29)),
    ],
)
def test_that_dates_are_read_as_people_write_them(typed: str, read: date) -> None:
    assert read_date(typed, TODAY) == read


@pytest.mark.parametrize(
    "typed", ["3/4/2026", "31 Feb 2026", "soon", "2026-13-01", "25 xyz 2026", "٣/٤/٢٠٢٦", "9" * 999]
)
def test_that_a_date_that_is_none_or_two_is_refused_in_words(typed: str) -> None:
    with pytest.raises(RuleBroken) as refusal:
        read_date(typed, TODAY, "done")
    assert refusal.value.field == "done"
    assert refusal.value.sentence.endswith(".")


def test_that_the_month_is_shown_in_letters() -> None:
    assert show_date(TODAY) == "25 Nov 2026"


def test_that_a_long_text_put_into_a_narrow_field_shows_its_beginning(
    look: Look, shown: Callable[..., QWidget]
) -> None:
    field = TextField(look, "email", "E-mail")
    shown(field, width=120, height=80)
    field.control.clearFocus()
    field.set_text("orchard.growers.of.the.long.valley@mail.example")
    line = field.control
    assert isinstance(line, Line)
    assert line.cursorPosition() == 0
    line.setFocus()
    assert line.cursorPosition() == len(line.text())
