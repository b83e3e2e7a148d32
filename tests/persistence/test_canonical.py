"""One content has one text and one hash."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shopdesk.persistence.canonical import canonical_json, content_sha, sha256_text

CONTENT = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(),
    lambda part: st.lists(part) | st.dictionaries(st.text(), part),
    max_leaves=20,
)


def test_that_the_order_of_keys_does_not_matter() -> None:
    assert canonical_json({"b": 1, "a": [True, None, "é"]}) == '{"a":[true,null,"é"],"b":1}'
    assert content_sha({"b": 1, "a": 2}) == content_sha({"a": 2, "b": 1})


def test_that_a_hash_is_the_published_one() -> None:
    # NIST, SHA-256 example values for FIPS 180-4: one-block message "abc"
    assert sha256_text("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


@pytest.mark.parametrize("content", [1.5, {"a": [0.1]}, {1: "a"}, b"x", {"a": {2, 3}}])
def test_that_what_has_no_exact_text_is_refused(content: object) -> None:
    with pytest.raises(TypeError):
        canonical_json(content)


@given(CONTENT)
def test_that_reading_the_text_gives_the_content_back(content: object) -> None:
    text = canonical_json(content)
    assert json.loads(text) == content
    assert canonical_json(json.loads(text)) == text
