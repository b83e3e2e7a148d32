"""Words of unit sheets: choices, values read while they are typed, and lines of the list."""

from collections.abc import Callable, Mapping
from gettext import gettext as _
from gettext import ngettext

from shopdesk.domain.level_rules import EngineState, Stance
from shopdesk.domain.methods import LevelMethod, UnitKind
from shopdesk.domain.sheet import usual_steps
from shopdesk.domain.units import NumberStyle, read_whole
from shopdesk.services.figures import Figures
from shopdesk.services.sheets import SheetView
from shopdesk.services.typed import Typed
from shopdesk.ui.presenters.sheets import kind_of, method_of


def capital(words: str) -> str:
    """Begin with a capital and leave the rest as it is, such as CVT."""
    return words[:1].upper() + words[1:]


def kind_choices() -> list[tuple[str, str]]:
    """Give the kinds of unit as key and words."""
    return [(kind.value, capital(_(kind.value))) for kind in UnitKind]


def method_choices() -> list[tuple[str, str]]:
    """Give the ways a level is set as key and words."""
    return [(method.value, capital(_(method.value))) for method in LevelMethod]


def engine_choices() -> list[tuple[str, str]]:
    """Give what the engine does meanwhile; nothing where the source says nothing."""
    named = [(state.value, capital(_(state.value))) for state in EngineState]
    return [("", _("Not said")), *named]


def stance_choices() -> list[tuple[str, str]]:
    """Give how the vehicle stands; nothing where the source says nothing."""
    return [("", _("Not said")), *((stance.value, capital(_(stance.value))) for stance in Stance)]


def volume_reader(figures: Figures, field: str) -> Callable[[str], str]:
    """Give what reads a volume while it is typed."""
    return lambda text: figures.volume_both(_typed(figures).volume(text, field).value)


def temperature_reader(figures: Figures, field: str) -> Callable[[str], str]:
    """Give what reads a temperature while it is typed, and says it in both scales."""

    def read(text: str) -> str:
        mc = _typed(figures).temperature(text, field).value
        other = "degc" if figures.shop.temperature_unit == "degf" else "degf"
        return f"{figures.temperature(mc)} ({figures.temperature(mc, other)})"

    return read


def torque_reader(figures: Figures, field: str) -> Callable[[str], str]:
    """Give what reads a torque while it is typed."""
    return lambda text: figures.torque(_typed(figures).torque(text, field).value)


def length_reader(figures: Figures, field: str) -> Callable[[str], str]:
    """Give what reads a length while it is typed."""
    return lambda text: figures.length(_typed(figures).length(text, field).value)


def distance_reader(figures: Figures, field: str) -> Callable[[str], str]:
    """Give what reads an interval's distance while it is typed, and says it in the other unit too."""

    def read(text: str) -> str:
        read = _typed(figures).distance(text, field)
        other = "km" if read.unit == "mi" else "mi"
        beside = figures.distance_in(read.value, read.unit, other)
        return f"{figures.distance(read.value, read.unit)} ({beside})"

    return read


def months_reader(field: str) -> Callable[[str], str]:
    """Give what reads a number of months while it is typed, and says how many years that is."""

    def read(text: str) -> str:
        months = read_whole(text, field=field, least=1, most=600)
        years, rest = divmod(months, 12)
        if rest or not years:
            return ""
        return ngettext("{n} year", "{n} years", years).format(n=years)

    return read


def seconds_reader(text: str) -> str:
    """Read how long the selector rests in each place."""
    read_whole(text, field="selector_dwell_s", least=0, most=600)
    return ""


def _typed(figures: Figures) -> Typed:
    return Typed(shop=figures.shop, style=NumberStyle.PERSON)


def steps_words(texts: Mapping[str, str]) -> tuple[str, ...]:
    """Give the order of work that a job sheet prints for such a sheet."""
    steps = usual_steps(method_of(texts), kind_of(texts), has_drain_plug=bool(texts.get("has_drain_plug")))
    return tuple(capital(_(step)) for step in steps)


def level_words(view: SheetView, figures: Figures) -> str:
    """Say in a few words how a level is set, for the list of sheets."""
    window = figures.window(view.body.level.window_low_mc, view.body.level.window_high_mc)
    method = capital(_(view.body.level.method.value))
    return f"{method}, {window}" if window else method


def revision_words(view: SheetView, figures: Figures) -> str:
    """Say which revision it is and who vouches for it."""
    words = _("Revision {n}, {day}").format(n=view.revision, day=figures.stamp(view.written_utc))
    return f"{words} · " + _("checked by {name}").format(name=view.checked_by) if view.checked_by else words
