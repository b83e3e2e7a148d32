"""The program without a window: ``shopdesk job``, ``due``, ``check``, ``verify-record`` and others.

Exit codes: 0 done (or already kept), 1 the check found differences, 2 refused: nothing was kept.
"""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from gettext import gettext as _
from gettext import ngettext
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from shopdesk.cli import record_codes, shelf, verifying
from shopdesk.cli.doors import Doors as Doors
from shopdesk.cli.job_result import as_data
from shopdesk.domain.errors import RuleBroken
from shopdesk.services.desk import Desk
from shopdesk.services.figures import Figures
from shopdesk.services.job import JobDone
from shopdesk.services.job_file import read_job_file
from shopdesk.services.papers import KeepPaper, PaperBytes


def run(arguments: Sequence[str], doors: Doors) -> int:
    """Carry out one command and give its exit code."""
    options = _parser().parse_args(arguments)
    try:
        return int(options.verb(options, doors))
    except BrokenPipeError:  # whoever read the answer has seen enough of it; the work is done
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except RuleBroken as refusal:
        place = f"{refusal.field}: " if refusal.field else ""
        name = f"{options.file}: " if "file" in options else ""
        doors.complain(f"{name}{place}{refusal.sentence}")
        return 2


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="shopdesk", description=_("Drivetrain fluid services, without a window.")
    )
    verbs = parser.add_subparsers(required=True)
    job = verbs.add_parser("job", help=_("keep one finished service from a file"))
    job.add_argument("file", type=Path, metavar="FILE.json")
    job.add_argument("--papers", type=Path, metavar=_("FOLDER"), help=_("write its papers there"))
    job.add_argument("--json", action="store_true", help=_("answer as JSON"))
    job.set_defaults(verb=_job)
    due = verbs.add_parser("due", help=_("what falls due"))
    due.add_argument("--within", type=int, default=30, metavar=_("DAYS"))
    due.add_argument("--json", action="store_true", help=_("answer as JSON"))
    due.set_defaults(verb=_due)
    check = verbs.add_parser("check", help=_("work out every derived figure again and say what differs"))
    check.set_defaults(verb=_check)
    record_codes.add_verbs(verbs)
    verifying.add_verbs(verbs)
    shelf.add_verbs(verbs)
    demo = verbs.add_parser("demo", help=_("make the demo shop and do its main job"))
    demo.add_argument("--papers", type=Path, metavar=_("FOLDER"), default=None)
    demo.set_defaults(verb=_demo)
    return parser


def _job(options: argparse.Namespace, doors: Doors) -> int:
    document = read_job_file(options.file, doors.schemas / "job.json")
    if options.papers is not None:
        make_folder(options.papers)
    desk = doors.open_desk(doors.address)
    try:
        data, figures = _keep_job(desk, document, options.papers)
    finally:
        desk.close()
    if options.json:
        doors.say_json(data)
    else:
        _tell(data, figures, doors)
    return 0


def _keep_job(desk: Desk, document: dict[str, Any], folder: Path | None) -> tuple[dict[str, Any], Figures]:
    """Keep a job and write its papers; gives its result, and what writes figures in the shop's units."""
    done, already_kept = desk.jobs.run(document)
    papers, notes = _papers(desk, done, document["id"], folder)
    figures = Figures(desk.setup.shop())
    view = desk.jobs.view(done)
    data = as_data(view, figures, uid=document["id"], already_kept=already_kept, papers=papers)
    data["notes"] += notes
    return data, figures


def _papers(desk: Desk, done: JobDone, uid: str, folder: Path | None) -> tuple[list[str], list[str]]:
    """Keep the invoice's and estimate's bytes and write all papers into the folder.

    Gives their names, and a sentence for each that cannot be made: the job itself is kept by now.
    """
    for kind, subject_id in (("invoice", done.invoice.invoice_id), ("estimate", done.work_order_id)):
        once = str(uuid5(NAMESPACE_URL, f"{uid}/{kind}"))
        if not desk.office.knows(once):
            desk.papers.keep(KeepPaper(actor=desk.actor(), uid=once, kind=kind, subject_id=subject_id))
    made, notes = [], []
    for make in paper_makers(desk, done):
        try:
            made.append(make())
        except RuleBroken as refusal:
            notes.append(_("A paper could not be made: {reason}").format(reason=refusal.sentence))
    if folder is not None:
        write_papers(made, folder)
    return [paper.name for paper in made], notes


def paper_makers(desk: Desk, done: JobDone) -> list[Callable[[], PaperBytes]]:
    """Give what makes each paper of a finished job."""
    papers, record_id = desk.papers, done.record_id
    return [
        lambda: papers.estimate(done.work_order_id),
        lambda: papers.job_sheet(record_id),
        lambda: papers.invoice(done.invoice.invoice_id),
        lambda: papers.service_record(record_id),
        lambda: papers.service_record(record_id, personal=False),
        lambda: papers.sticker(record_id),
        lambda: papers.sticker(record_id, on_sheet=True),
    ]


def make_folder(folder: Path) -> None:
    """Make the folder for papers before anything is kept; RuleBroken when it cannot be one."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as trouble:
        sentence = _("{folder} cannot be made a folder for the papers: {reason}. Nothing was kept.")
        raise RuleBroken(sentence.format(folder=folder, reason=trouble.strerror), "--papers") from trouble


def write_papers(papers: Sequence[PaperBytes], folder: Path) -> None:
    """Write papers into a folder, each whole or not at all; RuleBroken when it cannot be written."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for paper in papers:
            part = folder / f"{paper.name}.part"
            part.write_bytes(paper.content)
            os.replace(part, folder / paper.name)
    except OSError as trouble:
        sentence = _("The papers cannot be written to {folder}: {reason}. The job itself is kept.")
        raise RuleBroken(sentence.format(folder=folder, reason=trouble.strerror)) from trouble


def _tell(data: dict[str, Any], figures: Figures, doors: Doors) -> None:
    if data["already_kept"]:
        doors.say(_("Already kept: nothing changed."))
    invoice = data["invoice"]
    doors.say(_("Work order {number}").format(number=data["work_order"]))
    doors.say(data["proof"]["sentence"])
    doors.say(data["balance"]["sentence"])
    if data["due"]:
        doors.say(data["due"]["reason"])
    doors.say(
        _("Invoice {number}: {total}").format(
            number=invoice["number"], total=figures.money(invoice["total_minor"])
        )
    )
    for left in data["stock"]:
        shown = figures.stock(left["base"], left["left"])
        doors.say(_("{item}: {left} left").format(item=left["item"], left=shown))
    for name in data["papers"]:
        doors.say(name)
    for note in data["notes"]:
        doors.say(note)


def _due(options: argparse.Namespace, doors: Doors) -> int:
    if not 0 <= options.within <= 36_500:
        raise RuleBroken(_("Days are counted from 0 to 36500."), "--within")
    desk = doors.open_desk(doors.address)
    try:
        figures = Figures(desk.setup.shop())
        rows = desk.due.within(options.within)
    finally:
        desk.close()
    if options.json:
        keys = (
            "plate",
            "vehicle",
            "customer",
            "phone",
            "unit_label",
            "odometer_tenths",
            "odometer_unit",
            "reason",
        )
        listed = [
            {
                **{key: getattr(row, key) for key in keys},
                "due_on": row.due_on.isoformat(),
                "state": row.state.value,
            }
            for row in rows
        ]
        doors.say_json(listed)
        return 0
    for row in rows:
        doors.say(
            f"{figures.day(row.due_on)}  {_(row.state)}  {row.plate}  {row.unit_label}  "
            f"{row.customer}  {row.phone}"
        )
        doors.say(f"    {row.reason}")
    doors.say(ngettext("{n} unit", "{n} units", len(rows)).format(n=len(rows)))
    return 0


def _check(_options: argparse.Namespace, doors: Doors) -> int:
    desk = doors.open_desk(doors.address)
    try:
        result = desk.safekeeping.check()
    finally:
        desk.close()
    for finding in result.findings:
        doors.say(f"{finding.subject} {finding.subject_id}: {finding.sentence}")
    if result.findings:
        return 1
    doors.say(_("Everything that follows from the facts is as it is kept."))
    return 0


def _demo(options: argparse.Namespace, doors: Doors) -> int:
    from shopdesk.services.demo.main_job import main_job
    from shopdesk.services.demo.make import ensure_demo

    shop = Path(doors.demo_address)
    folder: Path = options.papers or shop.parent / "demo-papers"
    make_folder(folder)
    if not shop.exists():
        doors.say(_("Making the demo shop and its two years of work; this takes a moment the first time …"))
    desk = ensure_demo(doors.demo_address, doors.open_desk)
    try:
        data, figures = _keep_job(desk, main_job(desk), folder)
        name = desk.setup.shop().name
    finally:
        desk.close()
    doors.say(_("{shop} (invented), kept in {file}").format(shop=name, file=shop))
    _tell(data, figures, doors)
    doors.say(_("The papers are in {folder}").format(folder=folder.resolve()))
    return 0
