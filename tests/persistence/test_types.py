"""Column types mean the same on both engines."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import insert, select
from sqlalchemy.exc import DataError, IntegrityError, StatementError

from shopdesk.persistence.engine import Database, int_sum
from shopdesk.persistence.tables import metadata
from tests.persistence.planting import NOON, Planter

customer = metadata.tables["customer"]


def _customer(**values: object) -> dict[str, object]:
    return {"kind": "person", "name": "A", "sort_key": "a", "created_utc": NOON} | values


def _written(database: Database, **values: object) -> None:
    with database.write() as connection:
        connection.execute(insert(customer).values(_customer(**values)))


def test_that_a_stamp_comes_back_as_the_same_instant_in_utc(database: Database) -> None:
    typed = datetime(2026, 11, 25, 10, 0, 0, 5, tzinfo=timezone(timedelta(hours=-5)))
    _written(database, created_utc=typed)
    with database.read() as connection:
        stamp = connection.execute(select(customer.c.created_utc)).scalar_one()
    assert stamp == typed
    assert stamp.utcoffset() == timedelta(0)
    assert stamp.microsecond == 5


def test_that_a_stamp_without_a_zone_is_refused(database: Database) -> None:
    with pytest.raises(StatementError, match="needs its time zone"):
        _written(database, created_utc=datetime(2026, 11, 25, 10))  # noqa: DTZ001 (what must be refused)


def test_that_stamps_sort_by_time_whatever_zone_they_were_typed_in(database: Database) -> None:
    later = datetime(2026, 11, 25, 10, tzinfo=timezone(timedelta(hours=-5)))  # 15:00 in UTC
    earlier = datetime(2026, 11, 25, 12, tzinfo=UTC)
    whole_second = datetime(2026, 11, 25, 12, 0, 1, tzinfo=UTC)
    for stamp in (later, whole_second, earlier):
        _written(database, created_utc=stamp)
    with database.read() as connection:
        order = connection.execute(select(customer.c.created_utc).order_by(customer.c.created_utc)).scalars()
        after = select(customer.c.id).where(customer.c.created_utc > earlier.replace(microsecond=1))
        assert list(order) == [earlier, whole_second, later]
        assert len(connection.execute(after).all()) == 2


def test_that_both_instants_of_a_repeated_hour_are_told_apart(database: Database) -> None:
    berlin = ZoneInfo("Europe/Berlin")  # clocks went back on 25 October 2026 at 03:00
    first = datetime(2026, 10, 25, 2, 30, tzinfo=berlin)
    second = first.replace(fold=1)
    for stamp in (second, first):
        _written(database, created_utc=stamp)
    with database.read() as connection:
        kept = (
            connection.execute(select(customer.c.created_utc).order_by(customer.c.created_utc))
            .scalars()
            .all()
        )
    assert kept[1] - kept[0] == timedelta(hours=1)


def test_that_text_over_its_length_is_refused(database: Database) -> None:
    _written(database, name="ü" * 200)
    with pytest.raises((IntegrityError, DataError)):
        _written(database, name="ü" * 201)


def test_that_the_nul_character_is_refused(database: Database) -> None:
    with pytest.raises(StatementError, match="NUL"):
        _written(database, name="A\0B")


def test_that_keys_sort_by_code_point(database: Database) -> None:
    keys = ["z", "a b", "ab", "a-b", "ä", "Z", "_"]
    for key in keys:
        _written(database, sort_key=key)
    with database.read() as connection:
        found = connection.execute(select(customer.c.sort_key).order_by(customer.c.sort_key)).scalars().all()
    assert found == sorted(keys)


def test_that_a_sum_of_microlitres_is_a_whole_number_beyond_32_bits(database: Database) -> None:
    move = metadata.tables["stock_move"]
    drum = 208_000_000 * 20  # 20 drums of 208 L
    with database.write() as connection:
        planter = Planter(connection)
        first = planter.plant("stock_move")
        for n in range(3):
            values = {k: v for k, v in first.items() if k != "id"} | {"uid": f"m{n}", "quantity": drum}
            connection.execute(insert(move).values(values))
        total = connection.execute(select(int_sum(move.c.quantity)).where(move.c.uid.like("m%"))).scalar_one()
        nothing = connection.execute(select(int_sum(move.c.quantity)).where(move.c.id < 0)).scalar_one()
    assert (type(total), total) == (int, 3 * drum)
    assert (type(nothing), nothing) == (int, 0)


def test_that_what_must_never_be_is_refused(database: Database) -> None:
    invoice = metadata.tables["invoice"]
    with database.write() as connection:
        good = Planter(connection).plant("invoice")
    wrong = good | {"id": None, "uid": "w", "number": 99, "total_minor": good["total_minor"] + 1}
    del wrong["id"]
    with pytest.raises(IntegrityError, match="adds_up"), database.write() as connection:
        connection.execute(insert(invoice).values(wrong))


def test_that_a_row_cannot_point_at_nothing(database: Database) -> None:
    address = metadata.tables["address"]
    with pytest.raises(IntegrityError), database.write() as connection:
        connection.execute(insert(address).values(customer_id=12345, position=1, lines="x"))
