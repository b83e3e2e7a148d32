"""``shopdesk verify`` gives a second technician's verdict over a record's file or a job file, offline.

Exit codes: 0 consistent, 1 incomplete or contradictory (or not as the shop signed it), 2 not readable.
``shopdesk record-file`` writes a kept record's own file.
"""

import argparse
from gettext import gettext as _
from pathlib import Path
from typing import Any

from shopdesk.cli.doors import Doors
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record_code import CodeBroken
from shopdesk.domain.verify import Verdict, Verification, verify
from shopdesk.services.job_file import read_checked_file
from shopdesk.services.verifying_files import SCHEMAS, evidence_of_document


def add_verbs(verbs: Any) -> None:
    """Add both commands to the parser's."""
    second = verbs.add_parser("verify", help=_("judge a service by its facts, offline"))
    second.add_argument("file", type=Path, metavar="FILE.json")
    second.add_argument("--json", action="store_true", help=_("answer as JSON"))
    second.set_defaults(verb=_verify)
    record = verbs.add_parser("record-file", help=_("write a service record's own file"))
    record.add_argument("number", metavar=_("NUMBER"), help=_("as on the record, such as 1001-1"))
    record.set_defaults(verb=_record_file)


def _verify(options: argparse.Namespace, doors: Doors) -> int:
    document = read_checked_file(options.file, doors.schemas, SCHEMAS)
    try:
        result = verify(evidence_of_document(document, doors.now()))
    except CodeBroken as refusal:
        doors.complain(refusal.sentence)
        return 1
    if options.json:
        doors.say_json(as_data(result))
    else:
        doors.say(result.sentence)
        for finding in result.findings:
            doors.say(f"{_(finding.weight)}: {_(finding.rule)}: {finding.sentence}")
    return 0 if result.verdict is Verdict.CONSISTENT else 1


def as_data(result: Verification) -> dict[str, Any]:
    """Give the verdict as JSON data; volumes in µL."""
    outcome = result.outcome
    return {
        "format": "shopdesk-verification/1",
        "verdict": result.verdict.value,
        "sentence": result.sentence,
        "findings": [
            {
                "rule": finding.rule.name.lower(),
                "words": _(finding.rule),
                "weight": finding.weight.value,
                "sentence": finding.sentence,
                "fields": list(finding.fields),
            }
            for finding in result.findings
        ],
        "recomputed": {
            "level": outcome.proof.verdict.value,
            "arrived": outcome.balance.arrived.value,
            "delta_ul": outcome.balance.delta_ul,
            "two_u_ul": outcome.balance.two_u_ul,
            "new_fluid": None if outcome.fresh.share is None else f"{outcome.fresh.share:.4f}",
        },
    }


def _record_file(options: argparse.Namespace, doors: Doors) -> int:
    number = options.number.rpartition("-")[2]
    if not (number.isascii() and number.isdigit() and len(number) < 16):
        raise RuleBroken(_("A record's number is such as 1001-1."), "number")
    desk = doors.open_desk(doors.address)
    try:
        document = desk.verifying.document(int(number))
    finally:
        desk.close()
    if "-" in options.number and document["number"] != options.number:
        raise RuleBroken(_("There is no service record of this number."), "number")
    doors.say_json(document)
    return 0
