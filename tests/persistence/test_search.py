"""The index gives exactly what its words say, whatever the letters, on both engines."""

from __future__ import annotations

import random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Connection, delete, func, select

from shopdesk.persistence import search
from shopdesk.persistence.engine import Database
from shopdesk.persistence.search import Document
from shopdesk.persistence.tables.billing import find_doc, find_token


def _put(connection: Connection, *documents: Document, kind: str = "vehicle") -> None:
    kept = search.hold(connection, kind, [document.subject_id for document in documents])
    search.put(connection, kind, documents, kept)


def _plate(subject_id: int, plate: str, *words: str) -> Document:
    return Document(
        subject_id=subject_id, shown=f"{plate} {subject_id}", starts=(plate, *words), tails=(plate,)
    )


def _found(database: Database, *words: str, limit: int = 50) -> list[int]:
    with database.read() as connection:
        return [row.subject_id for row in search.find(connection, words, limit)]


def test_that_one_character_finds_what_begins_with_it(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "kd4471"), _plate(2, "bd4471"), _plate(3, "k9"))
    assert _found(database, "k") == [3, 1]
    assert _found(database, "x") == []
    assert _found(database) == []
    assert _found(database, "k", limit=0) == []


def test_that_the_exact_word_comes_before_longer_ones_and_beginnings_before_pieces(
    database: Database,
) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "ab12"), _plate(2, "b1"), _plate(3, "b12"), _plate(4, "cb1"))
    assert _found(database, "b1") == [2, 3, 4, 1]  # b1, b12; then the tails b1 of cb1 and b12 of ab12


def test_that_the_last_four_characters_come_before_longer_numbers_that_begin_with_them(
    database: Database,
) -> None:
    with database.write() as connection:
        _put(connection, *(_plate(n, f"0142{n:03}") for n in range(60)))
        _put(connection, _plate(99, "5550142"))
    assert _found(database, "0142")[0] == 99
    assert len(_found(database, "0142")) == 50


def test_that_a_number_is_found_by_its_last_digits(database: Database) -> None:
    with database.write() as connection:
        documents = (
            Document(subject_id=n, shown=str(n), starts=(str(n),), ends=(str(n),)) for n in range(990, 1010)
        )
        _put(connection, *documents, kind="invoice")
    assert _found(database, "04") == [1004]
    assert _found(database, "1004") == [1004]
    assert _found(database, "00") == [1000]


def test_that_several_words_must_all_fit_in_any_order(database: Database) -> None:
    with database.write() as connection:
        _put(
            connection,
            _plate(1, "kd4471", "harlan", "wagon"),
            _plate(2, "kd4472", "harlan", "pickup"),
            _plate(3, "xx4471", "morrow", "wagon"),
        )
    assert _found(database, "wagon", "harlan") == [1]
    assert _found(database, "har", "kd") == [1, 2]
    assert _found(database, "4471", "wag") == [1, 3]  # a piece of the plate and the beginning of a word
    assert _found(database, "agon", "harlan") == []  # words are found from their beginning
    assert _found(database, "kd", "4472") == [2]  # together they are the plate


def test_that_one_character_fits_a_piece_exactly_when_it_would_be_found_alone(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "b7", "morrow"))
    assert _found(database, "7") == []
    assert _found(database, "morrow", "7") == []
    assert _found(database, "morrow", "b") == [1]


def test_that_a_common_word_beside_a_rare_one_does_not_hide_it(database: Database) -> None:
    crowd = search.MOST_CANDIDATES + 20
    with database.write() as connection:
        _put(connection, *(_plate(n, f"p{n:05}", "anderson") for n in range(crowd)))
        _put(connection, _plate(crowd, "z1", "anderson", "quist"))
    assert _found(database, "anderson", "quist") == [crowd]


def test_that_a_document_met_by_two_words_is_given_once(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "anna1", "anna", "annasdottir"))
    assert _found(database, "ann") == [1]


LAST = "\U0010ffff"


@pytest.mark.parametrize("word", ["z", "\ud7ff", "\uffff", "ÿ", LAST, "a" + LAST, "日本", "😀"])
def test_that_any_last_character_has_an_upper_bound(word: str, database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, word), _plate(2, word + "a"), _plate(3, word + LAST + LAST))
        _put(connection, _plate(4, word * 100), _plate(5, "aaa"))
    found = _found(database, word)
    assert found[0] == 1
    assert sorted(found) == [1, 2, 3, 4]
    assert _found(database, word * 100) == [4]


@given(
    words=st.lists(st.text(st.characters(categories=["L", "N", "So"]), min_size=1, max_size=70), min_size=1),
    asked=st.text(st.characters(categories=["L", "N", "So"]), min_size=1, max_size=70),
)
def test_that_a_word_says_what_its_tokens_say(words: list[str], asked: str) -> None:
    document = Document(subject_id=1, shown="", starts=tuple(words[::2]), tails=tuple(words[1::2]))
    for word in (asked, words[0], words[-1][1:], words[-1][:3]):
        cut = word[: search.LONGEST_WORD]
        if cut:
            by_token = any(token.startswith(cut) for _pos, token in search._tokens(document.text))
            assert search._says(document.text, cut) == by_token


def _state(database: Database) -> tuple[list[object], set[object]]:
    with database.read() as connection:
        documents = connection.execute(select(find_doc).order_by(find_doc.c.id)).all()
        return list(map(tuple, documents)), set(map(tuple, connection.execute(select(find_token))))


def test_that_putting_the_same_again_changes_nothing(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "kd4471", "wagon"), _plate(2, "kd4472"))
    before = _state(database)
    with database.write() as connection:
        _put(connection, _plate(1, "kd4471", "wagon"), _plate(2, "kd4472"))
    assert _state(database) == before
    assert len(before[0]) == 2


def test_that_new_words_take_the_place_of_old_ones(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "kd4471", "wagon"), _plate(2, "kd9"))
    with database.write() as connection:
        _put(connection, _plate(1, "zz1", "pickup"))
    assert _found(database, "kd") == [2]
    assert _found(database, "wagon") == []
    assert _found(database, "zz") == _found(database, "pick") == [1]
    with database.read() as connection:
        assert search.find(connection, ["zz1"])[0].shown == "zz1 1"


def test_that_what_is_shown_changes_without_new_words(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "kd4471"))
    with database.write() as connection:
        _put(connection, Document(subject_id=1, shown="otherwise", starts=("kd4471",), tails=("kd4471",)))
    with database.read() as connection:
        assert search.find(connection, ["kd"])[0] == search.FoundRow(
            kind="vehicle", subject_id=1, shown="otherwise"
        )


def test_that_a_removed_document_leaves_nothing_behind(database: Database) -> None:
    with database.write() as connection:
        _put(connection, _plate(1, "kd4471"), _plate(2, "kd4472"))
        _put(connection, _plate(1, "kd4473"), kind="customer")
        search.remove(connection, "vehicle", [1])
        left = connection.execute(select(func.count()).select_from(find_token)).scalar_one()
    assert _found(database, "kd") == [2, 1]
    assert left == 2 * 5  # each plate once whole and by its four shorter tails of two characters and more


def test_that_texts_beyond_the_limits_are_cut_to_whole_words(database: Database) -> None:
    many = tuple(f"{'w' * 50}{n:03}" for n in range(100))
    with database.write() as connection:
        _put(connection, Document(subject_id=1, shown="s" * 900, starts=many, tails=many, ends=many))
        text = connection.execute(select(find_doc.c.text)).scalar_one()
    assert len(text) <= 2000
    assert {len(word) for word in text.split()} == {53}
    assert _found(database, many[0]) == [1]


def test_that_differences_between_index_and_facts_are_named(database: Database) -> None:
    made = [_plate(n, f"kd447{n}") for n in range(5)]
    with database.write() as connection:
        _put(connection, *made)
        assert search.differing(connection, "vehicle", range(6), made) == []
        one = connection.execute(select(find_doc.c.id).where(find_doc.c.subject_id == 2)).scalar_one()
        connection.execute(delete(find_token).where(find_token.c.doc == one, find_token.c.tok == "72"))
        search.remove(connection, "vehicle", [4])
        _put(connection, _plate(5, "kd4475"))  # no longer there, says the caller
        made[1] = _plate(1, "other")
        assert search.differing(connection, "vehicle", range(6), made) == [1, 2, 4, 5]


def test_that_the_index_agrees_with_looking_at_every_word(database: Database) -> None:
    rng = random.Random(20261125)  # a seed, so that the same index is searched every time
    letters = "ab1"
    plates = ["".join(rng.choices(letters, k=rng.randint(1, 6))) for _ in range(40)]
    with database.write() as connection:
        _put(connection, *(_plate(n, plate) for n, plate in enumerate(plates)))
    for asked in {plate[:cut] for plate in plates for cut in (1, 2, 3)}:
        slow = {n for n, plate in enumerate(plates) if asked in (plate if len(asked) > 1 else plate[:-1])}
        slow |= {n for n, plate in enumerate(plates) if plate.startswith(asked)}
        assert set(_found(database, asked)) == slow
