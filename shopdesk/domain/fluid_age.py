"""How old a unit's fluid is on average, carried through every service of one unit's stay in a vehicle.

Between services the age grows by what was run; a service leaves (1 − f) of it. What is not known
stays not known: a service whose new share cannot be said takes nothing off the most the age can
be, and a history that begins with a used unit or a doubtful odometer is bounded by nothing. The
same rule holds for distance and for days; the caller chooses the unit.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from gettext import gettext as _

from shopdesk.domain.renewal import AgeRange, FreshShare, average_age


@dataclass(frozen=True, kw_only=True, slots=True)
class Beginning:
    """The fluid's age when the stay began: 0 in a new unit, None when its history is not known.

    ``at_most`` bounds an unknown age: the vehicle's own distance or age, for a unit it was built
    with and an actual odometer.
    """

    age: int | None = 0
    at_most: int | None = None


@dataclass(frozen=True, kw_only=True, slots=True)
class Serviced:
    """One service: what was run since the one before (or since the beginning), and what was renewed."""

    run: int
    share: FreshShare


def age_now(beginning: Beginning, services: Iterable[Serviced], run_since: int) -> AgeRange:
    """The average age now, ``run_since`` after the last service. Whole units, rounded outwards.

    Raises ValueError for a negative run: a bug of the caller, who knows the odometer's segments.
    """
    age = AgeRange(
        average=beginning.age,
        at_least=beginning.age,
        at_most=beginning.at_most if beginning.age is None else beginning.age,
        reason="" if beginning.age is not None else _("The fluid's history before that is not known."),
    )
    for service in services:
        age = after_service(run_on(age, service.run), service.share)
    return run_on(age, run_since)


def run_on(age: AgeRange, run: int) -> AgeRange:
    """The age after so much more was run."""
    if run < 0:
        raise ValueError("nothing runs backward between services")
    return AgeRange(
        average=None if age.average is None else age.average + run,
        at_least=None if age.at_least is None else age.at_least + run,
        at_most=None if age.at_most is None else age.at_most + run,
        reason=age.reason,
    )


def after_service(age: AgeRange, share: FreshShare) -> AgeRange:
    """The age right after a service."""
    if share.share is None or share.low is None or share.high is None:
        return AgeRange(average=None, at_least=0, at_most=age.at_most, reason=share.reason)
    likely = average_age(age.average, share)
    at_least = 0 if age.at_least is None else math.floor(round((1 - share.high) * age.at_least, 6))
    at_most = None if age.at_most is None else math.ceil(round((1 - share.low) * age.at_most, 6))
    reason = likely.reason if age.average is not None else age.reason
    return replace(likely, at_least=at_least, at_most=at_most, reason=reason)
