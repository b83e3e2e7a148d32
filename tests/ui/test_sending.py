"""Sending one write at a time: a double click sends once, and after a bug what is typed can be sent again."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.look import Look
from tests.ui.form_cases import put
from tests.ui.shop_window import ShopInWindow, shop_in_window
from tests.ui.work_shop import work_in_window


@pytest.fixture
def shop(look: Look, small_shop: Path) -> Iterator[ShopInWindow]:
    with shop_in_window(look, small_shop, real=("customer",)) as found:
        found.show()
        yield found


@pytest.fixture
def bugs(shop: ShopInWindow) -> list[BaseException]:
    """What the crash handler would be told."""
    told: list[BaseException] = []
    shop.background._bug = told.append
    return told


def keeps_and_then_fails(keep: Any) -> tuple[Any, list[str]]:
    """Give what keeps a command and meets a bug after it the first time, and the ids it was sent."""
    sent: list[str] = []

    def kept(command: Any) -> Any:
        sent.append(command.uid)
        answer = keep(command)
        if len(sent) == 1:
            fail()
        return answer

    return kept, sent


def fail() -> None:
    raise ZeroDivisionError("a bug")


def refuse() -> None:
    raise RuleBroken("Not so.", "name")


def test_that_one_goes_at_a_time_and_the_next_after_an_answer_a_refusal_or_a_bug(
    shop: ShopInWindow, bugs: list[BaseException]
) -> None:
    sending, heard = Sending(shop.desk, shop.window), []
    for work in (lambda: None, refuse, fail, lambda: None):
        assert sending.send(work, lambda _none: heard.append("kept"), lambda no: heard.append(no.sentence))
        assert not sending.send(work, lambda _none: heard.append("twice"))
        shop.settle()
        assert not sending.is_busy
    assert heard == ["kept", "Not so.", "kept"]
    assert [type(bug) for bug in bugs] == [ZeroDivisionError]


def test_that_a_form_whose_write_met_a_bug_saves_when_sent_again_and_only_once(
    shop: ShopInWindow, bugs: list[BaseException], monkeypatch: pytest.MonkeyPatch
) -> None:
    room = shop.rooms.intake
    work, sent = keeps_and_then_fails(room.add_customer)
    page: Any = shop.go("customer", "new")
    monkeypatch.setattr(room, "add_customer", work)
    put(page.form.field("name").control, "Hollis Grange")
    put(page.form.field("phones").control, "303 555 0155")
    shop.key("Ctrl+Return")
    assert len(bugs) == 1
    assert page.form.field("name").text() == "Hollis Grange"
    shop.key("Ctrl+Return")
    assert len(sent) == 2
    assert sent[0] == sent[1]
    names = [row.name for row in room.customers()]
    assert names.count("Hollis Grange") == 1


def test_that_consent_and_money_that_met_a_bug_are_kept_once(
    look: Look, sqlite_template: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with work_in_window(look, sqlite_template, tmp_path / "shop.db") as shop:
        bugs: list[BaseException] = []
        shop.background._bug = bugs.append
        page: Any = shop.go("work order", "2")
        consents = len(shop.rooms.board.work_order(2).consents)
        work, agreed = keeps_and_then_fails(shop.rooms.work.consent)
        monkeypatch.setattr(shop.rooms.work, "consent", work)
        page.show_pane("price")
        page.price.consent.begin()
        put(page.price.consent.form.field("said").control, "Yes, go on.")
        for _press in range(2):
            page.price.consent.save()
            shop.settle()
        assert len(agreed) == 2
        assert len(shop.rooms.board.work_order(2).consents) == consents + 1
        for _press in range(2):  # finished, then billed
            shop.key("Ctrl+Return")
        work, taken = keeps_and_then_fails(shop.rooms.billing.take_payment)
        monkeypatch.setattr(shop.rooms.billing, "take_payment", work)
        put(page.money.form.field("amount").control, "$100.00")
        for _press in range(2):
            page.money.take_payment()
            shop.settle()
        invoice = shop.rooms.board.work_order(2).invoice
        assert invoice is not None
        assert [row.amount_minor for row in shop.rooms.invoices.invoice(invoice.id).payments] == [10_000]
        assert (len(taken), len(bugs)) == (2, 2)
