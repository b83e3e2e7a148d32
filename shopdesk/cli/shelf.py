"""``shopdesk stock value``, ``stock receive FILE.csv`` and ``recall LOT``: the shelf without a window."""

import argparse
from gettext import gettext as _
from gettext import ngettext
from hashlib import sha256
from pathlib import Path
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from shopdesk.cli.doors import Doors
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.numerals import NumberStyle
from shopdesk.services.buying import SaveSupplier
from shopdesk.services.desk import Desk
from shopdesk.services.figures import Figures
from shopdesk.services.plain import to_plain
from shopdesk.services.recall import Recall
from shopdesk.services.receiving_file import MOST_CHARACTERS, FileReceived, ReceiveFile


def add_verbs(verbs: Any) -> None:
    """Add the commands to the parser's."""
    stock = verbs.add_parser("stock", help=_("the shelf: what it is worth, and deliveries from a file"))
    within = stock.add_subparsers(required=True)
    value = within.add_parser("value", help=_("what every item cost, what was used and what is left"))
    value.add_argument("--json", action="store_true", help=_("answer as JSON"))
    value.set_defaults(verb=_value)
    receive = within.add_parser("receive", help=_("receive a delivery from a CSV file"))
    receive.add_argument("file", type=Path, metavar="FILE.csv")
    receive.add_argument("--supplier", required=True, metavar=_("NAME"))
    receive.add_argument("--document", default="", metavar=_("NUMBER"), help=_("its document number"))
    receive.add_argument("--freight", default="0", metavar=_("AMOUNT"))
    receive.add_argument("--json", action="store_true", help=_("answer as JSON"))
    receive.set_defaults(verb=_receive)
    recall = verbs.add_parser("recall", help=_("which vehicles had a lot, and whom to call"))
    recall.add_argument("lot", metavar=_("LOT"))
    recall.add_argument("--json", action="store_true", help=_("answer as JSON"))
    recall.set_defaults(verb=_recall)


def _value(options: argparse.Namespace, doors: Doors) -> int:
    desk = doors.open_desk(doors.address)
    try:
        figures, value = Figures(desk.setup.shop()), desk.shelf_reports.value()
    finally:
        desk.close()
    if options.json:
        doors.say_json(
            {"format": "shopdesk-stock-value/1", "left_minor": value.left_minor, **to_plain(value)}
        )
        return 0
    for row in value.rows:
        held, left = figures.stock(row.base, row.on_hand), figures.money(row.left_minor)
        doors.say(_("{item}: {held} on hand, {left}").format(item=row.name, held=held, left=left))
    doors.say(
        _("Altogether {left} by {method}").format(
            left=figures.money(value.left_minor), method=_(value.method)
        )
    )
    return 0


def _receive(options: argparse.Namespace, doors: Doors) -> int:
    content = _read(options.file)
    desk = doors.open_desk(doors.address)
    try:
        kept = _receive_at(desk, options, content)
        figures = Figures(desk.setup.shop())
    finally:
        desk.close()
    if options.json:
        doors.say_json({"format": "shopdesk-received/1", **to_plain(kept)})
        return 0
    for delivery in kept.deliveries:
        sentence = ngettext("{n} line received, {cost}", "{n} lines received, {cost}", len(delivery.lines))
        cost = figures.money(sum(line.cost_minor for line in delivery.lines))
        doors.say(sentence.format(n=len(delivery.lines), cost=cost))
        for note in delivery.notes:
            doors.say(note)
    return 0


def _read(file: Path) -> str:
    try:
        with file.open("rb") as opened:
            content = opened.read(4 * MOST_CHARACTERS + 1)
        return content.decode("utf-8-sig")
    except (OSError, ValueError) as trouble:
        raise RuleBroken(_("There is no file of this name that can be read as UTF-8 text.")) from trouble


def _receive_at(desk: Desk, options: argparse.Namespace, content: str) -> FileReceived:
    """Receive a file once: the same file for the same supplier again gives the first answer."""
    name = options.supplier.strip()
    known = {each.name.casefold(): each.id for each in desk.buying.suppliers()}
    supplier_id = known.get(name.casefold())
    if supplier_id is None:
        supplier_id = desk.buying.save_supplier(SaveSupplier(actor=desk.actor(), name=name)).supplier_id
    said = f"{name.casefold()}/{options.document}/{sha256(content.encode()).hexdigest()}"
    return desk.receiving_files.receive(
        ReceiveFile(
            actor=desk.actor(),
            uid=str(uuid5(NAMESPACE_URL, said)),
            style=NumberStyle.STRICT,
            supplier_id=supplier_id,
            content=content,
            document_no=options.document,
            freight=options.freight,
        )
    )


def _recall(options: argparse.Namespace, doors: Doors) -> int:
    desk = doors.open_desk(doors.address)
    try:
        figures, found = Figures(desk.setup.shop()), desk.recalls.recall(options.lot)
    finally:
        desk.close()
    if options.json:
        doors.say_json({"format": "shopdesk-recall/1", **to_plain(found)})
        return 0
    _tell_recall(found, figures, doors)
    return 0


def _tell_recall(found: Recall, figures: Figures, doors: Doors) -> None:
    for each in found.vehicles:
        who = "  ".join(part for part in (each.customer, *each.phones, *each.emails) if part)
        doors.say(f"{each.plate}  {each.vehicle}  {who}")
        sentence = _("    {item}, lot {lot}: {quantity}, work order {number}, {day}")
        doors.say(
            sentence.format(
                item=each.item,
                lot=each.lot,
                quantity=figures.stock(each.base, each.quantity),
                number=each.work_order_number,
                day=figures.day(each.on_date),
            )
        )
    doors.say(ngettext("{n} vehicle", "{n} vehicles", _vehicles(found)).format(n=_vehicles(found)))
    for box in found.containers:
        sentence = _("Still here: {container}, {held}, {state}")
        held = figures.stock(box.base, box.held)
        doors.say(sentence.format(container=box.label, held=held, state=_(box.state)))


def _vehicles(found: Recall) -> int:
    return len({each.vehicle_id for each in found.vehicles})
