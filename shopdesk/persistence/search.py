"""The index that finds things while somebody types: one row for each word that can be asked for.

A document is what can be found: a customer, a vehicle, a number. Its words lie in ``find_token`` in
their own order, so that what begins with "kel" is one short stretch of the index. ``pos`` tells how:

* 0: the word as it stands (a name, a whole plate, a whole number)
* 1: every tail of a plate, a telephone number or a VIN's end, so that a piece of it is found too
* 2: a number backwards, so that its last digits are found by one row

Words come in already made alike (``domain.text``). The text of a document says the same as its
words; it is what several words are compared with.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Any, NamedTuple

from sqlalchemy import Connection, Row, bindparam, delete, insert, select, update

from shopdesk.persistence.tables.billing import find_doc, find_token

LONGEST_WORD = 60
"""Characters of a word that count; the rest of a longer one is left out, on asking too."""

MOST_CANDIDATES = 1000
"""How many documents with one of several words are compared with the others."""

_START, _TAIL, _BACKWARDS = 0, 1, 2
_SHORTEST_TAIL = 2
_TELLING = 4  # so many characters at the very end of a plate or telephone number tell it from most others
_SPARE = 10  # some documents are met by two of their words
_LAST = "\U0010ffff"
_MOST_STARTS, _MOST_TAILS, _MOST_ENDS = 1200, 600, 150  # characters; together they fit find_doc.text
_MOST_SHOWN = 300


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """What can be found, how it is shown, and its words, all without spaces.

    ``starts`` are found from their first character; ``tails`` by any piece of two and more characters;
    ``ends`` by their last characters. Words that do not fit any more are left out.
    """

    subject_id: int
    shown: str
    starts: tuple[str, ...]
    tails: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """All words as they are kept: three lines, for the three ways of being found."""
        lines = (
            _fitting(self.starts, _MOST_STARTS),
            _fitting(self.tails, _MOST_TAILS),
            _fitting(self.ends, _MOST_ENDS),
        )
        return "\n".join(lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptDocument:
    """A document as the index has it now."""

    id: int
    shown: str
    text: str


class FoundRow(NamedTuple):
    """One hit: of which kind, which, and how it is shown. A tuple, as fifty are made at every key."""

    kind: str
    subject_id: int
    shown: str


def hold(connection: Connection, kind: str, subject_ids: Sequence[int]) -> dict[int, KeptDocument]:
    """Give the documents the index has of these subjects, held against others until the commit.

    A writer holds a document before it reads the subject; so whoever comes second sees what the first
    one wrote, and the index cannot end up with older words than the subject has.
    """
    rows = connection.execute(
        select(find_doc)
        .where(find_doc.c.kind == kind, find_doc.c.subject_id.in_(subject_ids))
        .order_by(find_doc.c.id)
        .with_for_update()
    )
    return {row.subject_id: KeptDocument(id=row.id, shown=row.shown, text=row.text) for row in rows}


def put(
    connection: Connection, kind: str, documents: Iterable[Document], kept: Mapping[int, KeptDocument]
) -> None:
    """Put documents in the place of those that ``hold`` gave; one that says the same is left as it is."""
    new = []
    words: dict[int, str] = {}
    for document in documents:
        old = kept.get(document.subject_id)
        shown, text = document.shown[:_MOST_SHOWN], document.text
        if old is None:
            new.append({"kind": kind, "subject_id": document.subject_id, "shown": shown, "text": text})
        elif (old.shown, old.text) != (shown, text):
            connection.execute(update(find_doc).where(find_doc.c.id == old.id).values(shown=shown, text=text))
            if old.text != text:
                words[old.id] = text
    if words:
        connection.execute(delete(find_token).where(find_token.c.doc.in_(words)))
    if new:
        made = connection.execute(insert(find_doc).returning(find_doc.c.id, find_doc.c.text), new)
        words |= {row.id: row.text for row in made}
    rows = [{"doc": doc, "pos": pos, "tok": tok} for doc, text in words.items() for pos, tok in _tokens(text)]
    if rows:
        connection.execute(insert(find_token), rows)


def remove(connection: Connection, kind: str, subject_ids: Sequence[int]) -> None:
    """Take the documents of these subjects out of the index."""
    mine = (find_doc.c.kind == kind) & find_doc.c.subject_id.in_(subject_ids)
    connection.execute(delete(find_token).where(find_token.c.doc.in_(select(find_doc.c.id).where(mine))))
    connection.execute(delete(find_doc).where(mine))


def differing(
    connection: Connection, kind: str, subject_ids: Sequence[int], documents: Iterable[Document]
) -> list[int]:
    """Give those of the subjects for which the index does not hold exactly the document named, or none."""
    wanted = {
        each.subject_id: (each.shown[:_MOST_SHOWN], each.text, _tokens(each.text)) for each in documents
    }
    kept = connection.execute(
        select(find_doc).where(find_doc.c.kind == kind, find_doc.c.subject_id.in_(subject_ids))
    ).all()
    tokens: dict[int, set[tuple[int, str]]] = {row.id: set() for row in kept}
    for token in connection.execute(select(find_token).where(find_token.c.doc.in_(tokens))):
        tokens[token.doc].add((token.pos, token.tok))
    found = {row.subject_id: (row.shown, row.text, tokens[row.id]) for row in kept}
    return [subject_id for subject_id in subject_ids if wanted.get(subject_id) != found.get(subject_id)]


def find(connection: Connection, words: Sequence[str], limit: int = 50) -> list[FoundRow]:
    """Give what has all these words in it, at most ``limit``: what they spell together comes first.

    One word finds what it begins, then what it ends or is a piece of; the exact word before longer ones.
    """
    wanted = [word[:LONGEST_WORD] for word in words if word]
    if not wanted or limit < 1:
        return []
    found: dict[int, FoundRow] = {}
    for row in _one_after_the_other(connection, wanted, limit):
        if row.id not in found:
            found[row.id] = FoundRow(row.kind, row.subject_id, row.shown)
            if len(found) == limit:
                break
    return list(found.values())


def _one_after_the_other(connection: Connection, words: Sequence[str], limit: int) -> Iterator[Row[Any]]:
    """Give hits best first; the next query runs only when more are asked for."""
    together = "".join(words)[:LONGEST_WORD]
    if len(together) >= _TELLING:
        yield from _exactly(connection, _START, together, limit)
        yield from _exactly(connection, _TAIL, together, limit)
    yield from _with_word(connection, together, limit + _SPARE)
    if len(words) > 1:
        yield from _with_all(connection, words)


def _with_all(connection: Connection, words: Sequence[str]) -> Iterator[Row[Any]]:
    """Look through the documents with the longest word; through the next one's if those are too many."""
    for word in sorted(set(words), key=len, reverse=True):
        candidates = list(islice(_with_word(connection, word, MOST_CANDIDATES), MOST_CANDIDATES))
        yield from (row for row in candidates if all(_says(row.text, other) for other in words))
        if len(candidates) < MOST_CANDIDATES:
            return


def _with_word(connection: Connection, word: str, most: int) -> Iterator[Row[Any]]:
    yield from _beginning(connection, _START, word, most)
    if word.isdecimal():
        yield from _beginning(connection, _BACKWARDS, word[::-1], most)
    yield from _beginning(connection, _TAIL, word, most)


def _beginning(connection: Connection, pos: int, word: str, most: int) -> Iterator[Row[Any]]:
    """The last token that begins with ``word`` cannot lie behind it and nothing but the last character."""
    bounds = {"low": word, "high": word + _LAST * (LONGEST_WORD - len(word))}
    yield from connection.execute(_HITS, {"pos": pos, "most": most, **bounds}).all()


def _exactly(connection: Connection, pos: int, word: str, most: int) -> Iterator[Row[Any]]:
    yield from connection.execute(_HITS, {"pos": pos, "most": most, "low": word, "high": word}).all()


_stretch = (
    select(find_token.c.tok, find_token.c.doc)
    .where(
        find_token.c.pos == bindparam("pos"),
        find_token.c.tok >= bindparam("low"),
        find_token.c.tok <= bindparam("high"),
    )
    .order_by(find_token.c.tok, find_token.c.doc)
    .limit(bindparam("most"))
    .subquery("stretch")
)
_HITS = (
    select(find_doc).join(_stretch, _stretch.c.doc == find_doc.c.id).order_by(_stretch.c.tok, _stretch.c.doc)
)
"""The stretch is cut before its documents are looked up; built once, as building costs more than asking."""


def _says(text: str, word: str) -> bool:
    """Say whether a document's text has a word, by the same rules as its tokens."""
    starts, tails, ends = text.split("\n")
    return f" {word}" in f" {starts}" or f"{word} " in f"{ends} " or _is_piece(word, tails)


def _is_piece(word: str, tails: str) -> bool:
    """A tail has two characters at least, so the last one alone begins none."""
    return any(word in (number if len(word) > 1 else number[:-1]) for number in tails.split())


def _tokens(text: str) -> set[tuple[int, str]]:
    starts, tails, ends = (line.split() for line in text.split("\n"))
    return {
        *((_START, word) for word in starts),
        *((_TAIL, tail) for word in tails for tail in _tails(word) if tail not in starts),
        *((_BACKWARDS, word[::-1]) for word in ends),
    }


def _tails(word: str) -> Iterator[str]:
    return (word[at:] for at in range(len(word) - _SHORTEST_TAIL + 1))


def _fitting(words: Iterable[str], most: int) -> str:
    """Join what fits, each word once and cut to what counts."""
    line = ""
    for word in dict.fromkeys(word[:LONGEST_WORD] for word in words if word):
        longer = f"{line} {word}" if line else word
        if len(longer) > most:
            break
        line = longer
    return line
