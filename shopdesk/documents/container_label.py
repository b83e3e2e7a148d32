"""Labels for containers: what is in them and what it may do to people; and "USED OIL" on a vessel.

A container as it came, a jug filled from it, a vessel of used oil. Everything on a label is as large as
its place allows; a text that would become too small to read is refused, never cut.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from gettext import gettext as _
from typing import Final

from shopdesk.documents.fonts import Face, Fonts
from shopdesk.documents.ink import Box, Ink, Text
from shopdesk.documents.page import PaperName, write_pages
from shopdesk.documents.parts import Band, wrap
from shopdesk.documents.pictograms import pictogram
from shopdesk.documents.stock import LabelSize, PaperSize, mm
from shopdesk.documents.theme import LINE, Style, deferral
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.hazards import PICTOGRAM_NAMES, USED_OIL, Pictogram

MARGIN: Final = mm(2)
LEAST_SIZE: Final = 4.0
#: A pictogram covers at least 1 cm² (EU 1272/2008, annex I 1.2.1.3, from memory): its square is 15 mm wide.
LEAST_PICTOGRAM: Final = mm(15)
_SHEET_MARGIN: Final = mm(18)


@dataclass(frozen=True, kw_only=True, slots=True)
class ContainerLabel:
    """What stands on a label. `facts` are (label, value) pairs: lot, received, opened, best before …

    `hazards` are the words of the product's own safety data sheet; `sheet` names that sheet with its
    date. `secondary` marks a jug or can filled from another container.
    """

    shop: str
    product: str
    maker: str = ""
    secondary: bool = False
    signal_word: str = ""
    hazards: str = ""
    pictograms: tuple[Pictogram, ...] = ()
    facts: tuple[tuple[str, str], ...] = ()
    sheet: str = ""
    emergency: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class UsedOilLabel:
    """A used-oil vessel: its words are fixed, what else stands on it is the shop's."""

    shop: str
    vessel: str
    facts: tuple[tuple[str, str], ...] = ()


def render_container_label(paper: ContainerLabel, *, label: LabelSize, fonts: Fonts) -> bytes:
    """One label of a roll as a PDF page of its size. RuleBroken names the field that does not fit."""
    label = label.in_whole_dots()
    place = _Place(0, 0, label.width, label.height, fonts, label.name)
    ink = _Label(paper, place).ink()
    name = PaperName(shop=paper.shop, title=_("Container label"))
    return write_pages(
        [[(0.0, Band(label.height, tuple(ink)))]], width=label.width, height=label.height, name=name
    )


def render_container_label_sheet(paper: ContainerLabel, *, size: PaperSize, fonts: Fonts) -> bytes:
    """A label for a drum: half a sheet of paper, framed to be cut out."""
    width = size.width - 2 * _SHEET_MARGIN
    place = _Place(_SHEET_MARGIN, 0, width, width * 0.72, fonts, size.name)
    frame = Box(_SHEET_MARGIN, 0, place.width, place.height, LINE)
    ink = (frame, *_Label(paper, place).ink())
    name = PaperName(shop=paper.shop, title=_("Container label"))
    band = (_SHEET_MARGIN, Band(place.height, ink))
    return write_pages([[band]], width=size.width, height=size.height, name=name)


def render_used_oil_label(paper: UsedOilLabel, *, size: PaperSize, fonts: Fonts) -> bytes:
    """The words of used oil across a sheet of paper, the vessel below: for drum, tank, fill pipe, funnel."""
    width, height = size.width - 2 * _SHEET_MARGIN, (size.width - 2 * _SHEET_MARGIN) * 0.6
    place = _Place(_SHEET_MARGIN, 0, width, height, fonts, size.name)
    place.block("", USED_OIL, 0, height * 0.52, face=Face.STRONG, largest=200, smallest=60)
    place.block("vessel", paper.vessel, height * 0.54, height * 0.12, largest=30, smallest=10)
    facts = "   ".join(f"{label}:\N{NO-BREAK SPACE}{value}" for label, value in paper.facts if value)
    place.block("facts", facts, height * 0.67, height * 0.1, largest=16, smallest=8)
    place.block("shop", paper.shop, height * 0.78, height * 0.07, largest=14, smallest=8)
    place.block("", deferral(), height * 0.87, height * 0.1, largest=8, smallest=6)
    frame = Box(_SHEET_MARGIN, 0, width, height, LINE * 3)
    name = PaperName(shop=paper.shop, title=USED_OIL)
    band = (_SHEET_MARGIN, Band(height, (frame, *place.drawn)))
    return write_pages([[band]], width=size.width, height=size.height, name=name)


class _Place:
    """A rectangle that is filled from its top; texts are set as large as their height allows."""

    def __init__(self, x: float, y: float, width: float, height: float, fonts: Fonts, name: str) -> None:
        self.x, self.y, self.width, self.height = x, y, width, height
        self.fonts = fonts
        self.name = name
        self.drawn: list[Ink] = []

    def block(
        self,
        field: str,
        text: str,
        top: float,
        height: float,
        *,
        left: float = MARGIN,
        width: float = 0.0,
        face: Face = Face.REGULAR,
        largest: float = 10.0,
        smallest: float = LEAST_SIZE,
    ) -> None:
        """A text in its place, or RuleBroken with the field when it does not fit at the smallest size."""
        if not text:
            return
        room = width or self.width - left - MARGIN
        size = max(largest, smallest)
        while size >= smallest:
            style = Style(size=size, leading=size * 1.15, face=face)
            lines = wrap(self.fonts, text, style, room)
            fits = all(self.fonts.width(line, face, size) <= room for line in lines)
            if fits and len(lines) * style.leading <= height + 0.01 and not _breaks_words(text, lines):
                self._lines(lines, style, left, top + (height - len(lines) * style.leading) / 2)
                return
            size -= 0.5 if size > 12 else 0.25
        sentence = _("This text is too long for the label {label}: {text}")
        raise RuleBroken(sentence.format(label=self.name, text=text), field)

    def _lines(self, lines: Sequence[str], style: Style, left: float, top: float) -> None:
        for at, line in enumerate(lines):
            y = self.y + top + at * style.leading + style.baseline
            self.drawn.append(Text(self.x + left, y, line, style.face, style.size))


def _breaks_words(text: str, lines: Sequence[str]) -> bool:
    """Whether a word was cut to fit: a smaller size is better."""
    return " ".join(" ".join(lines).split()) != " ".join(text.split())


class _Label:
    """A container's label: product, signal word, pictograms, hazards, facts, closing sentence."""

    def __init__(self, paper: ContainerLabel, place: _Place) -> None:
        self._paper = paper
        self._place = place
        self._scale = min(place.width / mm(100), place.height / mm(62))

    def ink(self) -> list[Ink]:
        """Everything on the label; y counts from its top."""
        place, paper, line = self._place, self._paper, mm(4) * self._scale
        top = MARGIN
        head = _("SECONDARY CONTAINER · {shop}") if paper.secondary else "{shop}"
        place.block("shop", head.format(shop=paper.shop), top, line, largest=8 * self._scale)
        top += line
        place.block(
            "product", paper.product, top, 2.4 * line, face=Face.STRONG, largest=24 * self._scale, smallest=6
        )
        top += 2.4 * line
        place.block("maker", paper.maker, top, line, largest=8 * self._scale)
        top += line if paper.maker else 0
        bottom = place.height - MARGIN - 1.8 * line
        place.block("", deferral(), bottom, 1.8 * line, largest=5.5 * self._scale, smallest=3.0)
        bottom = self._facts(bottom)
        self._hazards(top, bottom)
        return place.drawn

    def _facts(self, bottom: float) -> float:
        """Lot, dates, safety data sheet and telephone, above the closing sentence; gives their top."""
        paper = self._paper
        pairs = (
            *paper.facts,
            (_("Safety data sheet"), paper.sheet),
            (_("Emergency telephone"), paper.emergency),
        )
        shown = "   ".join(f"{label}:\N{NO-BREAK SPACE}{value}" for label, value in pairs if value)
        if not shown:
            return bottom
        height = mm(4) * self._scale * (3 if len(shown) > 90 else 2)
        self._place.block("facts", shown, bottom - height, height, largest=8 * self._scale)
        return bottom - height

    def _hazards(self, top: float, bottom: float) -> None:
        """Signal word and hazards at the left, pictograms with their names at the right."""
        paper, place = self._paper, self._place
        taken = self._pictograms(top, bottom)
        width = place.width - 2 * MARGIN - taken
        signal = mm(6) * self._scale if paper.signal_word else 0
        if paper.signal_word:
            place.block(
                "signal_word",
                paper.signal_word.upper(),
                top,
                signal,
                width=width,
                face=Face.STRONG,
                largest=16 * self._scale,
            )
        place.block(
            "hazards",
            paper.hazards,
            top + signal,
            bottom - top - signal,
            width=width,
            largest=9 * self._scale,
        )

    def _pictograms(self, top: float, bottom: float) -> float:
        """A row of pictograms, each over its name; gives the width they take."""
        shown, place = self._paper.pictograms, self._place
        if not shown:
            return 0.0
        name_height = mm(3.5) * self._scale
        most = (place.width * 0.6) / len(shown)
        size = min(bottom - top - name_height, most, mm(26) * max(self._scale, 1))
        if size < LEAST_PICTOGRAM * 0.99:
            sentence = _("The label {label} has no room for these pictograms; print it on a sheet of paper.")
            raise RuleBroken(sentence.format(label=place.name), "pictograms")
        left = place.width - MARGIN - size * len(shown)
        for at, which in enumerate(shown):
            x = left + at * size
            place.drawn.append(pictogram(which, place.x + x + 1, place.y + top, size - 2))
            name = _(PICTOGRAM_NAMES[which])
            place.block(
                "",
                name,
                top + size,
                name_height,
                left=x + 1,
                width=size - 2,
                largest=6 * self._scale,
                smallest=3,
            )
        return size * len(shown) + MARGIN
