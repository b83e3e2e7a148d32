"""The check finds nothing in a whole shop, and names what somebody changed behind the program's back."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import psycopg
import pytest

from shopdesk.services.checking import MOST_OF_ONE_SUBJECT, Report
from shopdesk.services.desk import Desk
from shopdesk.services.finding import RebuildIndex
from shopdesk.services.papers import KeepPaper
from shopdesk.services.safekeeping import Finding
from tests.services.floors import Floor
from tests.services.shopfloor import ask, contents, document, run

FIRST_TAKE = "SELECT min(id) FROM stock_move WHERE layer_move_id = 1"
ALL_TAKEN = (
    "UPDATE stock_move SET quantity = -(SELECT m.quantity FROM stock_move m"
    " WHERE m.id = stock_move.layer_move_id)"
    " WHERE layer_move_id IS NOT NULL"
)


def _work(desk: Desk) -> None:
    """Fill a shop: three jobs in three units of measure, two of them with a kept invoice."""
    for name in ("us", "metric", "fixed_point"):
        done = run(desk, document(name))
        if name != "fixed_point":
            command = KeepPaper(actor=desk.actor(), kind="invoice", subject_id=done.invoice.invoice_id)
            desk.papers.keep(command)


def _tamper(url: str, *statements: str) -> None:
    """Write as somebody who switches the guards off and on again, so that they look untouched."""
    if url.startswith("sqlite"):
        with _unguarded(url.removeprefix("sqlite:///")) as connection:
            for statement in statements:
                connection.execute(statement)
        return
    with psycopg.connect(url) as server:
        server.execute("SET LOCAL session_replication_role = replica")
        for statement in statements:
            server.execute(statement.encode())


@contextmanager
def _unguarded(file: str) -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(file, isolation_level=None)
    try:
        triggers = connection.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'").fetchall()
        for name, _sql in triggers:
            connection.execute(f"DROP TRIGGER {name}")
        yield connection
        for _name, sql in triggers:
            connection.execute(sql)
    finally:
        connection.close()


def _subjects(findings: Sequence[Finding]) -> set[tuple[str, int]]:
    return {(finding.subject, finding.subject_id) for finding in findings}


def _sentences(desk: Desk, subject: str) -> str:
    return " ".join(each.sentence for each in desk.safekeeping.check().findings if each.subject == subject)


def test_that_an_empty_database_is_whole(desk: Desk) -> None:
    result = desk.safekeeping.check()
    assert result.findings == ()
    assert (result.links, result.rows, result.invoices, result.documents) == (0, 0, 0, 0)


def test_that_a_shop_at_work_is_whole_and_everything_was_looked_at(floor: Floor) -> None:
    _work(floor.desk)
    result = floor.desk.safekeeping.check()
    assert result.findings == ()
    (links,) = ask(floor.url, "SELECT count(*) FROM chain")[0]
    assert result.links == result.rows == links > 50
    counted = (result.invoices, result.files, result.units, result.layers)
    tables = ("invoice", "stored_file", "unit", "stock_move WHERE quantity > 0")
    assert counted == tuple(ask(floor.url, f"SELECT count(*) FROM {table}")[0][0] for table in tables)
    assert (result.documents,) == ask(floor.url, "SELECT count(*) FROM find_doc")[0]


def test_that_the_check_changes_nothing(floor: Floor) -> None:
    _work(floor.desk)
    before = contents(floor.url)
    floor.desk.safekeeping.check()
    assert contents(floor.url) == before


def test_that_what_was_changed_behind_the_program_is_named_on_both_engines(floor: Floor) -> None:
    _work(floor.desk)
    _tamper(
        floor.url,
        "UPDATE consent SET up_to_minor = up_to_minor + 1 WHERE id = 2",
        "DELETE FROM service_entry WHERE id = 3",
        "UPDATE odometer_reading SET value_tenths = value_tenths - 10000 WHERE id = 2",
        "UPDATE invoice_line SET net_minor = net_minor + 1 WHERE invoice_id = 2 AND position = 1",
        "UPDATE invoice SET number = number + 3 WHERE id = 3",
        "UPDATE payment_part SET amount_minor = 1 WHERE payment_id = 1",
        f"UPDATE stock_move SET quantity = -99000000 WHERE id = ({FIRST_TAKE})",
        "DELETE FROM next_due WHERE unit_id = 1",
        "DELETE FROM find_token WHERE tok = 'okonjo'",
        "DELETE FROM stored_file WHERE sha = (SELECT sha FROM paper WHERE id = 1)",
        "UPDATE number_series SET next_number = 2000 WHERE name = 'invoice'",
    )
    found = _subjects(floor.desk.safekeeping.check().findings)
    changed = {
        ("consent", 2),
        ("service_entry", 3),
        ("odometer_reading", 2),
        ("invoice", 2),
        ("invoice", 3),
        ("payment", 1),
        ("stock_move", 1),
        ("stock_move", ask(floor.url, FIRST_TAKE)[0][0]),
        ("next_due", 1),
        ("customer", 1),
        ("paper", 1),
        ("number_series", 0),
    }
    follows = {("vehicle", 1), ("next_due", 2)}  # the keeper's name is a word of his vehicle
    assert changed <= found <= changed | follows


ALONE = [
    (
        "UPDATE sheet_revision SET total_ul = total_ul + 1 WHERE id = 1",
        "sheet_revision",
        "not as it was written",
    ),
    ("UPDATE estimate SET snapshot = snapshot || ' ' WHERE id = 1", "estimate", "does not fit its hash"),
    (
        "UPDATE estimate SET net_minor = net_minor + 1 WHERE id = 1",
        "estimate",
        "not that of its frozen lines",
    ),
    ("UPDATE consent SET said_text = 'No.' WHERE id = 1", "consent", "not as it was written"),
    (
        "UPDATE service_entry SET at_utc = '2020-01-01T00:00:00.000000+00:00' WHERE id = 1",
        "service_entry",
        "not as",
    ),
    ("DELETE FROM chain WHERE seq = 5", "chain", "link is missing"),
    ("UPDATE chain SET content_sha = prev_sha WHERE seq = 5", "chain", "was changed"),
    ("UPDATE chain SET subject = 'paper' WHERE seq = 5", "chain", "not known: paper"),
    (
        "UPDATE invoice SET snapshot = replace(snapshot, 'a', 'b') WHERE id = 1",
        "invoice",
        "froze does not fit",
    ),
    ("UPDATE invoice SET snapshot = '{}' WHERE id = 1", "invoice", "frozen paper says other"),
    ("UPDATE invoice SET snapshot = 'no JSON' WHERE id = 1", "invoice", "frozen paper says other"),
    (
        "UPDATE invoice SET net_minor = net_minor + 1, total_minor = total_minor + 1",
        "invoice",
        "sum before tax",
    ),
    (
        "UPDATE invoice SET tax_minor = tax_minor + 1, total_minor = total_minor + 1",
        "invoice",
        "add up to its tax",
    ),
    ("UPDATE invoice SET currency = 'CAD'", "invoice", "frozen paper says other"),
    ("UPDATE invoice_line SET text = 'else' WHERE id = 1", "invoice", "frozen paper says other"),
    ("UPDATE invoice_line SET unit_price_minor = 1 WHERE id = 1", "invoice", "frozen paper says other"),
    ("DELETE FROM invoice_line WHERE id = 1", "invoice", "do not add up"),
    ("UPDATE invoice SET number = 1000 WHERE id = 1", "invoice", "a gap"),
    ("UPDATE number_series SET next_number = 1001", "number_series", "1001 comes next"),
    ("DELETE FROM payment_part", "payment", "does not add up"),
    ("UPDATE stored_file SET bytes = x'00'", "paper", "invoice-1001.pdf do not fit"),
    ("DELETE FROM stored_file", "paper", "invoice-1001.pdf are missing"),
    ("UPDATE stored_file SET sha = 'f' || substr(sha, 2)", "stored_file", "do not fit"),
    ("UPDATE stock_move SET layer_move_id = NULL WHERE quantity < 0", "item", "cost that came in"),
    ("UPDATE stock_move SET quantity = -quantity, layer_move_id = NULL WHERE id = 1", "stock_move", "not as"),
    ("UPDATE stock_move SET item_id = 2 WHERE layer_move_id = 1", "stock_move", "Moves of other items"),
    (ALL_TAKEN, "item", "Nothing is left"),
    ("UPDATE next_due SET due_on = '2031-01-01'", "next_due", "not what the facts say"),
    ("UPDATE next_due SET reason_text = 'because'", "next_due", "not what the facts say"),
    ("UPDATE find_doc SET shown = 'x' WHERE kind = 'vehicle'", "vehicle", "make the index again"),
    ("DELETE FROM find_token WHERE pos = 1 AND tok = '71'", "vehicle", "make the index again"),
    (
        "INSERT INTO find_doc (kind, subject_id, text, shown) VALUES ('customer', 99, '', '')",
        "customer",
        "again",
    ),
    (
        "UPDATE work_order_line SET unit_id = 99 WHERE id = 1",
        "work_order_line",
        "a row of unit that is not there",
    ),
]


@pytest.mark.parametrize(("statement", "subject", "words"), ALONE)
def test_that_a_single_change_is_told_in_words(
    statement: str, subject: str, words: str, one_floor: Floor
) -> None:
    for name in ("us", "fixed_point"):
        done = run(one_floor.desk, document(name))
    _keep_first_invoice(one_floor.desk, done.invoice.invoice_id - 1)
    assert one_floor.desk.safekeeping.check().findings == ()
    _tamper(one_floor.url, statement)
    assert words in _sentences(one_floor.desk, subject)


def _keep_first_invoice(desk: Desk, invoice_id: int) -> None:
    desk.papers.keep(KeepPaper(actor=desk.actor(), kind="invoice", subject_id=invoice_id))


def test_that_a_row_nobody_chained_is_named(floor: Floor) -> None:
    _work(floor.desk)
    columns = (
        "at_utc, person_id, station_id, kind, tender, amount_minor, currency, customer_id, on_date, note"
    )
    _tamper(floor.url, f"INSERT INTO payment (uid, {columns}) SELECT 'slipped in', {columns} FROM payment")
    found = floor.desk.safekeeping.check().findings
    assert [(each.subject, each.sentence) for each in found] == [
        ("payment", "The row is not in the audit chain."),
        ("payment", "What it was for does not add up to the payment."),
    ]


def test_that_a_dropped_guard_is_named(floor: Floor) -> None:
    if floor.url.startswith("sqlite"):
        with sqlite3.connect(floor.url.removeprefix("sqlite:///")) as connection:
            connection.execute("DROP TRIGGER guard_invoice_update")
        connection.close()
    else:
        with psycopg.connect(floor.url) as server:
            server.execute("DROP TRIGGER guard_invoice_row ON invoice")
    (found,) = floor.desk.safekeeping.check().findings
    assert found.subject == "guard"
    assert "guard_invoice_" in found.sentence


def test_that_an_index_made_again_mends_what_the_check_found(floor: Floor) -> None:
    _work(floor.desk)
    _tamper(
        floor.url,
        "DELETE FROM find_token WHERE tok = 'okonjo'",
        "UPDATE find_doc SET text = '' WHERE kind = 'invoice'",
        "INSERT INTO find_doc (kind, subject_id, text, shown) VALUES ('work order', 99, '', '')",
    )
    found = _subjects(floor.desk.safekeeping.check().findings)
    assert {("customer", 1), ("work_order", 99)} <= found
    assert {("invoice", number) for number in (1, 2, 3)} <= found
    floor.desk.finding.rebuild(RebuildIndex(actor=floor.desk.actor()))
    assert floor.desk.safekeeping.check().findings == ()
    assert floor.desk.finding.find("okonjo")[0].subject_id == 1


def test_that_very_many_findings_of_one_kind_are_counted() -> None:
    report = Report()
    for n in range(MOST_OF_ONE_SUBJECT + 3):
        report.say("vehicle", n, "It is not whole.")
    report.say("customer", 1, "Neither is this.")
    assert len(report.findings) == MOST_OF_ONE_SUBJECT + 2
    assert report.findings[-1] == Finding(
        subject="vehicle", subject_id=0, sentence="3 more findings of this kind."
    )
