"""Money: the list, the paper beside it, payments by keyboard, and one invoice's page."""

import json
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest

from shopdesk.services.billing import TakePayment, Tender
from shopdesk.ui.actions import Verb
from shopdesk.ui.screens.invoice import InvoiceScreen
from shopdesk.ui.screens.money import MoneyScreen
from shopdesk.ui.theme.look import Look, LookChoice, Shade
from tests.ui.odd_texts import odd_text
from tests.ui.shop_window import JOB, ShopInWindow, assert_tab_walks, shop_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("money", "invoice")) as found:
        bill_another(found)
        found.show()
        yield found


def bill_another(shop: ShopInWindow) -> None:
    """Do the same work for somebody else, who has not paid yet."""
    job = json.loads(JOB.read_text(encoding="utf-8"))
    job |= {"id": "5f0e9a1c-3a54-4c1e-9d7e-2b1d90a7f002", "deliveries": []}
    job["customer"] = {"name": "Odalys Brandt", "phones": ["303 555 0121"]}
    job["vehicle"] = {**job["vehicle"], "plate": "LM 902", "vin": ""}
    del job["payment"]
    shop.rooms.jobs.run(job)


def money(shop: ShopInWindow, subject: str = "") -> MoneyScreen:
    screen = shop.go("money", subject)
    assert isinstance(screen, MoneyScreen)
    return screen


def invoice(shop: ShopInWindow, number: int = 2) -> InvoiceScreen:
    screen = shop.go("invoice", str(number))
    assert isinstance(screen, InvoiceScreen)
    return screen


def still_open(shop: ShopInWindow) -> int:
    return shop.rooms.invoices.invoice(2).row.open_minor


def test_that_invoices_are_listed_with_what_is_open(shop: ShopInWindow) -> None:
    screen = money(shop)
    columns = screen.table._rows.columns
    shown = [[column.text(row) for column in columns] for row in screen.table.rows]
    assert [line[0] for line in shown] == ["1002", "1001"]
    assert shown[0][2:6] == ["Odalys Brandt", "LM 902", "225.11", "225.11"]
    assert shown[1][5:] == ["paid", "Paid"]
    shop.key("Down")
    assert screen.main is not None
    assert not screen.main.enabled


def test_that_the_list_is_narrowed_by_name_number_and_what_is_open(shop: ShopInWindow) -> None:
    screen = money(shop)
    shop.key("Ctrl+F")
    shop.type("okon")
    shop.settle()
    assert [row.number for row in screen.table.rows] == [1001]
    screen.line.setText("1002")
    shop.settle()
    assert [row.number for row in screen.table.rows] == [1002]
    screen.line.setText("")
    screen = money(shop, "open")
    assert [row.number for row in screen.table.rows] == [1002]


def test_that_the_real_paper_of_the_chosen_invoice_stands_beside(shop: ShopInWindow) -> None:
    screen = money(shop)
    kept = shop.rooms.papers.invoice(2).content
    assert screen.paper._data == kept
    shop.key("Down")
    shop.settle()
    assert screen.paper._data == shop.rooms.papers.invoice(1).content
    assert len(screen.paper.sheets) >= 1


def test_that_all_that_is_open_is_paid_by_three_keys(shop: ShopInWindow) -> None:
    screen = money(shop)
    shop.key("Ctrl+Return")
    assert screen.payment.is_open
    assert screen.payment.form.field("amount").beneath == "Empty: all that is open, $225.11"
    shop.key("Down")
    shop.key("Ctrl+Return")
    payment = shop.rooms.invoices.invoice(2).payments[0]
    assert (payment.tender, payment.amount_minor) == ("card", 22511)
    assert shop.window.notices.words == "$225.11 taken; invoice 1002 is paid."
    assert not screen.payment.is_open
    assert screen.table._rows.columns[5].text(screen.table.rows[0]) == "paid"


def test_that_a_part_is_paid_and_the_rest_said_while_it_is_typed(shop: ShopInWindow) -> None:
    screen = money(shop)
    shop.key("Ctrl+Return")
    shop.key("Tab")
    shop.type("100")
    assert screen.payment.form.field("amount").beneath == "$100.00: leaves $125.11 open"
    shop.key("Ctrl+Return")
    assert still_open(shop) == 12511
    assert shop.window.notices.words == "$100.00 taken on invoice 1002; $125.11 is still open."


def test_that_more_than_is_open_is_refused_beside_the_amount(shop: ShopInWindow) -> None:
    screen = money(shop)
    shop.key("Ctrl+Return")
    shop.key("Tab")
    shop.type("300")
    shop.key("Ctrl+Return")
    amount = screen.payment.form.field("amount")
    assert amount.error == "Only $225.11 is open on this invoice."
    assert amount.text() == "300"
    assert still_open(shop) == 22511


def test_that_a_payment_another_counter_took_meanwhile_is_not_taken_twice(shop: ShopInWindow) -> None:
    screen = invoice(shop)
    shop.key("Ctrl+Return")
    screen.payment.form.field("amount").set_text("200")
    shop.rooms.billing.take_payment(
        TakePayment(actor=shop.work.actor, invoice_id=2, tender=Tender.CASH, amount="125.11")
    )
    screen.payment.take()
    shop.settle()
    assert still_open(shop) == 10000
    assert screen.payment.form.field("amount").error
    assert screen.payment.form.field("amount").text() == "200"
    assert screen.still_open.accessibleName() == "Still open: $100.00"


def test_that_a_double_click_takes_the_money_once(shop: ShopInWindow) -> None:
    screen = invoice(shop)
    shop.key("Ctrl+Return")
    screen.payment.form.field("amount").set_text("50")
    screen.payment.save.click()
    screen.payment.save.click()
    shop.settle()
    assert still_open(shop) == 17511


def test_that_an_invoice_shows_what_the_open_sum_came_from_and_its_work_order(shop: ShopInWindow) -> None:
    shop.rooms.billing.take_payment(
        TakePayment(actor=shop.work.actor, invoice_id=2, tender=Tender.CHECK, amount="25.11", note="No. 88")
    )
    screen = invoice(shop)
    assert screen.still_open.accessibleName() == "Still open: $200.00"
    assert [screen.payments._rows.columns[1].text(row) for row in screen.payments.rows] == ["Check, No. 88"]
    assert "Work order: 1002" in screen._facts.texts()
    screen._open_work_order()
    assert shop.place()[0] == "work order"


def test_that_an_invoice_can_be_printed_or_saved_from_the_keyboard(shop: ShopInWindow) -> None:
    invoice(shop, 1)
    shop.ask.answers = [None]
    shop.key("Ctrl+P")
    assert "Save the paper as a PDF instead?" in shop.ask.asked[0]


def test_that_an_invoice_that_is_not_there_is_said_and_the_list_shown(shop: ShopInWindow) -> None:
    shop.go("invoice", "999")
    assert shop.place()[0] == "money"
    assert shop.window.notices.words == "That invoice is not there."


def test_that_tab_reaches_each_part_once(shop: ShopInWindow) -> None:
    for page, subject in (("money", ""), ("invoice", "2")):
        screen = shop.go(page, subject)
        assert_tab_walks(shop, screen)
        shop.window.do(Verb.MAIN)
        shop.settle()
        assert_tab_walks(shop, screen)


def test_that_the_pages_fit_a_small_screen_at_any_text_size(shop: ShopInWindow, look: Look) -> None:
    for percent in (100, 200):
        look.choose(LookChoice(shade=Shade.LIGHT, percent=percent, less_motion=True))
        for page, subject in (("money", ""), ("invoice", "2")):
            shop.go(page, subject)
            least = shop.window.minimumSizeHint()
            assert (least.width() <= 1280, least.height() <= 800) == (True, True), (page, percent, least)
    look.choose(LookChoice(shade=Shade.LIGHT, less_motion=True))


def test_that_odd_texts_take_no_money_unless_they_are_an_amount(shop: ShopInWindow) -> None:
    dice = Random(7)
    screen = invoice(shop)
    row = shop.rooms.invoices.invoice(2).row
    outcomes = set()
    for _turn in range(50):
        screen.payment.begin(shop.rooms.invoices.invoice(2).row)
        form = screen.payment.form
        amount = dice.choice(("0.01", odd_text(dice)))
        form.restore({"tender": "cash", "amount": amount, "note": odd_text(dice), "on": odd_text(dice)})
        typed, before = form.texts(), still_open(shop)
        screen.payment.take()
        shop.settle()
        said = [form.error, *(form.field(name).error for name in form.texts())]
        taken = before - still_open(shop)
        assert (taken > 0) == (not any(said)), (typed, said)
        assert taken > 0 or form.texts() == typed
        outcomes.add(taken > 0)
    assert outcomes == {True, False}
    assert 0 <= still_open(shop) < row.total_minor
