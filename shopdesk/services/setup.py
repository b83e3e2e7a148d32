"""Setting the shop up: its name, place, units and taxes; its people and stations."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from gettext import gettext as _
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies
from sqlalchemy import insert, select, update

from shopdesk import __version__
from shopdesk.documents.stock import LABEL_SIZES, PAPER_SIZES
from shopdesk.domain import text
from shopdesk.domain.errors import Conflict, NotFound, RuleBroken
from shopdesk.domain.percent import read_percent
from shopdesk.domain.stock import CostMethod
from shopdesk.domain.tax import DatedRate, TaxRounding
from shopdesk.persistence.tables.billing import number_series, tax_class, tax_rate
from shopdesk.persistence.tables.shop import person, shop, station
from shopdesk.services.acting import Actor, Command, Office, Reading, Writing, new_uid
from shopdesk.services.shopfacts import ShopFacts, is_set_up
from shopdesk.services.signing import make_key

#: The classes a line can be taxed in; their rates are the shop's own dated data.
PARTS, LABOUR, FEES, UNTAXED = "parts and fluids", "labour", "fees", "not taxed"
SERIES = ("work order", "invoice", "credit note")


@dataclass(frozen=True, kw_only=True, slots=True)
class FirstRun(Command):
    """What a shop needs to be at work within a minute; the actor is made by it."""

    name: str
    owner: str
    station: str = "Counter"
    address: str = ""
    phone: str = ""
    email: str = ""
    registration_text: str = ""
    currency: str
    place: str
    locale: str = "en_US"
    zone: str = "UTC"
    volume_unit: str = "qt"
    temperature_unit: str = "degf"
    torque_unit: str = "lbf*ft"
    distance_unit: str = "mi"
    imperial: bool = False
    cost_method: CostMethod = CostMethod.FIFO
    tax_rounding: TaxRounding = TaxRounding.RATE
    tax_name: str = "Sales tax"
    tax_on_parts: str = "0"
    tax_on_labour: str = "0"
    tax_on_fees: str = "0"
    paper_size: str = "Letter"
    label_size: str = "2x2 in"
    warranty_text: str = ""
    first_work_order: int = 1001
    first_invoice: int = 1001


@dataclass(frozen=True, kw_only=True, slots=True)
class EditShop(Command):
    """Changes what prints on papers and how things are shown; currency and history stay."""

    version: int
    name: str
    address: str = ""
    phone: str = ""
    email: str = ""
    registration_text: str = ""
    warranty_text: str = ""
    volume_unit: str
    temperature_unit: str
    torque_unit: str
    distance_unit: str
    paper_size: str
    label_size: str


@dataclass(frozen=True, kw_only=True, slots=True)
class AddPerson(Command):
    """Somebody new at the shop."""

    name: str
    role: str = "technician"


@dataclass(frozen=True, kw_only=True, slots=True)
class AddTaxRate(Command):
    """A rate from a day on, with where it is written.

    The rate of this name that has no end so far ends the day before.
    """

    tax_class: str
    name: str
    percent: str
    from_on: date
    to_on: date | None = None
    customer_kind: str = ""
    citation: str = ""


@dataclass(frozen=True, kw_only=True, slots=True)
class EndTaxRate(Command):
    """The last day of a rate that has no end so far."""

    rate_id: int
    to_on: date


@dataclass(frozen=True, kw_only=True, slots=True)
class PersonRow:
    """One person of the shop."""

    id: int
    name: str
    role: str
    active: bool


@dataclass(frozen=True, kw_only=True, slots=True)
class TaxRateRow:
    """One dated tax rate in millionths; an empty ``customer_kind`` stands for every kind."""

    id: int
    tax_class: str
    name: str
    rate_ppm: int
    from_on: date
    to_on: date | None
    place: str
    customer_kind: str
    citation: str


@dataclass(frozen=True, kw_only=True, slots=True)
class Done:
    """The id of what a command made or changed."""

    id: int


def set_up(writing: Writing, command: FirstRun) -> Actor:
    """Make the shop, its first person and station, its tax classes, number series and signing key."""
    if is_set_up(writing.connection):
        raise Conflict(_("This shop is already set up."), "name")
    _check_words(command)
    person_id = writing.add(
        person, name=text.required(command.owner, field="owner", label=_("your name"), most=120), role="owner"
    )
    station_id = writing.add(
        station,
        uid=new_uid(),
        name=text.required(command.station, field="station", label=_("the station's name"), most=120),
    )
    writing.actor = Actor(person_id=person_id, station_id=station_id)
    writing.connection.execute(
        insert(shop).values(
            id=1,
            **_printed(command),
            currency=command.currency,
            place=text.required(command.place, field="place", label=_("the state or country"), most=80),
            locale=command.locale,
            zone=command.zone,
            imperial=command.imperial,
            cost_method=command.cost_method.value,
            tax_rounding=command.tax_rounding.value,
            program_version=__version__,
            created_utc=writing.now,
        )
    )
    _start_series(writing, command)
    _start_taxes(writing, command)
    make_key(writing)
    return writing.actor


def _start_series(writing: Writing, command: FirstRun) -> None:
    firsts = (command.first_work_order, command.first_invoice, 1)
    for name, first in zip(SERIES, firsts, strict=True):
        writing.connection.execute(insert(number_series).values(name=name, next_number=first))


def _start_taxes(writing: Writing, command: FirstRun) -> None:
    place, tax_name = writing.shop.place, text.clean(command.tax_name, field="tax_name", most=60)
    typed = {
        PARTS: ("tax_on_parts", command.tax_on_parts),
        LABOUR: ("tax_on_labour", command.tax_on_labour),
        FEES: ("tax_on_fees", command.tax_on_fees),
        UNTAXED: ("", "0"),
    }
    for name, (field, percent) in typed.items():
        class_id = writing.add(tax_class, name=name)
        rate_ppm = read_percent(percent, field=field)
        if rate_ppm:
            writing.add(
                tax_rate,
                class_id=class_id,
                place=place,
                name=text.required(tax_name, field="tax_name", label=_("the tax's name"), most=60),
                rate_ppm=rate_ppm,
                from_on=date(2000, 1, 1),
                citation=_("as typed in at set-up"),
            )


def _check_words(command: FirstRun) -> None:
    if command.currency not in list_currencies():
        raise RuleBroken(_("Write the currency as its three letters, such as USD or EUR."), "currency")
    if not _is_zone(command.zone):
        raise RuleBroken(_("Write a time zone such as America/Denver or Europe/Berlin."), "zone")
    if not _is_locale(command.locale):
        raise RuleBroken(_("Write a language and country such as en_US or de_DE."), "locale")
    for field in ("first_work_order", "first_invoice"):
        if not 1 <= getattr(command, field) <= 99_999_999:
            raise RuleBroken(_("The first number lies between 1 and 99,999,999."), field)


def _is_zone(name: str) -> bool:
    """Look the one zone up: listing them all means opening hundreds of files."""
    try:
        return bool(ZoneInfo(name).key)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False


def _is_locale(name: str) -> bool:
    """Say whether numbers and dates can be written by it; its plain form only, without encodings."""
    try:
        return str(Locale.parse(name)) == name
    except (ValueError, UnknownLocaleError):
        return False


#: Units a shop can choose to see things in.
UNIT_CHOICES: dict[str, tuple[str, ...]] = {
    "volume_unit": ("qt", "l"),
    "temperature_unit": ("degf", "degc"),
    "torque_unit": ("lbf*ft", "nm"),
    "distance_unit": ("mi", "km"),
}


#: Papers and labels a shop can print on.
PRINT_CHOICES: dict[str, tuple[str, ...]] = {
    "paper_size": tuple(PAPER_SIZES),
    "label_size": tuple(LABEL_SIZES),
}


def _printed(command: FirstRun | EditShop) -> dict[str, object]:
    for field, choices in (UNIT_CHOICES | PRINT_CHOICES).items():
        if getattr(command, field) not in choices:
            sentence = _("Choose one of {choices}.").format(choices=", ".join(choices))
            raise RuleBroken(sentence, field)
    return {
        "name": text.required(command.name, field="name", label=_("the shop's name"), most=200),
        "address": text.clean(command.address, field="address", most=1000, lines=True),
        "phone": text.clean(command.phone, field="phone", most=60),
        "email": text.clean(command.email, field="email", most=200),
        "registration_text": text.clean(
            command.registration_text, field="registration_text", most=1000, lines=True
        ),
        "warranty_text": text.clean(command.warranty_text, field="warranty_text", most=2000, lines=True),
        "paper_size": command.paper_size,
        "label_size": command.label_size,
        **{field: getattr(command, field) for field in UNIT_CHOICES},
    }


def edit_shop(writing: Writing, command: EditShop) -> Done:
    """Change what prints on papers; Conflict when somebody else changed it since it was read."""
    if writing.shop.version != command.version:
        raise Conflict(_("Somebody else changed the shop's page meanwhile; look at it again."))
    writing.change(shop, 1, **_printed(command))
    return Done(id=1)


def class_id_of(reading: Reading, typed_name: str, field: str) -> int:
    """Give the id of a tax class by its name, or refuse."""
    name = text.clean(typed_name, field=field, most=60)
    found = reading.connection.execute(select(tax_class.c.id).where(tax_class.c.name == name)).scalar()
    if found is None:
        known = ", ".join(reading.connection.execute(select(tax_class.c.name)).scalars())
        raise NotFound(
            _("There is no tax class {name}; there are {known}.").format(name=name, known=known), field
        )
    return int(found)


def dated_rates(reading: Reading) -> tuple[DatedRate, ...]:
    """Give every tax rate the shop keeps, with its class and dates."""
    rows = reading.connection.execute(
        select(tax_rate, tax_class.c.name.label("class_name")).join(tax_class).order_by(tax_rate.c.id)
    )
    return tuple(
        DatedRate(
            name=row.name,
            rate_ppm=row.rate_ppm,
            from_on=row.from_on,
            to_on=row.to_on,
            tax_class=row.class_name,
            place=row.place,
            customer_kind=row.customer_kind,
        )
        for row in rows
    )


def add_tax_rate(writing: Writing, command: AddTaxRate) -> Done:
    """Add a dated rate and end the one it follows; two of one name never apply on one day."""
    if command.to_on is not None and command.to_on < command.from_on:
        raise RuleBroken(_("The last day lies before the first day."), "to_on")
    values = {
        "class_id": class_id_of(writing, command.tax_class, "tax_class"),
        "place": writing.shop.place,
        "customer_kind": text.clean(command.customer_kind, field="customer_kind", most=20),
        "name": text.required(command.name, field="name", label=_("the tax's name"), most=60),
    }
    rate_ppm = read_percent(command.percent, field="percent")
    citation = text.clean(command.citation, field="citation", most=300)
    _make_room(writing, values, command.from_on, command.to_on)
    return Done(
        id=writing.add(
            tax_rate,
            **values,
            rate_ppm=rate_ppm,
            from_on=command.from_on,
            to_on=command.to_on,
            citation=citation,
        )
    )


def _make_room(writing: Writing, values: dict[str, object], from_on: date, to_on: date | None) -> None:
    """End the open rate that a new one follows; refuse one that would apply beside another."""
    same = [tax_rate.c[name] == value for name, value in values.items()]
    for row in writing.connection.execute(select(tax_rate).where(*same)).all():
        if row.to_on is None and row.from_on < from_on:
            _end_rate(writing, row.id, from_on - timedelta(days=1))
        elif (row.to_on is None or from_on <= row.to_on) and (to_on is None or row.from_on <= to_on):
            sentence = _("There is a rate of this name already from {day} on; give it another last day.")
            raise RuleBroken(sentence.format(day=row.from_on.isoformat()), "from_on")


def end_tax_rate(writing: Writing, command: EndTaxRate) -> Done:
    """Give a rate its last day; one that has ended stays as it is, because papers were made with it."""
    row = writing.one(tax_rate, command.rate_id, _("That tax rate is not there."))
    if row.to_on is not None:
        raise RuleBroken(_("This rate has its last day already."), "to_on")
    if command.to_on < row.from_on:
        raise RuleBroken(_("The last day lies before the first day."), "to_on")
    _end_rate(writing, row.id, command.to_on)
    return Done(id=row.id)


def _end_rate(writing: Writing, rate_id: int, to_on: date) -> None:
    writing.connection.execute(update(tax_rate).where(tax_rate.c.id == rate_id).values(to_on=to_on))
    writing.touched.add(tax_rate.name)


def known_actor(reading: Reading, station_uid: str) -> Actor:
    """Give the shop's first active person at this station; the station's id is 0 while it is not noted."""
    who = reading.connection.execute(
        select(person.c.id).where(person.c.active).order_by(person.c.id).limit(1)
    ).scalar_one()
    where = reading.connection.execute(select(station.c.id).where(station.c.uid == station_uid)).scalar()
    return Actor(person_id=int(who), station_id=int(where or 0))


class SetUp:
    """The room where the shop is set up."""

    def __init__(self, office: Office) -> None:
        self._office = office

    def is_set_up(self) -> bool:
        """Say whether this database already holds a shop."""
        with self._office.reading() as reading:
            return is_set_up(reading.connection)

    def first_run(self, command: FirstRun) -> Actor:
        """Set the shop up and give who is at work now."""
        return self._office.carry_out(command, lambda writing: set_up(writing, command), Actor)

    def shop(self) -> ShopFacts:
        """Give what the shop has set up."""
        with self._office.reading() as reading:
            return reading.shop

    def edit_shop(self, command: EditShop) -> Done:
        """Change what prints on papers."""
        return self._office.carry_out(command, lambda writing: edit_shop(writing, command), Done)

    def add_person(self, command: AddPerson) -> Done:
        """Take somebody on."""

        def work(writing: Writing) -> Done:
            name = text.required(command.name, field="name", label=_("the name"), most=120)
            role = text.required(command.role, field="role", label=_("the role"), most=20)
            return Done(id=writing.add(person, name=name, role=role))

        return self._office.carry_out(command, work, Done)

    def people(self) -> Sequence[PersonRow]:
        """Give everybody of the shop, in the order they came."""
        with self._office.reading() as reading:
            rows = reading.connection.execute(
                select(person.c.id, person.c.name, person.c.role, person.c.active).order_by(person.c.id)
            )
            return tuple(PersonRow(**row._mapping) for row in rows)

    def actor_at(self, station_uid: str, station_name: str) -> Actor:
        """Give the shop's first active person at this station; a new station is noted."""
        with self._office.reading() as reading:
            known = known_actor(reading, station_uid)
        if known.station_id:
            return known
        station_id = self._office.note_station(station_uid, station_name)
        return Actor(person_id=known.person_id, station_id=station_id)

    def add_tax_rate(self, command: AddTaxRate) -> Done:
        """Add a dated rate; older papers keep the rate of their day."""
        return self._office.carry_out(command, lambda writing: add_tax_rate(writing, command), Done)

    def end_tax_rate(self, command: EndTaxRate) -> Done:
        """Give a rate its last day."""
        return self._office.carry_out(command, lambda writing: end_tax_rate(writing, command), Done)

    def tax_rates(self) -> Sequence[TaxRateRow]:
        """Give every dated rate, by class and first day."""
        with self._office.reading() as reading:
            rows = reading.connection.execute(
                select(
                    tax_rate.c.id,
                    tax_class.c.name.label("tax_class"),
                    tax_rate.c.name,
                    tax_rate.c.rate_ppm,
                    tax_rate.c.from_on,
                    tax_rate.c.to_on,
                    tax_rate.c.place,
                    tax_rate.c.customer_kind,
                    tax_rate.c.citation,
                )
                .join(tax_class)
                .order_by(tax_class.c.id, tax_rate.c.from_on)
            )
            return tuple(TaxRateRow(**row._mapping) for row in rows)
