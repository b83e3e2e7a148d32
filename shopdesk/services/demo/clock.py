"""The demo's clock: it stands where the making of the demo has put it."""

from datetime import datetime


class DemoClock:
    """A clock that is set by hand and only ever goes forward."""

    def __init__(self, begins: datetime) -> None:
        self._now = begins

    def now(self) -> datetime:
        """Give the instant the demo has come to."""
        return self._now

    def set(self, at: datetime) -> None:
        """Go on to ``at``; an earlier instant leaves the clock where it is."""
        self._now = max(self._now, at)
