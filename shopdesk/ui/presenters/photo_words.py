"""Words of pictures that are attached."""

from gettext import gettext as _

from shopdesk.services.figures import Figures
from shopdesk.services.photos import PhotoKind, PhotoRow

#: Which files a picture may be; what is no picture is refused when it is read.
FILES = "*.jpg *.jpeg *.png *.heic *.heif"


def kind_choices() -> list[tuple[str, str]]:
    """Give what a picture may show."""
    return [(kind.value, _(kind.value).capitalize()) for kind in PhotoKind]


def file_kinds() -> str:
    """Give the files that may be chosen."""
    return _("Pictures ({endings})").format(endings=FILES)


def photo_words(row: PhotoRow, figures: Figures) -> str:
    """Give what a picture shows, when it came and by whom."""
    parts = (_(row.kind.value).capitalize(), row.note, figures.stamp(row.at_utc), row.person)
    return ", ".join(part for part in parts if part)


def photo_short(row: PhotoRow, figures: Figures) -> str:
    """Give what stands beneath a small picture."""
    return f"{_(row.kind.value).capitalize()}, {figures.clock(row.at_utc)}"
