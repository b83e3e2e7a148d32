"""``shopdesk verify-record`` checks the code of a service record; ``public-key`` gives out the shop's key.

Checking needs no shop, no database and no network. Exit codes: 0 as signed, 1 not as signed or not by
the key that was named, 2 nothing to check could be read.
"""

import argparse
import sys
from gettext import gettext as _
from pathlib import Path
from typing import Any

from shopdesk.cli.doors import Doors
from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.record_code import PREFIX, CodeBroken
from shopdesk.services.record_check import MOST_BYTES, CheckedCode, check_code, codes_of


def add_verbs(verbs: Any) -> None:
    """Add both commands to the parser's."""
    verify = verbs.add_parser("verify-record", help=_("check the code of a service record, offline"))
    verify.add_argument("what", metavar=_("PICTURE_OR_TEXT"), help=_("a picture, a PDF, the text, or -"))
    verify.add_argument("--key", default="", metavar=_("KEY"), help=_("the shop's key, from the shop itself"))
    verify.add_argument("--json", action="store_true", help=_("answer as JSON"))
    verify.set_defaults(verb=_verify_record)
    public = verbs.add_parser("public-key", help=_("print the key by which this shop's records are checked"))
    public.set_defaults(verb=_public_key)


def _verify_record(options: argparse.Namespace, doors: Doors) -> int:
    key = _key(options.key)
    try:
        checked = [check_code(code, key=key) for code in codes_of(_content(options.what, doors))]
    except CodeBroken as refusal:
        doors.complain(refusal.sentence)
        return 1
    if options.json:
        doors.say_json({"format": "shopdesk-record-check/1", "codes": [_data(each) for each in checked]})
        return 0
    for each in checked:
        _tell(each, doors)
    return 0


def _content(what: str, doors: Doors) -> bytes:
    """Give what is to be checked: the text itself, standard input, or a file."""
    if what[: len(PREFIX)].upper() == PREFIX:
        return what.encode("utf-8", "replace")
    if what == "-":
        return _limited((doors.given or sys.stdin.buffer).read(MOST_BYTES + 1))
    try:
        with Path(what).open("rb") as opened:
            return _limited(opened.read(MOST_BYTES + 1))
    except (OSError, ValueError) as trouble:
        sentence = _("There is no file of this name that can be read, and it is no code.")
        raise RuleBroken(sentence, "what") from trouble


def _limited(content: bytes) -> bytes:
    if len(content) > MOST_BYTES:
        raise RuleBroken(_("The file is larger than 25 MB."), "what")
    return content


def _key(given: str) -> str:
    """A key is typed, or stands in a file that the shop gave out."""
    if not given:
        return ""
    try:
        with Path(given).open("rb") as opened:
            return opened.read(10_000).decode("utf-8", "replace")
    except (OSError, ValueError):
        return given


def _data(checked: CheckedCode) -> dict[str, Any]:
    facts = {
        name: value if isinstance(value, int | str) else value.isoformat()
        for name, value in checked.facts.items()
    }
    return {
        "as_signed": True,
        "fingerprint": checked.fingerprint,
        "public_key": checked.public_hex,
        "key_named": checked.key_named,
        "facts": facts,
    }


def _tell(checked: CheckedCode, doors: Doors) -> None:
    doors.say(_("The code is as it was signed: not one letter was changed."))
    doors.say(_("Key: {fingerprint}").format(fingerprint=checked.fingerprint))
    if checked.key_named:
        doors.say(_("It is the key that you named."))
    else:
        doors.say(_("Whose key that is, the code cannot say: compare it with the one the shop itself gives."))
    doors.say("")
    told = checked.told()
    wide = max(len(label) for label, _text in told) if told else 0
    for label, text in told:
        doors.say(f"{label.ljust(wide)}  {text}")
    doors.say("")
    doors.say(_("Shown by this: the key's owner signed exactly these facts. Compare them with the paper."))
    doors.say(_("Not shown by this: that the readings were taken well, or that the key is the shop's."))


def _public_key(_options: argparse.Namespace, doors: Doors) -> int:
    desk = doors.open_desk(doors.address)
    try:
        shop, key = desk.setup.shop(), desk.keys.public()
    finally:
        desk.close()
    doors.say(shop.name)
    doors.say(_("Key: {fingerprint}").format(fingerprint=key.fingerprint))
    doors.say(key.public_hex)
    return 0
