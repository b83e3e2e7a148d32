"""Ids of commands."""

from shopdesk.ui.presenters.uids import Uids


def test_that_the_same_content_keeps_its_id_and_another_gets_its_own() -> None:
    uids = Uids()
    first = uids.of("customer", {"name": "Lee"})
    assert uids.of("customer", {"name": "Lee"}) == first
    assert uids.of("vehicle", {"name": "Lee"}) != first
    assert uids.of("customer", {"name": "Leigh"}) != first


def test_that_ids_survive_in_a_draft() -> None:
    before, after = Uids(), Uids()
    uid = before.of("customer", {"name": "Lee"})
    after.restore({"name": "Lee", **before.texts()})
    assert after.of("customer", {"name": "Lee"}) == uid


def test_that_what_comes_after_forgetting_is_something_else() -> None:
    uids = Uids()
    first = uids.of("unit", 1)
    uids.forget()
    assert uids.of("unit", 1) != first
