"""The time of this machine."""

from datetime import UTC, datetime


class SystemClock:
    """Says what time it is."""

    def now(self) -> datetime:
        """Give the present instant in UTC."""
        return datetime.now(UTC)
