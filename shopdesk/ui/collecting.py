"""Python's cyclic collection, held to the window's thread.

Python collects cycles on whichever thread happens to pass the threshold. A cycle may hold widgets, and Qt
frees widgets only on their own thread: on a lane that ends the program. So the automatic collection is off
as long as a window lives, and a timer on the window's thread does what it would have done.
"""

import gc

from PySide6.QtCore import QObject, QTimer

_EVERY_MS = 1000


class Collector(QObject):
    """Lives as long as the window; ``end`` gives the collection back to Python."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self._was_on = gc.isenabled()
        gc.disable()
        self._timer = QTimer(self, interval=_EVERY_MS)
        self._timer.timeout.connect(collect_due)
        self._timer.start()

    def end(self) -> None:
        """Stop the timer; nothing runs beside the window any more."""
        self._timer.stop()
        if self._was_on:
            gc.enable()


def collect_due() -> None:
    """Collect the oldest generation whose count has passed its threshold, as Python itself does."""
    counts, limits = gc.get_count(), gc.get_threshold()
    for generation in (2, 1, 0):
        if counts[generation] > limits[generation]:
            gc.collect(generation)
            return


def spare_what_is_there() -> None:
    """Leave what is there now out of every collection until ``take_back``: it is the program itself.

    Looking it all over again would hold the window up for longer each time than everything made since.
    """
    gc.freeze()


def take_back() -> None:
    """Let everything be looked over again; the program's end."""
    gc.unfreeze()
