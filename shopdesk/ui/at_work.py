"""Who is at work in which shop, and how its figures are written: what every screen asks the shop through."""

from collections.abc import Callable

from shopdesk.services.acting import Actor
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.figures import Figures


class AtWork:
    """The shop's rooms, who is at work here, and how figures are written.

    ``figures`` follows the shop's set-up: ask for it when text is made, do not keep it. ``taken_over`` is
    called when somebody else is at work here from now on.
    """

    def __init__(self, rooms: Rooms, actor: Actor, figures: Figures) -> None:
        self.rooms = rooms
        self.figures = figures
        self.taken_over: Callable[[], None] = lambda: None
        self._actor = actor

    @property
    def actor(self) -> Actor:
        """Who is at work here, in whose name everything is kept."""
        return self._actor

    @actor.setter
    def actor(self, actor: Actor) -> None:
        self._actor = actor
        self.taken_over()
