"""Papers by name: what a page's subject asks for, and what cannot be printed."""

from collections.abc import Callable
from dataclasses import dataclass
from gettext import gettext as _

from shopdesk.domain.errors import NotFound
from shopdesk.services.desk import Desk as Rooms
from shopdesk.services.papers import PaperBytes

STICKER = "sticker"
CONTAINER_LABEL, JUG_LABEL = "container label", "jug label"
ON_ROLL_OR_SHEET = (STICKER, CONTAINER_LABEL, JUG_LABEL)


@dataclass(frozen=True, slots=True)
class PaperName:
    """A kind of paper and what it is about: "job sheet:12"."""

    kind: str
    subject_id: int

    def title(self) -> str:
        """The page's heading."""
        return titles().get(self.kind, _("Paper"))


def titles() -> dict[str, str]:
    """Give the heading of every kind of paper."""
    return {
        "invoice": _("Invoice"),
        "estimate": _("Estimate"),
        "job sheet": _("Job sheet"),
        "service record": _("Service record"),
        "service record without names": _("Service record without names"),
        STICKER: _("Sticker"),
        "count sheet": _("Count sheet"),
        "lot list": _("Where a lot went"),
        CONTAINER_LABEL: _("Container label"),
        JUG_LABEL: _("Label for a jug or can"),
        "used oil label": _("Used oil label"),
        "order": _("Order"),
    }


def paper_name(subject: str) -> PaperName:
    """Read a page's subject. NotFound where there is no such paper."""
    kind, _colon, number = subject.rpartition(":")
    if kind not in titles() or not number.isdecimal():
        raise NotFound(_("There is no such paper."))
    return PaperName(kind, int(number))


def maker(rooms: Rooms, name: PaperName, *, on_sheet: bool = False) -> Callable[[], PaperBytes]:
    """Give what makes a paper; it is called off the window's thread."""
    number, papers, shelf = name.subject_id, rooms.papers, rooms.shelf_papers
    made: dict[str, Callable[[], PaperBytes]] = {
        "invoice": lambda: papers.invoice(number),
        "estimate": lambda: papers.estimate(number),
        "job sheet": lambda: papers.job_sheet(number),
        "service record": lambda: papers.service_record(number),
        "service record without names": lambda: papers.service_record(number, personal=False),
        STICKER: lambda: papers.sticker(number, on_sheet=on_sheet),
        "count sheet": lambda: shelf.count_sheet(number),
        "lot list": lambda: shelf.lot_list(number),
        CONTAINER_LABEL: lambda: shelf.container_label(number, on_sheet=on_sheet),
        JUG_LABEL: lambda: shelf.secondary_label(number, on_sheet=on_sheet),
        "used oil label": lambda: shelf.used_oil_label(number),
        "order": lambda: shelf.purchase_order(number),
    }
    return made[name.kind]


def file_stem(paper: PaperBytes) -> str:
    """Give a paper's file name without its ending."""
    return paper.name.removesuffix(".pdf")


def letters_sentence(paper: PaperBytes) -> str:
    """Say which letters no bundled type has, or nothing."""
    if not paper.unprintable:
        return ""
    return _("These letters cannot be printed and show as a mark on the paper: {letters}").format(
        letters="  ".join(paper.unprintable)
    )
