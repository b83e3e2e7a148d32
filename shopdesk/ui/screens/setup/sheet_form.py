"""A unit sheet as a form. Fields come and go with the kind of unit and with how its level is set."""

from collections.abc import Mapping, Sequence
from gettext import gettext as _

from shopdesk.domain.level_rules import Flow
from shopdesk.domain.sheet import Plug
from shopdesk.ui.at_work import AtWork
from shopdesk.ui.presenters.sheet_words import (
    capital,
    distance_reader,
    engine_choices,
    kind_choices,
    length_reader,
    method_choices,
    months_reader,
    seconds_reader,
    stance_choices,
    temperature_reader,
    torque_reader,
    volume_reader,
)
from shopdesk.ui.presenters.sheets import (
    CLOSING_FLOWS,
    LAYERS,
    OPENING_FLOWS,
    asked,
    flow_field,
    plug_field,
    sometimes,
)
from shopdesk.ui.theme.look import Look
from shopdesk.ui.widgets.card import Rule
from shopdesk.ui.widgets.fields import CheckField, ChoiceField, NotesField, NumberField, TextField
from shopdesk.ui.widgets.form import Form
from shopdesk.ui.widgets.plain_label import PlainLabel
from shopdesk.ui.widgets.search_field import SearchField

_DECIDES = ("kind", "level_method", "has_drain_plug", "selector_cycled")


class SheetForm(Form):
    """Every field of a sheet, in the order of a workshop manual."""

    def __init__(self, look: Look, work: AtWork) -> None:
        super().__init__(look, columns=3, least_width=170, step=3)
        self._form_look = look
        self._work = work
        self._headed: list[tuple[PlainLabel, tuple[str, ...]]] = []
        self._unit()
        self._level()
        self._flows()
        self._plugs()
        self._intervals()
        self._words()
        deciding = (*_DECIDES, *(f"{layer}/none_needed" for layer in LAYERS))
        for name in deciding:
            self.field(name).edited.connect(self.show_asked)
        self.show_asked()

    def offer(self, specifications: Sequence[str]) -> None:
        """Offer the specifications that are known already."""
        self._specification.offer(specifications)

    def hold_name(self, held: bool) -> None:
        """Keep designation and kind: the next revision is of the same sheet."""
        for name in ("designation", "kind"):
            self.field(name).control.setEnabled(not held)
            self.field(name).set_help(_("Stays as it is") if held else self._name_help[name])

    def fill(self, texts: Mapping[str, str]) -> None:
        """Put in what is known, and show the fields such a sheet has."""
        super().fill(texts)
        self.show_asked()

    def show_asked(self) -> None:
        """Show the fields that a sheet of this kind and level method has."""
        wanted = asked(self.texts())
        for name in sometimes():
            field = self.field(name)
            if field.isHidden() == (name in wanted):
                field.setVisible(name in wanted)
        for label, names in self._headed:
            label.setVisible(any(name in wanted for name in names))
        self.arrange()

    def _unit(self) -> None:
        look = self._form_look
        self._name_help = {
            "designation": _("As the maker calls the unit, such as the code on its plate"),
            "kind": "",
        }
        help_line = self._name_help["designation"]
        self.add(TextField(look, "designation", _("Designation"), help_line=help_line))
        self.add(ChoiceField(look, "kind", _("Kind of unit"), kind_choices()))
        self._specification = self.add(
            SearchField(
                look, "specification", _("Fluid specification"), help_line=_("What the fluid must meet")
            )
        )
        self._volume("service_fill", _("Service refill"), _("What a drain and fill takes"))
        self._volume("total", _("Total capacity"), _("Everything the unit holds, dry"))
        self._volume(
            "level_repeatability",
            _("Level repeats to ±"),
            _("The shop's own figure: attitude, tube lip, what is called a drip"),
        )

    def _level(self) -> None:
        look = self._form_look
        self._section(_("Level"))
        self.add(ChoiceField(look, "level_method", _("Level set by"), method_choices()))
        self._temperature("window_low", _("Window from"))
        self._temperature("window_high", _("Window up to"))
        self._temperature("cold_low", _("Cold marks from"))
        self._temperature("cold_high", _("Cold marks up to"))
        self._length("edge_offset", _("Fluid below the edge"), _("0 mm: at the edge"))
        self._length("edge_tolerance", _("Give or take"), _("Such as 5 mm"))
        self._volume("refill", _("Refill"), _("Empty: as much as came out"))
        self._volume("refill_tolerance", _("Give or take"), _("Such as 50 mL"))
        self.add(ChoiceField(look, "engine", _("Engine meanwhile"), engine_choices()))
        self.add(ChoiceField(look, "stance", _("Vehicle stands"), stance_choices()))
        self.add(CheckField(look, "vehicle_level", _("Vehicle must be level")))
        self.add(CheckField(look, "selector_cycled", _("Selector cycled first")))
        self.add(
            NumberField(look, "selector_dwell_s", _("Seconds in each place"), seconds_reader, unit=_("s"))
        )

    def _flows(self) -> None:
        for when, words, flows in (
            ("opening", _("Seen when the level plug is opened"), OPENING_FLOWS),
            ("closing", _("Seen when the level plug is closed"), CLOSING_FLOWS),
        ):
            names = tuple(flow_field(when, flow) for flow in flows)
            self._headed.append((self._small_heading(words), names))
            for flow in flows:
                tick = CheckField(self._form_look, flow_field(when, flow), _flow_words(flow))
                tick.control.setAccessibleName(f"{words}: {_flow_words(flow)}")
                self.add(tick).stand_alone()

    def _plugs(self) -> None:
        look = self._form_look
        self._section(_("Plugs and washers"))
        self.add(CheckField(look, "has_drain_plug", _("The unit has a drain plug")), 0).stand_alone()
        for plug in Plug:
            name = capital(_(plug.value))
            figures = self._work.figures
            torque, tolerance = plug_field("torque", plug), plug_field("tolerance", plug)
            label = _("{plug}: torque").format(plug=name)
            self.add(NumberField(look, torque, label, torque_reader(figures, torque)))
            label = _("{plug}: give or take").format(plug=name)
            self.add(NumberField(look, tolerance, label, torque_reader(figures, tolerance)))
            self.add(TextField(look, plug_field("washer", plug), _("{plug}: washer").format(plug=name)))

    def _intervals(self) -> None:
        look, figures = self._form_look, self._work.figures
        self._section(_("Intervals"))
        names = {
            "maker_normal": _("Maker, normal use"),
            "maker_severe": _("Maker, severe use"),
            "shop_normal": _("Shop, normal use"),
            "shop_severe": _("Shop, severe use"),
        }
        for layer in LAYERS:
            name = names[layer]
            none = CheckField(look, f"{layer}/none_needed", _("{layer}: no change needed").format(layer=name))
            distance, months = f"{layer}/distance", f"{layer}/months"
            label = _("{layer}: distance").format(layer=name)
            self.add(NumberField(look, distance, label, distance_reader(figures, distance)))
            label = _("{layer}: months").format(layer=name)
            self.add(NumberField(look, months, label, months_reader(months)))
            self.add(none)

    def _words(self) -> None:
        look = self._form_look
        self._section(_("Cautions and source"))
        help_line = _("One to a line; they print on the job sheet")
        self.add(NotesField(look, "cautions", _("Cautions"), lines=3, help_line=help_line), 0)
        source = _("Where these values are written: book, edition, page, and when it was read")
        self.add(NotesField(look, "source", _("Source"), lines=2, help_line=source), 2)
        self.add(TextField(look, "checked_by", _("Checked by"), help_line=_("A second pair of eyes")))

    def _section(self, words: str) -> None:
        self.insert_part(Rule())
        self.heading(words)

    def _small_heading(self, words: str) -> PlainLabel:
        label = self.heading(words)
        label.setProperty("role", "help")
        return label

    def _volume(self, name: str, label: str, help_line: str) -> None:
        reader = volume_reader(self._work.figures, name)
        self.add(NumberField(self._form_look, name, label, reader, help_line=help_line))

    def _temperature(self, name: str, label: str) -> None:
        self.add(NumberField(self._form_look, name, label, temperature_reader(self._work.figures, name)))

    def _length(self, name: str, label: str, help_line: str) -> None:
        reader = length_reader(self._work.figures, name)
        self.add(NumberField(self._form_look, name, label, reader, help_line=help_line))


def _flow_words(flow: Flow) -> str:
    words = {
        Flow.STREAM: _("A stream"),
        Flow.PULSE: _("A pulse"),
        Flow.DRIP: _("A drip"),
        Flow.NONE: _("Nothing"),
    }
    return words[flow]
