"""What a page needs is loaded before the page is visited, so that the first visit does not wait for it."""

from collections.abc import Iterator
from importlib import import_module
from pkgutil import ModuleInfo, walk_packages

from PySide6.QtCore import QObject

from shopdesk.ui import screens
from shopdesk.ui.background import Background


def warm_pages(background: Background, owner: QObject) -> None:
    """Load the pages' modules on the reading lane one by one; what the pages ask is answered between."""
    _load_next(background, owner, walk_packages(screens.__path__, f"{screens.__name__}."))


def _load_next(background: Background, owner: QObject, left: Iterator[ModuleInfo]) -> None:
    def load() -> bool:
        found = next(left, None)
        if found is not None:
            import_module(found.name)
        return found is not None

    def loaded(more: bool) -> None:
        if more:
            _load_next(background, owner, left)

    background.read(owner, "warm", load, loaded)
