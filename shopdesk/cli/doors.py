"""What the commands need of the world: how to open a shop, where things are, and where to answer."""

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, BinaryIO, TextIO

if TYPE_CHECKING:
    from shopdesk.services.demo.make import OpensDesk


@dataclass(frozen=True, kw_only=True, slots=True)
class Doors:
    """What the commands need of the world: how to open a shop, and where things are."""

    open_desk: "OpensDesk"
    address: str
    demo_address: str
    schemas: Path
    out: TextIO = sys.stdout
    err: TextIO = sys.stderr
    given: BinaryIO | None = None  # standard input, when a command is told to read it
    now: Callable[[], datetime] = lambda: datetime.now(UTC)

    def say(self, text: str) -> None:
        """Write a line of the answer; letters that cannot be written there are written out."""
        encoding = self.out.encoding or "utf-8"
        print(text.encode(encoding, "backslashreplace").decode(encoding), file=self.out)

    def say_json(self, data: object) -> None:
        """Write the answer as JSON, in the plainest letters where others cannot be written."""
        plain = (self.out.encoding or "utf-8").lower().replace("-", "") != "utf8"
        print(json.dumps(data, ensure_ascii=plain, indent=1), file=self.out)

    def complain(self, sentence: str) -> None:
        """Write why something is refused; what the sentence quotes must not steer the terminal."""
        print("".join(letter if letter.isprintable() else " " for letter in sentence), file=self.err)
