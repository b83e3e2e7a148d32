"""What the program says no to.

A refusal is not a bug: it carries one sentence for the person and the field it is about,
and the layer above shows it beside that field. Every other exception is a bug and goes to
the crash handler.
"""


class RuleBroken(Exception):
    """A rule of the shop or of the trade forbids this.

    ``sentence`` is plain text for the person; ``field`` names the input it is about, or is
    empty when it concerns the whole command. In job files ``field`` is a JSON path.
    """

    def __init__(self, sentence: str, field: str = "") -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.field = field


class NotFound(RuleBroken):
    """What the command speaks of is not there (any more)."""


class Conflict(RuleBroken):
    """Somebody else changed the same thing since it was read."""


class SameIdOtherContent(RuleBroken):
    """A request id that was already carried out came again with other content."""
