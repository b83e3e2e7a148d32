"""Whether what was recorded is as it was written: chain, rows, guards, frozen papers, the file itself."""

import json
from gettext import gettext as _
from hashlib import sha256

from sqlalchemy import Table, except_, literal, select

from shopdesk.persistence import canonical, chain
from shopdesk.persistence.guards import missing_guards
from shopdesk.persistence.tables.billing import invoice, paper, payment, stored_file
from shopdesk.persistence.tables.buying import core_move, delivery, supplier_bill
from shopdesk.persistence.tables.evidence import photo, signing_key, warmup_log, warmup_reading
from shopdesk.persistence.tables.journal import chain as chain_table
from shopdesk.persistence.tables.service import service_entry
from shopdesk.persistence.tables.shelf import container_event, count_line, fluid_match, record_draw
from shopdesk.persistence.tables.stock import stock_move
from shopdesk.persistence.tables.units import sheet_revision
from shopdesk.persistence.tables.used_oil import oil_move
from shopdesk.persistence.tables.vehicles import odometer_reading
from shopdesk.persistence.tables.work import consent, estimate
from shopdesk.services.acting import AnyRow, Office, Reading, content_sha
from shopdesk.services.checking import PAGE, Report, pages
from shopdesk.services.signing import halves_fit

CHAINED: dict[str, Table] = {
    table.name: table
    for table in (
        sheet_revision,
        estimate,
        consent,
        stock_move,
        odometer_reading,
        service_entry,
        invoice,
        payment,
        fluid_match,
        container_event,
        record_draw,
        count_line,
        delivery,
        supplier_bill,
        core_move,
        oil_move,
        photo,
        warmup_log,
        warmup_reading,
        signing_key,
    )
}
"""Tables of which every row stands in the audit chain."""


def check_file(office: Office, report: Report) -> None:
    """SQLite's own checks: pages of the file, and rows that name a row which is not there."""
    with office.reading() as reading:
        if reading.connection.dialect.name != "sqlite":
            return
        for (sentence,) in reading.connection.exec_driver_sql("PRAGMA quick_check(10)"):
            if sentence != "ok":
                report.say("file", 0, _("The file is damaged: {what}").format(what=sentence))
    with office.reading() as reading:
        for table, row_id, parent, _key in reading.connection.exec_driver_sql("PRAGMA foreign_key_check"):
            report.say(
                table, row_id or 0, _("It names a row of {table} that is not there.").format(table=parent)
            )


def check_guards(office: Office, report: Report) -> None:
    """The triggers by which the database itself keeps recorded rows as they are."""
    with office.reading() as reading:
        for name in missing_guards(reading.connection):
            report.say("guard", 0, _("The guard {name} is missing or does nothing.").format(name=name))


def check_chain(office: Office, report: Report) -> None:
    """Every link of the audit chain, then every row a link vouches for, then rows without a link."""
    with office.reading() as reading:
        broken = chain.verify(reading.connection)
    if broken is not None:
        sentences = {
            "missing": _("The link is missing from the audit chain."),
            "changed": _("The link of the audit chain was changed."),
        }
        report.say("chain", broken.seq, sentences[broken.reason])
    _check_linked_rows(office, report)
    for table in CHAINED.values():
        _check_unlinked(office, report, table)


def _check_linked_rows(office: Office, report: Report) -> None:
    after = 0
    ordered = select(chain_table).order_by(chain_table.c.seq).limit(PAGE)
    while True:
        with office.reading() as reading:
            links = reading.connection.execute(ordered.where(chain_table.c.seq > after)).all()
            for name in dict.fromkeys(link.subject for link in links):
                _check_rows_of(reading, report, name, [link for link in links if link.subject == name])
        if not links:
            return
        report.looked_at["links"] += len(links)
        after = links[-1].seq


def _check_rows_of(reading: Reading, report: Report, name: str, links: list[AnyRow]) -> None:
    table = CHAINED.get(name)
    if table is None:
        for link in links:
            report.say(
                "chain", link.seq, _("It vouches for a table that is not known: {name}.").format(name=name)
            )
        return
    rows = reading.connection.execute(
        select(table).where(table.c.id.in_([link.subject_id for link in links]))
    )
    found = {row.id: content_sha(table, dict(row._mapping)) for row in rows}
    for link in links:
        if link.subject_id not in found:
            report.say(name, link.subject_id, _("The row is missing; the audit chain vouches for it."))
        elif found[link.subject_id] != link.content_sha:
            report.say(name, link.subject_id, _("The row is not as it was written."))
    report.looked_at["rows"] += len(found)


def _check_unlinked(office: Office, report: Report, table: Table) -> None:
    linked = select(chain_table.c.subject_id).where(chain_table.c.subject == literal(table.name))
    with office.reading() as reading:
        for row_id in reading.connection.execute(except_(select(table.c.id), linked)).scalars():
            report.say(table.name, row_id, _("The row is not in the audit chain."))


def check_estimates(office: Office, report: Report) -> None:
    """The frozen lines of every estimate: their hash, and the sum the customer was told."""
    for _reading, rows in pages(office, estimate):
        for row in rows:
            if canonical.sha256_text(row.snapshot) != row.sha:
                report.say("estimate", row.id, _("What the estimate froze does not fit its hash."))
            elif _frozen_net(row.snapshot) != row.net_minor:
                report.say("estimate", row.id, _("The estimate's sum is not that of its frozen lines."))


def _frozen_net(snapshot: str) -> int | None:
    try:
        return int(json.loads(snapshot)["totals"]["net_minor"])
    except (ValueError, KeyError, TypeError):  # whoever wrote this did not freeze an estimate
        return None


def check_papers(office: Office, report: Report) -> None:
    """The bytes of every kept paper, and that none is listed without its bytes."""
    after = ""
    while True:
        with office.reading() as reading:
            row = reading.connection.execute(
                select(stored_file).where(stored_file.c.sha > after).order_by(stored_file.c.sha).limit(1)
            ).one_or_none()
        if row is None:
            break
        after = row.sha
        report.looked_at["files"] += 1
        if sha256(row.bytes).hexdigest() != row.sha:
            _say_of_papers(office, report, row.sha, _("The kept bytes of {name} do not fit their hash."))
    with office.reading() as reading:
        kept = select(stored_file.c.sha)
        lost = reading.connection.execute(select(paper.c.sha).where(paper.c.sha.not_in(kept)).distinct())
        shas = lost.scalars().all()
    for sha in shas:
        _say_of_papers(office, report, sha, _("The bytes of {name} are missing."))


def _say_of_papers(office: Office, report: Report, sha: str, sentence: str) -> None:
    """Name the papers and pictures that bytes belong to."""
    with office.reading() as reading:
        found = [
            (table.name, row)
            for table in (paper, photo)
            for row in reading.connection.execute(
                select(table.c.id, table.c.name).where(table.c.sha == sha).order_by(table.c.id)
            )
        ]
    for kind, row in found:
        report.say(kind, row.id, sentence.format(name=row.name))
    if not found:
        report.say("stored_file", 0, sentence.format(name=sha))


def check_keys(office: Office, report: Report) -> None:
    """Both halves of each key that signs records; another public half would sign what nobody can check."""
    with office.reading() as reading:
        keys = reading.connection.execute(select(signing_key)).all()
    for row in keys:
        if not halves_fit(row.public_hex, row.private_hex):
            report.say("signing_key", row.id, _("The two halves of the key do not belong together."))
