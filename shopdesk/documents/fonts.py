"""The typeface of every paper: widths, what it can print, what it cannot."""

import unicodedata
from collections.abc import Mapping
from enum import StrEnum
from pathlib import Path
from typing import Final

REPLACEMENT: Final = "\ufffd"
_NO_BREAK_SPACE: Final = "\u00a0"


class Face(StrEnum):
    """The weights used on papers; the value is the file's name without its ending."""

    REGULAR = "IBMPlexSans-Regular"
    STRONG = "IBMPlexSans-SemiBold"


class Fonts:
    """Both faces, read once from a folder of TTF files and known to reportlab under their file names.

    Raises OSError or reportlab's TTFError when a file is missing or is no font: papers are never set in
    another
    typeface, whose widths would move every figure.
    """

    def __init__(self, folder: Path) -> None:
        from reportlab.pdfbase import pdfmetrics  # loaded with the first paper: the window opens without it
        from reportlab.pdfbase.ttfonts import TTFont

        self._widths: dict[Face, Mapping[int, float]] = {}
        self._missing_width: dict[Face, float] = {}
        for face in Face:
            font = TTFont(face.value, str(folder / f"{face.value}.ttf"))
            pdfmetrics.registerFont(font)
            self._widths[face] = dict(font.face.charWidths)
            self._missing_width[face] = float(font.face.charWidths[ord(REPLACEMENT)])

    def width(self, text: str, face: Face, size: float) -> float:
        """How wide a text is set, in points."""
        widths, missing = self._widths[face], self._missing_width[face]
        return sum(widths.get(ord(letter), missing) for letter in text) * size / 1000.0

    def missing_glyphs(self, text: str) -> tuple[str, ...]:
        """The characters of a text that would print as the replacement mark, each once, in order."""
        wanted = (letter for letter in unicodedata.normalize("NFC", text) if not _is_silent(letter))
        return tuple(dict.fromkeys(letter for letter in wanted if not self._has(letter)))

    def printable(self, text: str) -> str:
        """The text as it is set: composed, without controls (line breaks stay), gaps in the font made
        visible."""
        composed = unicodedata.normalize("NFC", text.replace("\r\n", "\n").replace("\t", " "))
        if composed.isascii() and composed.isprintable():
            return composed
        return "".join(self._set(letter) for letter in composed if letter == "\n" or not _is_silent(letter))

    def _set(self, letter: str) -> str:
        if letter == "\n" or ord(letter) in self._widths[Face.REGULAR]:
            return letter
        return _NO_BREAK_SPACE if unicodedata.category(letter) == "Zs" else REPLACEMENT

    def _has(self, letter: str) -> bool:
        return ord(letter) in self._widths[Face.REGULAR] or unicodedata.category(letter) == "Zs"


def _is_silent(letter: str) -> bool:
    """Control and format characters (among them those that turn the reading direction) never print."""
    return unicodedata.category(letter) in ("Cc", "Cf", "Zl", "Zp")
