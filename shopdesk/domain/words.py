"""Marking words for translators where they cannot be translated yet."""

from collections.abc import Iterable
from gettext import gettext as _


def N_(text: str) -> str:
    """Mark ``text`` for the translators' catalogue and give it back unchanged.

    Values of enumerations are read once, before a language is chosen; they are marked here and
    translated with gettext where they are shown.
    """
    return text


def listed(words: Iterable[str]) -> str:
    """The words in the reader's language, one after another: "put in, spilled"."""
    return ", ".join(_(str(word)) for word in words)
