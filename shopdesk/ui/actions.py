"""What can be done from the keyboard: one list for the window, the key card and "Find or do".

Keys come from the desktop's own standard where there is one. Two differ on purpose: Alt+Left and
Alt+Right go along the driveline strip, so "back" is Esc; and undo is a button and a command, because
Ctrl+Z belongs to the field one is typing in.
"""

from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from PySide6.QtGui import QKeySequence

_Standard = QKeySequence.StandardKey


class Verb(StrEnum):
    """What a key can ask for."""

    FIND = "find"
    NEW = "new"
    FILTER = "filter"
    MAIN = "main"
    SAVE = "save"
    PRINT = "print"
    STICKER = "sticker"
    UNDO = "undo"
    BACK = "back"
    STRIP_BACK = "strip back"
    STRIP_ON = "strip on"
    NEXT_PANE = "next pane"
    REFRESH = "refresh"
    HELP = "help"
    KEYS = "keys"
    SETUP = "setup"
    BAY = "bay"


@dataclass(frozen=True, slots=True)
class Command:
    """A verb with its words and keys (the first is shown)."""

    verb: Verb
    words: str
    keys: tuple[QKeySequence, ...]

    def key_words(self) -> str:
        """Return the key as people read it, or nothing."""
        return self.keys[0].toString(QKeySequence.SequenceFormat.NativeText) if self.keys else ""


def commands() -> tuple[Command, ...]:
    """Return every command of the window."""
    return (
        Command(Verb.FIND, _("Find or do"), _keys("Ctrl+K")),
        Command(Verb.NEW, _("New work order"), _standard(_Standard.New, "Ctrl+N")),
        Command(Verb.FILTER, _("Narrow the list"), _standard(_Standard.Find, "Ctrl+F")),
        Command(Verb.MAIN, _("The page's main action"), _keys("Ctrl+Return", "Ctrl+Enter")),
        Command(Verb.SAVE, _("Keep what was typed"), _standard(_Standard.Save, "Ctrl+S")),
        Command(Verb.PRINT, _("Print"), _standard(_Standard.Print, "Ctrl+P")),
        Command(Verb.STICKER, _("Sticker"), _keys("Ctrl+L")),
        Command(Verb.UNDO, _("Undo what was just done"), ()),
        Command(Verb.BACK, _("Back"), _standard(_Standard.Cancel, "Esc")),
        Command(Verb.STRIP_BACK, _("The unit before, along the driveline"), _keys("Alt+Left")),
        Command(Verb.STRIP_ON, _("The next unit along the driveline"), _keys("Alt+Right")),
        Command(Verb.NEXT_PANE, _("Next part of the window"), _keys("F6")),
        Command(Verb.REFRESH, _("Read again"), _standard(_Standard.Refresh, "F5")),
        Command(Verb.HELP, _("Help on this field"), _standard(_Standard.HelpContents, "F1")),
        Command(Verb.KEYS, _("All keys"), _keys("Ctrl+/")),
        Command(Verb.SETUP, _("Set-up"), _standard(_Standard.Preferences, "Ctrl+,")),
        Command(Verb.BAY, _("Bay view"), _keys("F11")),
    )


def page_key(number: int) -> QKeySequence:
    """Return the key of the page at a place of the rail, from 1 to 9."""
    return QKeySequence(f"Ctrl+{number}")


def _standard(key: QKeySequence.StandardKey, usual: str) -> tuple[QKeySequence, ...]:
    bound = tuple(QKeySequence.keyBindings(key))
    return bound if QKeySequence(usual) in bound else (QKeySequence(usual), *bound)


def _keys(*names: str) -> tuple[QKeySequence, ...]:
    return tuple(QKeySequence(name) for name in names)
