"""Sending one write at a time: a double click sends once, and after a bug what is typed can be sent again."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from shopdesk.domain.errors import RuleBroken
from shopdesk.services.customers import AddCustomer
from shopdesk.ui.sending import Sending
from shopdesk.ui.theme.look import Look
from tests.ui.form_cases import put
from tests.ui.shop_window import ShopInWindow, shop_in_window


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
    keep, sent = shop.rooms.intake.add_customer, []

    def kept_and_then_a_bug(command: AddCustomer) -> Any:
        sent.append(command.uid)
        added = keep(command)
        if len(sent) == 1:
            fail()
        return added

    page: Any = shop.go("customer", "new")
    monkeypatch.setattr(shop.rooms.intake, "add_customer", kept_and_then_a_bug)
    put(page.form.field("name").control, "Hollis Grange")
    put(page.form.field("phones").control, "303 555 0155")
    shop.key("Ctrl+Return")
    assert len(bugs) == 1
    assert page.form.field("name").text() == "Hollis Grange"
    shop.key("Ctrl+Return")
    assert len(sent) == 2
    assert sent[0] == sent[1]
    names = [row.name for row in shop.rooms.intake.customers()]
    assert names.count("Hollis Grange") == 1
