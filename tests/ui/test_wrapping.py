"""Text that wraps is whole: beside a field, on a card, in a column that is narrower than the text."""

from collections.abc import Callable

from PySide6.QtWidgets import QLabel, QWidget
from pytestqt.qtbot import QtBot

from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.card import card_of
from shopdesk.ui.widgets.columns import Columns, Scroll
from shopdesk.ui.widgets.fields import CheckField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel

Show = Callable[..., QWidget]
LONG = "This is a long sentence about what is wrong here, and it has to be read whole at the counter. " * 2


def whole(label: QLabel) -> bool:
    return label.height() >= label.heightForWidth(label.width())


def test_that_a_long_sentence_beside_a_field_is_whole(look: Look, shown: Show, qtbot: QtBot) -> None:
    form = Form(look, columns=3, least_width=120)
    for name in ("plate", "vin", "year"):
        form.add(TextField(look, name, name, help_line="Short"))
    page = Scroll(look)
    page.add(card_of(look, "Vehicle", form))
    shown(page, 520, 600)
    form.set_error("plate", LONG)
    (sentence,) = [label for label in form.findChildren(QLabel) if label.text() == LONG]
    qtbot.waitUntil(lambda: sentence.heightForWidth(sentence.width()) > 60 and whole(sentence))
    assert whole(sentence)


def test_that_a_long_text_on_a_card_at_the_side_is_whole(look: Look, shown: Show, qtbot: QtBot) -> None:
    text = PlainLabel(LONG * 2, wrap=True)
    columns = Columns(look, main=7, side=3, break_at=300)
    columns.add_main(card_of(look, "Main", PlainLabel("One line")))
    columns.add_side(card_of(look, "Side", text))
    page = Scroll(look)
    page.add(columns)
    shown(page, 700, 600)
    qtbot.waitUntil(lambda: text.heightForWidth(text.width()) > 60 and whole(text))
    assert whole(text)


def test_that_a_tick_among_ticks_takes_one_line_until_something_is_wrong(
    look: Look, shown: Show, qtbot: QtBot
) -> None:
    form = Form(look, columns=1)
    tick = form.add(CheckField(look, "drip", "A drip"))
    tick.stand_alone()
    shown(form, 300, 200)
    low = tick.sizeHint().height()
    tick.set_error("Name one of them.")
    qtbot.waitUntil(lambda: tick.sizeHint().height() > low)
    assert low < look.px(45)


def test_that_a_page_follows_the_keyboard_even_when_it_is_put_somewhere(
    look: Look, shown: Show, qtbot: QtBot
) -> None:
    form = Form(look, columns=1)
    for number in range(30):
        form.add(TextField(look, f"field {number}", f"Field {number}"))
    page = Scroll(look)
    page.add(form)
    shown(page, 400, 300)
    last = form.field("field 29")
    last.setFocus()
    qtbot.waitUntil(lambda: page.verticalScrollBar().value() > 0)
    top = last.control.mapTo(page.viewport(), last.control.rect().topLeft()).y()
    assert 0 <= top <= page.viewport().height() - last.control.height()
    form.field("field 0").setFocus()
    assert page.verticalScrollBar().value() < last.control.height()
