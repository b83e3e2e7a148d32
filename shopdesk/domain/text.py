"""Text as people type it, made fit to be kept, compared and found again.

What may go silently is only what nobody can see: control characters, marks that turn the
reading direction round, halves of broken characters. Everything else is kept or refused.
"""

import unicodedata
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken

# Marks that hide or reorder what is shown: embeddings, overrides, isolates, byte order mark.
_HIDING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200e\u200f\u061c\ufeff")
_LINE_ENDS = str.maketrans({"\u2028": "\n", "\u2029": "\n", "\x0b": "\n", "\x0c": "\n", "\x85": "\n"})
# Letters that Unicode does not take apart, so that "Soren" finds "Søren".
_PLAIN_LETTERS = str.maketrans({"ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe", "ð": "d"})
# Sorting the accents of one letter takes time that grows with the square of their number.
_MOST_MARKS_IN_A_ROW = 30


def _is_kept(character: str) -> bool:
    """Whether a character is one that a person can have meant."""
    if character == "\n":
        return True
    if character in _HIDING:
        return False
    number = ord(character)
    # Surrogates stand for nothing alone; U+xxFFFE and U+xxFFFF are no characters at all.
    return unicodedata.category(character) not in ("Cc", "Cs") and number & 0xFFFE != 0xFFFE


def _refuse_piled_marks(text: str, field: str) -> None:
    run = 0
    for character in text:
        run = run + 1 if unicodedata.combining(character) else 0
        if run > _MOST_MARKS_IN_A_ROW:
            raise RuleBroken(_("This text has letters with more accents than can be read."), field)


def _refuse_long(length: int, most: int, field: str) -> None:
    if length > most:
        raise RuleBroken(
            _("This text has {length} characters; at most {most} fit here.").format(length=length, most=most),
            field,
        )


def clean(text: str, *, field: str, most: int, lines: bool = False) -> str:
    """Return ``text`` composed (NFC), without invisible controls and outer spaces.

    ``most`` is the limit in characters after cleaning; ``lines`` keeps line ends (as \\n),
    otherwise they become spaces. Raises RuleBroken when the text is too long.
    """
    shown = text.replace("\r\n", "\n").replace("\r", "\n").translate(_LINE_ENDS).replace("\t", " ")
    shown = "".join(filter(_is_kept, shown))
    if not lines:
        shown = shown.replace("\n", " ")
    shown = shown.strip()
    # Composing joins at most four characters into one: this could not become short enough.
    if len(shown) > 4 * most:
        _refuse_long(len(shown), most, field)
    _refuse_piled_marks(shown, field)
    composed = unicodedata.normalize("NFC", shown)
    _refuse_long(len(composed), most, field)
    return composed


def required(text: str, *, field: str, label: str, most: int) -> str:
    """Clean one line that must not be empty; ``label`` names it for the person."""
    cleaned = clean(text, field=field, most=most)
    if not cleaned:
        raise RuleBroken(_("{label} is empty; please fill it in.").format(label=label), field)
    return cleaned


def match_key(text: str) -> str:
    """The form in which names are compared and sorted: no case, no accents, single spaces."""
    folded = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", text).casefold())
    bare = "".join(c for c in folded if not unicodedata.combining(c))
    return " ".join(bare.translate(_PLAIN_LETTERS).split())


def plate_key(text: str) -> str:
    """The form in which number plates are compared: capital letters and digits only."""
    capitals = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).upper())
    return "".join(str(unicodedata.digit(c, c)) for c in capitals if c.isalnum())
