"""The stages of a work order and which may follow which."""

from enum import StrEnum
from gettext import gettext as _

from shopdesk.domain.errors import RuleBroken
from shopdesk.domain.words import N_


class Stage(StrEnum):
    """Where a work order stands."""

    QUOTED = N_("quoted")
    AUTHORISED = N_("approved")
    IN_THE_BAY = N_("in the bay")
    FINISHED = N_("finished")
    INVOICED = N_("invoiced")
    COLLECTED = N_("picked up")
    CANCELLED = N_("cancelled")


FOLLOWS: dict[Stage, frozenset[Stage]] = {
    Stage.QUOTED: frozenset({Stage.AUTHORISED, Stage.IN_THE_BAY, Stage.CANCELLED}),
    Stage.AUTHORISED: frozenset({Stage.QUOTED, Stage.IN_THE_BAY, Stage.CANCELLED}),
    Stage.IN_THE_BAY: frozenset({Stage.AUTHORISED, Stage.FINISHED, Stage.CANCELLED}),
    Stage.FINISHED: frozenset({Stage.IN_THE_BAY, Stage.INVOICED}),
    Stage.INVOICED: frozenset({Stage.COLLECTED}),
    Stage.COLLECTED: frozenset(),
    Stage.CANCELLED: frozenset({Stage.QUOTED}),
}

#: Work that still wants something done; the board shows these.
OPEN_STAGES = (Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY, Stage.FINISHED, Stage.INVOICED)

#: Stages in which lines and particulars may still change.
CHANGEABLE = frozenset({Stage.QUOTED, Stage.AUTHORISED, Stage.IN_THE_BAY, Stage.FINISHED})


def check_follows(now: Stage, wanted: Stage) -> None:
    """Refuse a stage that cannot follow the present one."""
    if wanted not in FOLLOWS[now]:
        sentence = _("A work order that is {now} cannot become {wanted}.")
        raise RuleBroken(sentence.format(now=_(now), wanted=_(wanted)), "stage")
