"""What a technician's hands do on the bay's page, for its tests."""

from __future__ import annotations

from PySide6.QtWidgets import QPushButton

from shopdesk.domain.record import Entry, current
from shopdesk.ui.screens.bay.screen import BayScreen
from shopdesk.ui.screens.bay.step_page import StepPage
from tests.ui.shop_window import ShopInWindow


def standing(shop: ShopInWindow, record_id: int = 2) -> list[Entry]:
    """Give the entries that stand in a record."""
    return list(current(each.entry for each in shop.rooms.bay.record(record_id).entries))


def values(shop: ShopInWindow, record_id: int = 2) -> dict[str, object]:
    """Give what stands, by field and round."""
    return {
        f"{entry.field}:{entry.round}": entry.value_text if entry.value_int is None else entry.value_int
        for entry in standing(shop, record_id)
    }


def go_to(shop: ShopInWindow, page: BayScreen, title: str) -> StepPage:
    """Walk to a step by its title, first onward, then back."""
    for way in ("Alt+Right", "Alt+Left"):
        for _step in range(24):
            if page.title_line.text() == title:
                found = page._page
                assert isinstance(found, StepPage)
                return found
            shop.key(way)
    raise AssertionError(f"no step {title!r}")


def answer(shop: ShopInWindow, page: BayScreen, question: str, words: str) -> None:
    """Press the big button that answers a question."""
    wanted = f"{question}: {words}"
    next(b for b in page.findChildren(QPushButton) if b.accessibleName() == wanted).click()
    shop.settle()


def press(shop: ShopInWindow, page: BayScreen, words: str) -> None:
    """Press a big button by its words."""
    found = [b for b in page.findChildren(QPushButton) if b.accessibleName() == words and b.isVisible()]
    assert found, words
    found[0].click()
    shop.settle()


def say_it_was_done(shop: ShopInWindow, page: BayScreen) -> None:
    """Answer that the steps before were done, and are recorded too."""
    assert page.working.why.isVisible()
    assert page.working.why.too.hasFocus()
    shop.key("Space")
