"""When old fluid calls for a stop: picture, call, and going on only with consent in writing.

Grade 3 or worse, burnt, metal or milky fluid tells of damage that new fluid does not mend and that
the customer must hear of before more is done (common practice, no source).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.record import APPEARANCE, FIELDS, Facts, StopDecision
from shopdesk.domain.words import N_

STOP_GRADE = 3


class StopState(StrEnum):
    """Where a service stands with the rule."""

    CLEAR = N_("go on")
    STOPPED = N_("stop")
    GONE_ON = N_("going on with consent in writing")
    NO_SERVICE = N_("no service")


class Needed(StrEnum):
    """What is still to do before anything else."""

    PICTURE = N_("take a picture")
    CALL = N_("tell the customer")
    DECISION = N_("go on with consent, or no service")
    CONSENT = N_("the consent in writing")


@dataclass(frozen=True, kw_only=True, slots=True)
class Stop:
    """Whether to stop, why, and what is still missing; ``reasons`` are in the reader's words."""

    state: StopState
    reasons: tuple[str, ...] = ()
    needed: tuple[Needed, ...] = ()
    sentence: str = ""

    @property
    def holds(self) -> bool:
        """Whether the work must not go on as things stand."""
        return self.state in (StopState.STOPPED, StopState.NO_SERVICE)


def stop_rule(facts: Facts) -> Stop:
    """Hold the fluid's grades against the rule."""
    reasons = tuple(_reasons(facts))
    if not reasons:
        return Stop(state=StopState.CLEAR)
    needed = tuple(_needed(facts))
    state = _state(facts, needed)
    return Stop(state=state, reasons=reasons, needed=needed, sentence=_sentence(state))


def _reasons(facts: Facts) -> Iterator[str]:
    for field in ("appearance", "odour", "particles"):
        grade = facts.number(field)
        if grade is not None and grade >= STOP_GRADE:
            rule = FIELDS[field]
            yield _("{what}: {grade}").format(what=_(rule.label), grade=_(rule.choices[grade]))
    if facts.yes("milky") and facts.number("appearance") != len(APPEARANCE) - 1:
        yield _("There is water in the fluid.")


def _needed(facts: Facts) -> Iterator[Needed]:
    if not facts.yes("picture_taken"):
        yield Needed.PICTURE
    if not facts.yes("customer_called"):
        yield Needed.CALL
    decision = facts.word("stop_decision")
    if decision is None:
        yield Needed.DECISION
    elif decision == StopDecision.GO_ON and not facts.word("stop_consent"):
        yield Needed.CONSENT


def _state(facts: Facts, needed: tuple[Needed, ...]) -> StopState:
    if facts.word("stop_decision") == StopDecision.NO_SERVICE:
        return StopState.NO_SERVICE
    return StopState.STOPPED if needed else StopState.GONE_ON


def _sentence(state: StopState) -> str:
    sentences = {
        StopState.STOPPED: _("Stop: take a picture and call the customer before anything else is done."),
        StopState.GONE_ON: _("The customer was told and consented in writing to go on."),
        StopState.NO_SERVICE: _("No service: close the unit and leave it as it came."),
    }
    return sentences[state]
