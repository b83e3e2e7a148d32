"""The first run: what the shop is, on one page, so that work begins within a minute."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from gettext import gettext as _

from PySide6.QtCore import QLocale, QTimeZone

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.percent import read_percent
from shopdesk.services.acting import Actor
from shopdesk.services.desk import Desk as Rooms
from shopdesk.ui.desk import Desk
from shopdesk.ui.presenters.first_run import (
    UNIT_SETS,
    Offer,
    currency_offers,
    first_run,
    found,
    locale_offers,
    unit_set_of,
    usual_locale,
    usual_values,
    zone_offers,
)
from shopdesk.ui.presenters.uids import Uids
from shopdesk.ui.screen import PageAction, Screen
from shopdesk.ui.sending import Sending
from shopdesk.ui.widgets.card import Card
from shopdesk.ui.widgets.columns import Scroll
from shopdesk.ui.widgets.fields import ChoiceField, NotesField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.search_field import SearchField

_RATES = ("tax_on_parts", "tax_on_labour", "tax_on_fees")
_NOBODY = Actor(person_id=0, station_id=0)


@dataclass(frozen=True, slots=True)
class _Offers:
    locales: Sequence[Offer]
    currencies: Sequence[Offer]
    zones: Sequence[Offer]
    locale: str


class FirstRunScreen(Screen):
    """``set_up`` is called once the shop is there; ``look_at_demo`` opens the demo shop instead."""

    def __init__(
        self, desk: Desk, rooms: Rooms, set_up: Callable[[], None], look_at_demo: Callable[[], None]
    ) -> None:
        super().__init__(desk, _("Your shop"))
        self._rooms = rooms
        self._set_up = set_up
        self._uids = Uids()
        self._sending = Sending(desk, self)
        self._offers = _Offers((), (), (), "")
        self._own: set[str] = set()
        self.form = Form(desk.look, columns=4, least_width=210)
        self._add_shop()
        self._add_units()
        self._add_taxes()
        self._lay_out()
        self._watch()
        self.form.completed.connect(self.start)
        self.set_heading(_("Your shop"), _("A minute, then you are at work. * can only be chosen now."))
        self.set_actions(
            PageAction(words=_("Start"), do=self.start, icon="check"),
            PageAction(words=_("Look at the demo shop"), do=look_at_demo),
        )
        desk.background.read(self, "offers", _read_offers, self._take_offers)

    def focus_first(self) -> None:
        """The shop's name comes first."""
        self.form.focus_first()

    def start(self) -> None:
        """Set the shop up."""
        self.form.clear_errors()
        if not self._is_complete() or not self.form.check() or not self._has_rate():
            return
        texts = self.form.texts()
        command = first_run(texts, _NOBODY, self._uids.of("first run", texts))
        setup = self._rooms.setup
        self._sending.send(
            lambda: setup.first_run(command), lambda _actor: self._set_up(), self.form.show_refusal
        )

    def _is_complete(self) -> bool:
        """Whether what must be there is there; what is missing says so, all at once."""
        missing = [name for name in ("name", "owner", "place") if not self.form.field(name).text().strip()]
        for name in missing:
            self.form.set_error(name, _("This is needed to begin."))
        if missing:
            self.form.field(missing[0]).setFocus()
        return not missing

    def _has_rate(self) -> bool:
        """Whether a tax the person has named has a rate; without one its name would not be kept."""
        texts = self.form.texts()
        named = "tax_name" in self._own and texts["tax_name"].strip()
        if not named or any(texts[rate].strip() for rate in _RATES):
            return True
        sentence = _("Write the tax's rate, 0 where nothing is taxed, or clear its name.")
        self.form.set_error(_RATES[0], sentence)
        self.form.field(_RATES[0]).setFocus()
        return False

    def _add_shop(self) -> None:
        look, form = self.desk.look, self.form
        form.heading(_("The shop"))
        form.add(TextField(look, "name", _("Shop's name"), help_line=_("As it stands on papers")), 2)
        form.add(TextField(look, "owner", _("Your name")))
        form.add(TextField(look, "place", _("State or country*"), help_line=_("Whose taxes apply")))
        form.add(TextField(look, "phone", _("Phone"), help_line=_("For papers and stickers")))
        form.add(TextField(look, "email", _("E-mail")))
        form.add(NotesField(look, "address", _("Address for papers"), lines=2), 2)

    def _add_units(self) -> None:
        look, form = self.desk.look, self.form
        form.heading(_("How things are written"))
        self._locale = form.add(SearchField(look, "locale", _("Language and country*"), self._read_locale))
        self._currency = form.add(SearchField(look, "currency", _("Currency*"), self._read_currency))
        self._zone = form.add(SearchField(look, "zone", _("Time zone*"), self._read_zone))
        self._units = form.add(ChoiceField(look, "units", _("Units"), _unit_sets()))
        for name, label, choices in _unit_fields():
            form.add(ChoiceField(look, name, label, choices))

    def _add_taxes(self) -> None:
        look, form = self.desk.look, self.form
        form.heading(_("Tax on sales"))
        form.add(TextField(look, "tax_name", _("Name of the tax")))
        labels = (_("On parts and fluids"), _("On labor"), _("On fees"))
        for name, label in zip(_RATES, labels, strict=True):
            form.add(TextField(look, name, label, _percent_reader(name), unit="%", hint="0"))

    def _lay_out(self) -> None:
        card = Card(self.desk.look)
        card.add(self.form)
        scroll = Scroll(self.desk.look)
        self.column.addWidget(scroll)
        scroll.add(card)

    def _watch(self) -> None:
        """Note which fields the person has made their own; the usual values leave those alone."""
        for name in self.form.texts():
            self.form.field(name).edited.connect(lambda name=name: self._own.add(name))
        self._locale.edited.connect(self._locale_changed)
        self._units.edited.connect(self._set_chosen)
        for name in UNIT_SETS["us"]:
            self.form.field(name).edited.connect(self._unit_changed)

    def _take_offers(self, offers: _Offers) -> None:
        self._offers = offers
        self._locale.offer([offer.line() for offer in offers.locales])
        self._currency.offer([offer.line() for offer in offers.currencies])
        self._zone.offer([offer.key for offer in offers.zones])
        locale = next((offer.line() for offer in offers.locales if offer.key == offers.locale), "")
        zone = bytes(QTimeZone.systemTimeZoneId().data()).decode("ascii", "replace")
        known = {offer.key for offer in offers.zones}
        self._put_usual({"locale": locale, "zone": zone if zone in known else "UTC"})
        self._put_usual(self._usual(offers.locale))

    def _usual(self, locale: str) -> dict[str, str]:
        usual = usual_values(locale)
        code = usual["currency"]
        usual["currency"] = next((o.line() for o in self._offers.currencies if o.key == code), code)
        return usual

    def _put_usual(self, texts: dict[str, str]) -> None:
        names = self.form.texts()
        for name, text in texts.items():
            if name in names and name not in self._own:
                self.form.field(name).set_text(text)

    def _locale_changed(self) -> None:
        try:
            locale = found(self._locale.text(), self._offers.locales, "", "").key
        except RuleBroken:
            return
        self._put_usual(self._usual(locale))

    def _set_chosen(self) -> None:
        for name, unit in UNIT_SETS.get(self._units.text(), {}).items():
            self.form.field(name).set_text(unit)
            self._own.add(name)

    def _unit_changed(self) -> None:
        self._own.add("units")
        self._units.set_text(unit_set_of(self.form.texts()) or "mix")

    def _read_locale(self, typed: str) -> str:
        sentence = _("Write a language and country, such as English, United States.")
        return self._resolved(typed, self._offers.locales, sentence, "locale")

    def _read_currency(self, typed: str) -> str:
        sentence = _("There is no such currency. Write its name or its three letters, such as USD.")
        return self._resolved(typed, self._offers.currencies, sentence, "currency")

    def _read_zone(self, typed: str) -> str:
        sentence = _("Write a place of the time zone, such as Denver or Europe/Berlin.")
        return self._resolved(typed, self._offers.zones, sentence, "zone")

    @staticmethod
    def _resolved(typed: str, offers: Sequence[Offer], sentence: str, field: str) -> str:
        if not offers:
            return ""
        offer = found(typed, offers, sentence, field)
        return "" if typed in (offer.line(), offer.key) else offer.line()


def _read_offers() -> _Offers:
    system = QLocale.system().name()
    return _Offers(locale_offers(), currency_offers(), zone_offers(), usual_locale(system))


def _percent_reader(name: str) -> Callable[[str], str]:
    def read(typed: str) -> str:
        read_percent(typed, field=name)
        return ""

    return read


def _unit_sets() -> list[tuple[str, str]]:
    return [
        ("us", _("US: qt, °F, ft-lb, mi")),
        ("metric", _("Metric: L, °C, N·m, km")),
        ("miles", _("Metric with miles")),
        ("mix", _("A mix of your own")),
    ]


def _unit_fields() -> tuple[tuple[str, str, list[tuple[str, str]]], ...]:
    return (
        ("volume_unit", _("Volumes in"), [("qt", _("US quarts (qt)")), ("l", _("liters (L)"))]),
        ("temperature_unit", _("Temperatures in"), [("degf", "°F"), ("degc", "°C")]),
        ("torque_unit", _("Torques in"), [("lbf*ft", "ft-lb"), ("nm", "N·m")]),
        ("distance_unit", _("Distances in"), [("mi", _("miles (mi)")), ("km", _("kilometers (km)"))]),
    )
