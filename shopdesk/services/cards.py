"""Item cards: a washer's size, hazards and the safety data sheet, ordering, core charge, own billing rule."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from fractions import Fraction
from gettext import gettext as _
from hashlib import sha256

from sqlalchemy import insert, select

from shopdesk.domain import text
from shopdesk.domain.errors import Conflict, RuleBroken
from shopdesk.domain.hazards import Pictogram, SignalWord
from shopdesk.domain.pricing import BillingRule
from shopdesk.domain.units import read_whole
from shopdesk.domain.words import N_
from shopdesk.persistence.tables.billing import stored_file
from shopdesk.persistence.tables.buying import supplier
from shopdesk.persistence.tables.shelf import item_card
from shopdesk.persistence.tables.stock import item
from shopdesk.services.acting import AnyRow, Command, Office, Reading, Writing
from shopdesk.services.items import ItemKind, item_view
from shopdesk.services.typed import Typed


class PartKind(StrEnum):
    """What sort of part an item is."""

    OTHER = ""
    WASHER = N_("washer")
    FILTER = N_("filter")
    GASKET = N_("gasket")
    SEALANT = N_("sealant")


@dataclass(frozen=True, kw_only=True, slots=True)
class SaveCard(Command):
    """An item's card as it is from now on, read at ``version`` (0: there was none). Sizes are text.

    ``hazard_text`` and ``pictograms`` are copied from the product's own safety data sheet of
    ``sds_on``; ``core`` is the deposit on one piece.
    """

    item_id: int
    version: int
    part_kind: PartKind = PartKind.OTHER
    inner: str = ""
    outer: str = ""
    thickness: str = ""
    material: str = ""
    signal_word: SignalWord = SignalWord.NONE
    hazard_text: str = ""
    pictograms: tuple[Pictogram, ...] = ()
    emergency_phone: str = ""
    sds_on: date | None = None
    opened_days: str = ""
    lead_days: str = ""
    supplier_id: int | None = None
    supplier_code: str = ""
    core: str = ""
    billing_rule: BillingRule | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class KeepSafetySheet(Command):
    """A product's safety data sheet: its bytes as hexadecimal text, its name and its own date."""

    item_id: int
    name: str
    content_hex: str
    sds_on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class CardKept:
    """Which item's card, and its version now."""

    item_id: int
    version: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Card:
    """An item's card; sizes in micrometres, money in minor units. An item without one has the defaults."""

    item_id: int
    version: int = 0
    part_kind: PartKind = PartKind.OTHER
    inner_um: int | None = None
    outer_um: int | None = None
    thickness_um: int | None = None
    material: str = ""
    signal_word: SignalWord = SignalWord.NONE
    hazard_text: str = ""
    pictograms: tuple[Pictogram, ...] = ()
    emergency_phone: str = ""
    sds_sha: str = ""
    sds_name: str = ""
    sds_on: date | None = None
    opened_days: int | None = None
    lead_days: int | None = None
    supplier_id: int | None = None
    supplier_code: str = ""
    core_minor: int = 0
    billing_rule: BillingRule | None = None

    @property
    def washer_size(self) -> str:
        """A washer's inner × outer × thickness in millimetres, empty where it is not known."""
        sides = (self.inner_um, self.outer_um, self.thickness_um)
        return " × ".join(_millimetres(side) for side in sides if side)


@dataclass(frozen=True, kw_only=True, slots=True)
class WasherRow:
    """A washer on the list that fits a size, with what is on hand (thousandths of a piece)."""

    item_id: int
    name: str
    size: str
    material: str


_MOST_SHEET_BYTES = 10_000_000


def save_card(writing: Writing, command: SaveCard) -> CardKept:
    """Keep an item's card; Conflict when somebody else changed it since it was read."""
    goods = item_view(writing, command.item_id)
    if command.part_kind is not PartKind.OTHER and goods.kind is ItemKind.FLUID:
        raise RuleBroken(_("A fluid is no washer, filter, gasket or sealant."), "part_kind")
    if command.supplier_id is not None:
        writing.one(supplier, command.supplier_id, _("That supplier is not there."))
    values = {
        "part_kind": command.part_kind.value,
        **_sizes(writing.typed_here(), command),
        "material": text.clean(command.material, field="material", most=60),
        "signal_word": command.signal_word.value,
        "hazard_text": text.clean(command.hazard_text, field="hazard_text", most=2000, lines=True),
        "pictograms": " ".join(sorted({each.value for each in command.pictograms})),
        "emergency_phone": text.clean(command.emergency_phone, field="emergency_phone", most=60),
        "sds_on": command.sds_on,
        "opened_days": _days(command.opened_days, "opened_days"),
        "lead_days": _days(command.lead_days, "lead_days"),
        "supplier_id": command.supplier_id,
        "supplier_code": text.clean(command.supplier_code, field="supplier_code", most=60),
        "core_minor": writing.typed_here().money(command.core, "core") if command.core.strip() else 0,
        "billing_rule": command.billing_rule.value if command.billing_rule else "",
    }
    return _keep(writing, goods.id, command.version, values)


def _sizes(typed: Typed, command: SaveCard) -> dict[str, int | None]:
    sizes = {
        f"{field}_um": typed.shelf_length(getattr(command, field), field)
        if getattr(command, field).strip()
        else None
        for field in ("inner", "outer", "thickness")
    }
    inner, outer = sizes["inner_um"], sizes["outer_um"]
    if inner is not None and outer is not None and inner >= outer:
        raise RuleBroken(_("A washer is wider outside than inside."), "outer")
    return sizes


def _days(typed: str, field: str) -> int | None:
    return read_whole(typed, field=field, least=1, most=3650) if typed.strip() else None


def _keep(writing: Writing, item_id: int, version: int, values: Mapping[str, object]) -> CardKept:
    known = _row(writing, item_id)
    if (known.version if known else 0) != version:
        raise Conflict(_("Somebody else changed this card meanwhile; look at it again."))
    if known is None:
        writing.connection.execute(insert(item_card).values(item_id=item_id, **values))
    else:
        writing.connection.execute(
            item_card.update()
            .where(item_card.c.item_id == item_id)
            .values(version=item_card.c.version + 1, **values)
        )
    writing.touched.add(item_card.name)
    return CardKept(item_id=item_id, version=version + 1)


def keep_safety_sheet(writing: Writing, command: KeepSafetySheet) -> CardKept:
    """Keep a safety data sheet's bytes under their hash and name it on the item's card."""
    try:
        content = bytes.fromhex(command.content_hex)
    except ValueError as trouble:
        raise RuleBroken(_("The file could not be read."), "content_hex") from trouble
    if not content.startswith(b"%PDF-"):
        raise RuleBroken(_("A safety data sheet is kept as a PDF."), "content_hex")
    if len(content) > _MOST_SHEET_BYTES:
        raise RuleBroken(_("The file is larger than 10 MB."), "content_hex")
    sha = sha256(content).hexdigest()
    known = writing.connection.execute(select(stored_file.c.sha).where(stored_file.c.sha == sha)).scalar()
    if known is None:
        writing.connection.execute(
            insert(stored_file).values(sha=sha, media="application/pdf", bytes=content)
        )
    name = text.required(command.name, field="name", label=_("the file's name"), most=200)
    card = card_of(writing, item_view(writing, command.item_id).id)
    values = {"sds_sha": sha, "sds_name": name, "sds_on": command.sds_on}
    return _keep(writing, card.item_id, card.version, values)


def _row(reading: Reading, item_id: int) -> AnyRow | None:
    return reading.connection.execute(select(item_card).where(item_card.c.item_id == item_id)).one_or_none()


def card_of(reading: Reading, item_id: int) -> Card:
    """Give an item's card; one that was never written has the defaults."""
    row = _row(reading, item_id)
    return _card(row) if row is not None else Card(item_id=item_id)


def _card(row: AnyRow) -> Card:
    return Card(
        item_id=row.item_id,
        version=row.version,
        part_kind=PartKind(row.part_kind),
        inner_um=row.inner_um,
        outer_um=row.outer_um,
        thickness_um=row.thickness_um,
        material=row.material,
        signal_word=SignalWord(row.signal_word),
        hazard_text=row.hazard_text,
        pictograms=tuple(Pictogram(code) for code in row.pictograms.split()),
        emergency_phone=row.emergency_phone,
        sds_sha=row.sds_sha or "",
        sds_name=row.sds_name,
        sds_on=row.sds_on,
        opened_days=row.opened_days,
        lead_days=row.lead_days,
        supplier_id=row.supplier_id,
        supplier_code=row.supplier_code,
        core_minor=row.core_minor,
        billing_rule=BillingRule(row.billing_rule) if row.billing_rule else None,
    )


def _millimetres(um: int) -> str:
    exact = Fraction(um, 1000)
    return str(int(exact)) if exact.denominator == 1 else f"{float(exact):g}"


def washers(reading: Reading, *, inner_um: int, outer_um: int) -> tuple[WasherRow, ...]:
    """Give the washers of a size on the list, by name."""
    rows = reading.connection.execute(
        select(item_card, item.c.name)
        .join(item, item.c.id == item_card.c.item_id)
        .where(
            item_card.c.part_kind == PartKind.WASHER.value,
            item_card.c.inner_um == inner_um,
            item_card.c.outer_um == outer_um,
            item.c.active,
        )
        .order_by(item.c.sort_key)
    )
    return tuple(
        WasherRow(item_id=row.item_id, name=row.name, size=_card(row).washer_size, material=row.material)
        for row in rows
    )


class Cards:
    """The room where item cards are kept."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def save(self, command: SaveCard) -> CardKept:
        """Keep an item's card."""
        return self._office.carry_out(command, lambda writing: save_card(writing, command), CardKept)

    def keep_safety_sheet(self, command: KeepSafetySheet) -> CardKept:
        """Keep a safety data sheet."""
        return self._office.carry_out(command, lambda writing: keep_safety_sheet(writing, command), CardKept)

    def card(self, item_id: int) -> Card:
        """Give an item's card."""
        with self._office.reading() as reading:
            return card_of(reading, item_view(reading, item_id).id)

    def safety_sheet(self, item_id: int) -> bytes | None:
        """Give the bytes of an item's safety data sheet, or None."""
        with self._office.reading() as reading:
            sha = card_of(reading, item_id).sds_sha
            return reading.connection.execute(
                select(stored_file.c.bytes).where(stored_file.c.sha == sha)
            ).scalar()

    def washers(self, *, inner_um: int, outer_um: int) -> tuple[WasherRow, ...]:
        """Give the washers of a size."""
        with self._office.reading() as reading:
            return washers(reading, inner_um=inner_um, outer_um=outer_um)
