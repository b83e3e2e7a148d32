"""How a vehicle is driven, and whether that is severe for its fluids."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from gettext import gettext as _
from types import MappingProxyType

from shopdesk.domain.words import N_


@dataclass(frozen=True, kw_only=True, slots=True)
class DutyAnswer:
    """One answer about how the vehicle is driven; ``question`` is a key of DUTY_QUESTIONS."""

    question: str
    yes: bool


# How severe use is told from normal use: common practice, no source.
DUTY_QUESTIONS: tuple[tuple[str, str], ...] = (
    (
        "short_trips",
        N_("Are most trips shorter than 4 mi (6 km), or shorter than 10 mi (16 km) in freezing weather?"),
    ),
    (
        "stop_and_go",
        N_("Is it mostly driven in stop-and-go traffic, at low speed, or with the engine idling for long?"),
    ),
    (
        "heat_or_cold",
        N_("Is it often driven in heat above 100 °F (38 °C) or in cold below 0 °F (-18 °C)?"),
    ),
    ("loads", N_("Does it tow, carry heavy loads or carry a loaded roof rack?")),
    ("rough_roads", N_("Is it often on steep hills, on dusty, muddy or unpaved roads, or in deep water?")),
    ("for_hire", N_("Is it used as a taxi, for police work, for deliveries or for hire?")),
)
"""Key and question; a yes to any of them makes the use severe. Translated where shown."""

_DUTY_REASONS: Mapping[str, str] = MappingProxyType(
    {
        "short_trips": N_("mostly short trips"),
        "stop_and_go": N_("stop-and-go traffic or long idling"),
        "heat_or_cold": N_("great heat or cold"),
        "loads": N_("towing or heavy loads"),
        "rough_roads": N_("hills, dust, mud or water"),
        "for_hire": N_("taxi, police, delivery or hire"),
    }
)


def is_severe(answers: Sequence[DutyAnswer]) -> tuple[bool, str | None]:
    """Whether the use is severe, and the first question (in the order asked) that says so."""
    yes = {answer.question for answer in answers if answer.yes}
    asked = [key for key, _question in DUTY_QUESTIONS]
    fired = next((key for key in asked if key in yes), None) or next(iter(sorted(yes)), None)
    return fired is not None, fired


def severe_use_text(rule_fired: str | None) -> str:
    """One sentence that says why the use is severe."""
    why = _DUTY_REASONS.get(rule_fired or "", rule_fired or "")
    return _("Severe use: {why}.").format(why=_(why)) if why else _("Severe use.")
