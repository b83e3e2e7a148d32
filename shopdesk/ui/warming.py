"""What a page needs is loaded before the page is visited, so that the first visit does not wait for it."""

from collections.abc import Callable, Iterator
from functools import partial
from importlib import import_module
from pkgutil import walk_packages

from PySide6.QtCore import QObject

from shopdesk.ui import screens
from shopdesk.ui.background import Background
from shopdesk.ui.presenters.customers import phones_reader

Step = Callable[[], object]


def warm_pages(background: Background, owner: QObject, then: Callable[[], None]) -> None:
    """Load it all on the lane for papers, one thing after the other, and call back.

    What the pages ask meanwhile is read beside it; a paper is drawn between two things.
    """
    _take_next(background, owner, _steps(), then)


def _steps() -> Iterator[Step]:
    for module in walk_packages(screens.__path__, f"{screens.__name__}."):
        yield partial(import_module, module.name)
    yield partial(import_module, "shopdesk.services.record_paper")
    yield partial(phones_reader("en_US"), "555 0142")  # the first number read loads every country's rules


def _take_next(
    background: Background, owner: QObject, left: Iterator[Step], then: Callable[[], None]
) -> None:
    def step() -> bool:
        found = next(left, None)
        if found is not None:
            found()
        return found is not None

    def done(more: bool) -> None:
        if more:
            _take_next(background, owner, left, then)
        else:
            then()

    background.paper(owner, "warm", step, done)
