"""An Ask that answers by itself."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from shopdesk.ui.asking import Chosen


@dataclass(slots=True)
class ScriptedAsk:
    """Answers from a list, for tests and for showing the program: next answer first; None puts aside.

    ``confirm`` takes "yes", ``choose`` a key, the two for files a path. Everything asked is in ``asked``.
    Raises IndexError when asked more than was scripted.
    """

    answers: list[str | None] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def say(self, sentence: str, detail: str = "") -> None:
        """See Ask."""
        self.asked.append(f"{sentence} {detail}".strip())

    def confirm(self, question: str, verb: str, then: Callable[[], None], detail: str = "") -> None:
        """See Ask."""
        if self._next(f"{question} {detail}".strip() + f" [{verb}]") == "yes":
            then()

    def choose(
        self, question: str, answers: Sequence[tuple[str, str]], then: Callable[[str], None], detail: str = ""
    ) -> None:
        """See Ask."""
        offered = " / ".join(words for _key, words in answers)
        answer = self._next(f"{question} {detail}".strip() + f" [{offered}]")
        if answer is not None:
            then(answer)

    def choose_file(self, title: str, kinds: str, then: Chosen) -> None:
        """See Ask."""
        self._file(f"{title} [{kinds}]", then)

    def save_file(self, title: str, name: str, kinds: str, then: Chosen) -> None:
        """See Ask."""
        self._file(f"{title}: {name} [{kinds}]", then)

    def _file(self, question: str, then: Chosen) -> None:
        answer = self._next(question)
        if answer is not None:
            then(Path(answer))

    def _next(self, question: str) -> str | None:
        self.asked.append(question)
        return self.answers.pop(0)
