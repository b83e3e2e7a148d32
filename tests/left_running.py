"""Threads and timers of Qt that a test forgot to stop."""

from __future__ import annotations

import gc
import sys
from typing import Any


def running_in_qt() -> list[str]:
    """Name the Qt threads and timers that run, after what was to be deleted has been."""
    if "PySide6.QtCore" not in sys.modules:
        return []
    import shiboken6
    from PySide6.QtCore import QCoreApplication, QEvent, QThread, QThreadPool, QTimer

    application = QCoreApplication.instance()
    if application is None:
        return []
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete.value)
    alive = [thing for thing in _objects_of((QThread, QTimer)) if shiboken6.isValid(thing)]
    left = [_name(thing) for thing in alive if isinstance(thing, QTimer) and thing.isActive()]
    main = application.thread()  # its wrapper is among the objects, and it always runs
    threads = [thing for thing in alive if isinstance(thing, QThread) and thing != main]
    left += [_name(thread) for thread in threads if thread.isRunning()]
    if QThreadPool.globalInstance().activeThreadCount():
        left.append("the global QThreadPool")
    return left


def _objects_of(kinds: tuple[type, ...]) -> list[Any]:
    """Find living objects by their type alone: asking a proxy for its class may run code."""
    return [thing for thing in gc.get_objects() if issubclass(type(thing), kinds)]


def _name(thing: Any) -> str:
    return f"{type(thing).__name__} {thing.objectName()!r}"
