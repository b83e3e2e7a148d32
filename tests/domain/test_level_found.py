"""The level as found, what its temperature is worth, and what would make a balance better."""

import math
import random
from dataclasses import replace

import pytest

from shopdesk.domain.budget import LevelSetting, Term, VolumeReading
from shopdesk.domain.expansion import vcf
from shopdesk.domain.improvement import Offer, cheapest, dominating, improvements, usual_offers
from shopdesk.domain.level import Arrived, Balance, work_out_balance
from shopdesk.domain.level_found import AsFound, check_as_found
from shopdesk.domain.level_temperature import per_degree_ul, what_if_ul
from shopdesk.domain.methods import LevelMethod, ServiceMethod
from shopdesk.domain.proof import ConditionState, Proof, ProofVerdict

PROVEN = Proof(
    verdict=ProofVerdict.PROVEN,
    conditions=(),
    sentence="",
    method=LevelMethod.OVERFLOW_TUBE,
    attitude=ConditionState.MET,
)
LEVEL = LevelSetting(
    density15=860,
    temp_mc=40_000,
    half_width_mc=2_000,
    ambient_mc=20_000,
    total_ul=7_000_000,
    repeatability_ul=40_000,
)
WINDOW = (35_000, 45_000)


def at(ul: int, half_width_ul: int = 20_000, temp_mc: int = 40_000, instrument: str = "") -> VolumeReading:
    return VolumeReading(ul=ul, half_width_ul=half_width_ul, temp_mc=temp_mc, instrument=instrument)


def balance(
    drained: int = 3_000_000, *, added: VolumeReading | None = None, ran_out: VolumeReading | None = None
) -> Balance:
    return work_out_balance(
        pumped=at(3_600_000, 30_000, instrument="jug"),
        spilled=at(100_000, 20_000),
        overflow=at(500_000, 25_000, instrument="jug"),
        drained=at(drained, 50_000, instrument="pan"),
        found_added=added,
        found_ran_out=ran_out,
        density15=860,
        total_ul=7_000_000,
        level_temp_mc=40_000,
        level_temp_half_width_mc=2_000,
        level_repeatability_ul=40_000,
        ambient_mc=20_000,
        proof=PROVEN,
        method=ServiceMethod.SINGLE,
    )


FOUND = AsFound(added=at(400_000), ran_out=None, temp_mc=40_000, window=WINDOW, attitude_level=True)


def test_that_what_was_added_as_found_is_how_low_it_came() -> None:
    found = check_as_found(FOUND, LEVEL, balance(added=FOUND.added))
    assert found is not None
    assert (found.delta_ul, found.arrived) == (400_000, Arrived.LOW)


def test_that_what_ran_out_as_found_is_how_high_it_came() -> None:
    ran_out = at(300_000)
    found = check_as_found(replace(FOUND, added=None, ran_out=ran_out), LEVEL, balance(ran_out=ran_out))
    assert found is not None
    assert (found.delta_ul, found.arrived) == (-300_000, Arrived.HIGH)


def test_that_a_few_drops_are_no_difference() -> None:
    found = check_as_found(replace(FOUND, added=at(0), ran_out=at(20_000)), LEVEL, balance())
    assert found is not None
    assert found.arrived is Arrived.NO_DIFFERENCE


def test_that_its_uncertainty_is_smaller_than_the_balances() -> None:
    whole = balance(added=FOUND.added)
    found = check_as_found(FOUND, LEVEL, whole)
    assert found is not None
    assert found.two_u_ul is not None
    assert whole.two_u_ul is not None
    assert found.two_u_ul < whole.two_u_ul


def test_that_the_balance_counts_what_the_check_changed() -> None:
    assert (balance().delta_ul, balance(added=at(400_000)).delta_ul) == (0, 400_000)
    assert balance(ran_out=at(300_000)).delta_ul == -300_000


def test_that_balance_and_check_agree_or_the_volumes_are_to_be_read_again() -> None:
    agreeing = check_as_found(FOUND, LEVEL, balance(added=FOUND.added))
    astray = check_as_found(FOUND, LEVEL, balance(2_600_000, added=FOUND.added))
    assert agreeing is not None
    assert agreeing.cross is not None
    assert (agreeing.cross.difference_ul, agreeing.cross.agrees) == (0, True)
    assert astray is not None
    assert astray.cross is not None
    assert (astray.cross.difference_ul, astray.cross.agrees) == (400_000, False)
    assert "again" in astray.cross.sentence


def test_that_the_cross_check_alarms_on_right_units_in_about_a_twentieth_of_jobs() -> None:
    # Simulated, no source: every reading and both levels off by rectangular errors of the stated half-widths.
    dice = random.Random(3)
    alarms = 0
    for _job in range(600):

        def off(half_width: int) -> int:
            return round(dice.uniform(-half_width, half_width))

        added = at(400_000 + off(20_000) + off(40_000))
        final = off(40_000)  # where the level was set at last
        # Level temperature: ±2 °C on 7 L at both settings.
        warm = sum(dice.uniform(-2, 2) * per_degree_ul(7_000_000, 860, 40_000) for _setting in range(2))
        drained = round(3_000_000 + off(50_000) - final - warm + off(30_000) + off(20_000) + off(25_000))
        drained += added.ul - 400_000  # more in, more out
        found = check_as_found(replace(FOUND, added=added), LEVEL, balance(drained, added=added))
        assert found is not None
        assert found.cross is not None
        alarms += not found.cross.agrees
    assert alarms / 600 <= 0.06


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"temp_mc": None}, "temperature"),
        ({"temp_mc": 34_999}, "outside"),
        ({"temp_mc": 45_001}, "outside"),
        ({"attitude_level": None}, "level"),
        ({"attitude_level": False}, "level"),
        ({"added": None}, "neither"),
        ({"added": None, "ran_out": at(0)}, "Nothing ran out"),
    ],
)
def test_that_without_its_conditions_the_check_says_nothing(changes: dict[str, object], words: str) -> None:
    found = check_as_found(replace(FOUND, **changes), LEVEL, balance())  # type: ignore[arg-type]
    assert found is not None
    assert (found.delta_ul, found.arrived, found.cross) == (None, Arrived.CANNOT_SAY, None)
    assert words in found.reason


def test_that_no_check_is_no_check() -> None:
    nothing = replace(FOUND, added=None, ran_out=None, temp_mc=None)
    assert check_as_found(nothing, LEVEL, balance()) is None


def test_that_a_degree_on_seven_litres_is_worth_five_millilitres() -> None:
    # Computed apart from the program: 5.26 mL per °C at 40 °C for 7 L of 860 kg/m³.
    assert per_degree_ul(7_000_000, 860, 40_000) == pytest.approx(5_260, abs=5)


def test_that_what_if_is_the_difference_of_fluid_held_at_two_temperatures() -> None:
    held = {mc: 7_000_000 * vcf(860, mc) for mc in (36_000, 45_000)}
    expected = (held[36_000] - held[45_000]) / vcf(860, 36_000)
    assert what_if_ul(7_000_000, 860, set_at_mc=36_000, other_mc=45_000) == round(expected)
    assert what_if_ul(7_000_000, 860, set_at_mc=36_000, other_mc=45_000) == pytest.approx(47_000, abs=500)
    assert what_if_ul(7_000_000, 860, set_at_mc=45_000, other_mc=36_000) < 0
    assert what_if_ul(7_000_000, 860, set_at_mc=40_000, other_mc=40_000) == 0


def test_that_the_instrument_that_dominates_stands_first_and_shares_sum_to_one() -> None:
    shares = dominating(balance().terms)
    assert shares[0].instrument == "pan"
    assert math.fsum(share.share for share in shares) == pytest.approx(1)
    jug = next(share for share in shares if share.instrument == "jug")
    assert set(jug.terms) == {Term.PUT_IN, Term.RAN_OUT}


def test_that_the_order_of_improvements_is_that_of_the_derivative() -> None:
    terms = balance().terms
    offers = [Offer(term=term.name, half_width_ul=0, what="") for term in terms if term.reading_u_ul]
    ranked = [each.offer.term for each in improvements(balance(), offers)]
    by_derivative = sorted((term for term in terms if term.reading_u_ul), key=lambda term: -term.reading_u_ul)
    assert ranked == [term.name for term in by_derivative]


def test_that_an_improvement_says_what_the_balance_itself_would_then_say() -> None:
    weighed = improvements(balance(), [Offer(term=Term.DRAINED, half_width_ul=15_000, what="weigh")])
    better = work_out_balance(
        pumped=at(3_600_000, 30_000),
        spilled=at(100_000, 20_000),
        overflow=at(500_000, 25_000),
        drained=at(3_000_000, 15_000),
        density15=860,
        total_ul=7_000_000,
        level_temp_mc=40_000,
        level_temp_half_width_mc=2_000,
        level_repeatability_ul=40_000,
        ambient_mc=20_000,
        proof=PROVEN,
        method=ServiceMethod.SINGLE,
    )
    assert better.two_u_ul is not None
    assert weighed[0].two_u_ul == pytest.approx(balance().two_u_ul, abs=2)
    assert weighed[0].two_u_then_ul == pytest.approx(better.two_u_ul, abs=20)


def test_that_the_cheapest_offer_that_is_enough_is_named() -> None:
    offers = [
        Offer(term=Term.DRAINED, half_width_ul=15_000, what="a scale", cost_minor=9_000),
        Offer(term=Term.DRAINED, half_width_ul=25_000, what="a narrower pan", cost_minor=4_000),
        Offer(term=Term.SPILLED, half_width_ul=5_000, what="a pad", cost_minor=100),
    ]
    found = improvements(balance(), offers)
    assert len(found) == 3
    wanted = next(each.two_u_then_ul for each in found if each.offer.what == "a narrower pan")
    best = cheapest(found, wanted_two_u_ul=wanted)
    assert best is not None
    assert best.offer.what == "a narrower pan"
    assert cheapest(found, wanted_two_u_ul=1) is None


def test_that_what_is_read_better_already_is_not_offered() -> None:
    assert improvements(balance(), [Offer(term=Term.DRAINED, half_width_ul=60_000, what="")]) == ()
    assert improvements(balance(), usual_offers())[0].offer.term is Term.DRAINED
