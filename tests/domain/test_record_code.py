"""The code of a record: what goes in comes out, and a change of any one letter is found and placed."""

from __future__ import annotations

import random
import re
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.domain.code_fields import (
    ARRIVED,
    CODE_FIELD,
    CODE_FIELDS,
    CONDITIONS,
    LEVEL_METHODS,
    METHODS,
    STATES,
    VERDICTS,
    CodeKind,
    CodePart,
)
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.level import Arrived
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.proof import ConditionKey, ConditionState, ProofVerdict
from shopdesk.domain.record_code import (
    KEY_BYTES,
    LETTERS,
    PREFIX,
    SIGNATURE_BYTES,
    CodeBroken,
    CodeValue,
    conditions_from,
    conditions_number,
    fingerprint,
    from_base41,
    open_code,
    sealed,
    to_base41,
    to_sign,
)

CLONE = Path(__file__).resolve().parents[2]
KEY, SIGNATURE = bytes(range(KEY_BYTES)), bytes(range(100, 100 + SIGNATURE_BYTES))
FACTS: dict[str, CodeValue] = {
    "uid": "6ea2749e-5276-4515-b43b-0e204504e86b",
    "number": "1001-1",
    "shop": "Quillfern Driveline",
    "done_on": date(2026, 11, 25),
    "service_method": "drain and fill",
    "finished": 1,
    "vin": "1M8GDM9AXKP042788",
    "unit": "6-speed automatic",
    "drained": 3_030_000,
    "put_in": 3_785_000,
    "arrived": "low",
    "arrived_by": -210_000,
    "window_low": 35_000,
    "open_temperature": -1_250,
    "verdict": "proven",
    "product": "Halden ATF-6",
    "new_fluid": 497,
    "due_on": date(2028, 11, 25),
}


def _code(facts: dict[str, CodeValue] | None = None) -> str:
    return sealed(to_sign(FACTS if facts is None else facts, KEY), SIGNATURE)


def test_that_what_was_written_is_read_back() -> None:
    opened = open_code(_code())
    assert opened.facts == FACTS
    assert (opened.public_key, opened.signature) == (KEY, SIGNATURE)
    assert opened.signed == to_sign(FACTS, KEY)


def _values(kind: CodeKind, most: int, choices: tuple[str, ...]) -> st.SearchStrategy[CodeValue]:
    if kind is CodeKind.UID:
        return st.uuids().map(str)
    if kind is CodeKind.DAY:
        return st.dates(min_value=date(1900, 1, 1), max_value=date(2200, 1, 1))
    if kind is CodeKind.CHOICE:
        return st.sampled_from(choices)
    if kind is CodeKind.TEXT:
        return st.text(st.characters(exclude_categories=("Cs",)), max_size=most)
    return st.integers(min_value=-(2**60), max_value=2**60)


@given(st.data())
def test_that_any_facts_come_back_whole(data: st.DataObject) -> None:
    chosen = data.draw(st.lists(st.sampled_from(CODE_FIELDS), unique=True))
    facts = {f.name: data.draw(_values(f.kind, f.most, f.choices)) for f in chosen}
    assert open_code(_code(facts)).facts == facts


@given(st.binary(max_size=80))
def test_that_base_41_gives_the_bytes_back(content: bytes) -> None:
    text = to_base41(content)
    assert from_base41(text) == content
    assert set(text) <= set(LETTERS)
    assert len(text) == len(content) // 2 * 3 + len(content) % 2 * 2


def test_that_base_41_uses_only_letters_that_a_square_code_holds_densely() -> None:
    # ISO/IEC 18004, alphanumeric mode: 0-9 A-Z space $ % * + - . / :
    assert set(LETTERS) < set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ $%*+-./:")
    assert len(LETTERS) == len(set(LETTERS)) == 41
    assert 41**3 > 256**2
    assert 41**2 > 256


def test_that_every_change_of_one_letter_is_found_where_it_is() -> None:
    code, chance = _code(), random.Random(7)
    for at in range(len(PREFIX), len(code)):
        other = chance.choice(LETTERS.replace(code[at], ""))
        with pytest.raises(CodeBroken) as refused:
            open_code(code[:at] + other + code[at + 1 :])
        place = re.search(r"letters (\d+) to (\d+)", refused.value.sentence)
        assert place is not None, refused.value.sentence
        first, last = map(int, place.groups())
        # Three letters stand for two bytes, so a change can show in the part that ends within its group.
        assert first - 3 <= at + 1 <= last + 3, refused.value.sentence


@pytest.mark.parametrize("cut", [1, 2, 3, 30, 200])
def test_that_a_cut_code_is_refused(cut: int) -> None:
    with pytest.raises(CodeBroken):
        open_code(_code()[:-cut])


@pytest.mark.parametrize("more", ["0", "00", "000", "ABCDEF"])
def test_that_a_code_with_more_after_its_end_is_refused(more: str) -> None:
    with pytest.raises(CodeBroken):
        open_code(_code() + more)


def test_that_a_letter_of_another_alphabet_is_named_with_its_place() -> None:
    code = _code()
    with pytest.raises(CodeBroken, match="letters 11 to 11"):
        open_code(code[:10] + "$" + code[11:])


@pytest.mark.parametrize("text", ["", "SD2:ABC", "https://quillfern.example", "SD1"])
def test_that_other_texts_are_no_codes(text: str) -> None:
    with pytest.raises(RuleBroken, match="not the code of a service record") as refused:
        open_code(text)
    assert not isinstance(refused.value, CodeBroken)


def test_that_an_endless_text_is_not_read() -> None:
    with pytest.raises(RuleBroken, match="longer"):
        open_code(PREFIX + "0" * 10_000_000)


def test_that_spaces_line_breaks_and_small_letters_do_not_matter() -> None:
    code = _code()
    lines = "\r\n ".join(code[at : at + 40] for at in range(0, len(code), 40))
    assert open_code(lines.lower()).facts == FACTS


def test_that_a_long_text_ends_in_an_ellipsis() -> None:
    told = open_code(_code({"shop": "Q" * 200})).facts["shop"]
    assert told == "Q" * 39 + "…"


def test_that_parts_and_numbers_stand_as_written_down() -> None:
    numbers = [field.number for field in CODE_FIELDS]
    assert numbers == sorted(set(numbers))
    order = list(CodePart)
    places = [order.index(field.part) for field in CODE_FIELDS]
    assert places == sorted(places)
    assert len(CODE_FIELD) == len(CODE_FIELDS)


def test_that_every_word_of_the_rules_has_its_place() -> None:
    assert set(METHODS) == {each.value for each in ServiceMethod}
    assert set(LEVEL_METHODS) == {each.value for each in LevelMethod}
    assert set(ARRIVED) == {each.value for each in Arrived}
    assert set(VERDICTS) == {each.value for each in ProofVerdict}
    assert set(STATES) == {"not asked for", *(each.value for each in ConditionState)}
    assert set(CONDITIONS) == {each.value for each in ConditionKey}


def test_that_conditions_come_back_from_their_number() -> None:
    states = {"attitude": 1, "edge": 2, "quantity": 3}
    assert dict(conditions_from(conditions_number(states, CONDITIONS), CONDITIONS)) == states


def test_that_a_fingerprint_is_the_beginning_of_the_keys_hash() -> None:
    # FIPS 180-4: SHA-256 of "abc" begins ba7816bf 8f01cfea 4141 (published example)
    assert fingerprint(b"abc") == "BA78-16BF-8F01-CFEA-4141"


def test_that_the_page_on_codes_names_every_field_with_its_number() -> None:
    page = (CLONE / "resources" / "schemas" / "record-code.md").read_text(encoding="utf-8")
    for field in CODE_FIELDS:
        assert f"| {field.number} | {field.name} |" in page
        for place, word in enumerate(field.choices):
            assert f"{place} {word}" in page
    assert LETTERS in page
    for name in CONDITIONS:
        assert name in page


def _crc(content: bytes) -> int:
    """CRC-16/CCITT as the page on codes describes it, bit by bit."""
    value = 0xFFFF
    for byte in content:
        value ^= byte << 8
        for _bit in range(8):
            value = (value << 1 ^ (0x1021 if value & 0x8000 else 0)) & 0xFFFF
    return value


def test_that_the_check_of_a_part_is_the_published_one() -> None:
    # The usual check value of CRC-16/CCITT (start 0xFFFF, not reflected) is 0x29B1.
    assert _crc(b"123456789") == 0x29B1


def test_that_a_reader_made_from_the_page_alone_reads_a_code() -> None:
    letters = _code()[4:]
    content = bytearray()
    for at in range(0, len(letters), 3):
        group = letters[at : at + 3]
        number = sum(LETTERS.index(letter) * 41**place for place, letter in enumerate(group))
        content += number.to_bytes(len(group) - 1, "big")
    bodies, at = [], 0
    while at < len(content):
        length, head = content[at + 1], 2
        if length >= 0x80:
            length, head = (length & 0x7F) | content[at + 2] << 7, 3
        end = at + head + length
        assert _crc(content[at:end]) == int.from_bytes(content[end : end + 2], "big")
        assert content[at] == len(bodies) + 1
        bodies.append(bytes(content[at + head : end]))
        at = end + 2
    assert bodies[5:] == [KEY, SIGNATURE]
    record, volumes = bodies[0], bodies[2]
    assert record[0] == 1
    assert record[1:17].hex() == str(FACTS["uid"]).replace("-", "")
    assert record[17:25] == b"\x02\x061001-1"
    assert volumes[0] == 20
    drained = volumes[1] & 0x7F | (volumes[2] & 0x7F) << 7 | (volumes[3] & 0x7F) << 14 | volumes[4] << 21
    assert drained == 2 * 3_030_000
