"""Who is at work in which shop, and how its figures are written: what every screen asks the shop through."""

from shopdesk.services.acting import Actor
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.figures import Figures


class AtWork:
    """The shop's rooms, who is at work here, and how figures are written.

    ``figures`` follows the shop's set-up: ask for it when text is made, do not keep it.
    """

    def __init__(self, rooms: Rooms, actor: Actor, figures: Figures) -> None:
        self.rooms = rooms
        self.actor = actor
        self.figures = figures
