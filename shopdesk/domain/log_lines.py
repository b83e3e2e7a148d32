"""The lines of a log of unknown size and encoding, in bounded memory.

UTF-16 is found by its mark or by its zero bytes and turned into UTF-8 on the way; UTF-8 is taken
where it can be read, and Windows-1252 for any line where it cannot. No line may be longer than
:data:`MOST_IN_LINE`, so a file that is one endless line is refused at its beginning.
"""

import codecs
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from gettext import gettext as _
from itertools import chain
from typing import BinaryIO

from shopdesk.domain.errors import RuleBroken

MOST_IN_LINE = 65_536
"""Bytes in a line, once it is UTF-8."""

_CHUNK = 65_536
_UTF_16 = ((codecs.BOM_UTF16_LE, "utf-16-le"), (codecs.BOM_UTF16_BE, "utf-16-be"))


@dataclass(frozen=True, kw_only=True, slots=True)
class Line:
    """One line without its end; ``ended`` is false when the file stops in the middle of it."""

    number: int
    text: str
    ended: bool = True


class LogFault(RuleBroken):
    """A place in a log that cannot be read: its line and, where it is one, its column, from 1."""

    def __init__(self, sentence: str, *, line: int, column: int | None = None) -> None:
        where = _("Line {line}, column {column}: {fault}") if column else _("Line {line}: {fault}")
        place = f"lines/{line}/{column}" if column else f"lines/{line}"
        super().__init__(where.format(line=line, column=column, fault=sentence), place)
        self.line = line
        self.column = column


def chunks_of(stream: BinaryIO) -> Iterator[bytes]:
    """Give a stream in pieces of at most 64 KiB."""
    return iter(lambda: stream.read(_CHUNK), b"")


def lines_of(chunks: Iterable[bytes]) -> Iterator[Line]:
    """Give the lines of a log that comes in pieces of any size.

    Raises LogFault for a line that is too long, for NUL bytes and for bytes that are no text.
    """
    for number, (raw, ended) in enumerate(_raw_lines(_as_utf_8(iter(chunks))), 1):
        nul = raw.find(b"\0")
        if nul >= 0:
            sentence = _("character {at} is a NUL byte; this is no text file, or it is damaged.")
            raise LogFault(sentence.format(at=nul + 1), line=number)
        yield Line(number=number, text=_decoded(raw, number), ended=ended)


def _as_utf_8(chunks: Iterator[bytes]) -> Iterator[bytes]:
    first = b""
    while len(first) < 4 and (more := next(chunks, None)) is not None:
        first += more
    for mark, name in _UTF_16:
        if first.startswith(mark):
            return _transcoded(chain([first[len(mark) :]], chunks), name)
    pairs = first[:64]
    if len(pairs) >= 4 and not any(pairs[1::2]) and all(pairs[::2]):
        return _transcoded(chain([first], chunks), "utf-16-le")
    if len(pairs) >= 4 and not any(pairs[::2]) and all(pairs[1::2]):
        return _transcoded(chain([first], chunks), "utf-16-be")
    return chain([first.removeprefix(codecs.BOM_UTF8)], chunks)


def _transcoded(chunks: Iterator[bytes], name: str) -> Iterator[bytes]:
    decoder = codecs.getincrementaldecoder(name)()
    line = 1
    for chunk in chain(chunks, [None]):
        try:
            text = decoder.decode(chunk or b"", final=chunk is None)
        except UnicodeDecodeError as fault:
            # What stands before the fault in this piece still counts lines.
            line += fault.object[: fault.start].decode(name, "replace").count("\n")
            raise LogFault(_("this is no readable UTF-16 text."), line=line) from fault
        line += text.count("\n")
        yield text.encode("utf-8", "surrogatepass")


def _raw_lines(chunks: Iterator[bytes]) -> Iterator[tuple[bytes, bool]]:
    """Split at line feeds, or at carriage returns where a file has no line feeds."""
    rest, number = b"", 1
    for chunk in chunks:
        pieces = _split(rest + chunk)
        rest = pieces.pop()
        yield from ((piece, True) for piece in _checked(pieces, number))
        number += len(pieces)
        if len(rest) > MOST_IN_LINE:
            raise _too_long(number)
    if rest:
        yield next(_checked([rest.removesuffix(b"\r")], number)), rest.endswith(b"\r")


def _split(data: bytes) -> list[bytes]:
    if b"\r" not in data:
        return data.split(b"\n")
    # A carriage return at the very end may be the first half of a line's end.
    body, last = (data[:-1], b"\r") if data.endswith(b"\r") else (data, b"")
    pieces = body.replace(b"\r\n", b"\n").replace(b"\r", b"\n").split(b"\n")
    pieces[-1] += last
    return pieces


def _checked(pieces: list[bytes], number: int) -> Iterator[bytes]:
    for at, piece in enumerate(pieces):
        if len(piece) > MOST_IN_LINE:
            raise _too_long(number + at)
        yield piece


def _too_long(line: int) -> LogFault:
    sentence = _("it has more than {most} characters; this is no log of a scan tool.")
    return LogFault(sentence.format(most=MOST_IN_LINE), line=line)


def _decoded(raw: bytes, number: int) -> str:
    try:
        return raw.decode("utf-8")
    except UnicodeDecodeError:
        try:
            return raw.decode("cp1252")
        except UnicodeDecodeError as fault:
            sentence = _("byte {at} is no character of UTF-8 nor of Windows-1252.")
            raise LogFault(sentence.format(at=fault.start + 1), line=number) from fault
