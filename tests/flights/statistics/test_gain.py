"""Sets that may be compared, the gain, and its one line in words."""

from typing import Any

import pytest

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.flights.stall_record import (
    FULL_STICK,
    NOSE_DROP,
    UNUSABLE,
    VANES,
    WARNING_ONLY,
    WING_DROP,
    StallRecord,
)
from slowflight.flights.statistics.budget import Term, absolute
from slowflight.flights.statistics.cross_checks import cross_check
from slowflight.flights.statistics.gain import FLIGHTS_TERM, Gain, measure_gain
from slowflight.flights.statistics.headline import headline, odds
from slowflight.flights.statistics.scatter import WORSE_ASSUMED, baseline_scatter
from slowflight.flights.statistics.speed_rule import ABSENT, OPEN, SHOWN, SpeedRule, speed_finding
from slowflight.flights.statistics.stall_sets import (
    CENTRE,
    ENDING,
    FLAP,
    POWER,
    StallSet,
    differences,
    stall_set,
)
from tests.flights.statistics.stalls import stall

KNOT = units.speed("1 kt", where="test")
RATES = (0.3, 0.5, 0.7, 0.4)
# Leans on neither mean nor rate.
NOISE = (0.105, -0.165, 0.09, -0.03)


def flight(name: str, configuration: str, speed: float, **changes: Any) -> list[StallRecord]:
    return [
        stall(
            flight=name,
            configuration=configuration,
            entry_rate=rate,
            speed_reference=speed - 0.6 * (rate - KNOT) + noise,
            **changes,
        )
        for rate, noise in zip(RATES, NOISE, strict=True)
    ]


def campaign(**vane_changes: Any) -> list[StallRecord]:
    clean = zip(("c1", "c2", "c3"), (20.0, 20.2, 19.9), strict=True)
    vanes = zip(("v1", "v2", "v3"), (19.2, 19.0, 19.1), strict=True)
    records = [record for name, speed in clean for record in flight(name, "clean", speed)]
    for name, speed in vanes:
        records += flight(name, VANES, speed, **vane_changes)
    return records


def exact_gain(value: float, spread: float) -> Gain:
    """Return a gain of that value and standard uncertainty [kt], known with infinite degrees of freedom."""
    one = StallSet(configuration="clean", stalls=(stall(),), broken_off=(), struck=0)
    return Gain(
        value=value * KNOT,
        budget=absolute((Term(name="all", half_width=spread * KNOT),)),
        sets=(one, one),
        readings=(),
        between=0.1,
        within=0.1,
        slope=None,
        scatter_assumed=False,
        drift=None,
        unlike=(),
    )


def test_the_line_of_the_brief() -> None:
    """1.4 kt with a standard uncertainty of 0.73 kt: 90 % is +-1.2, and 1 kt lies 0.55 of it below."""
    said = headline(exact_gain(1.4, 0.73), threshold=1.0 * KNOT)
    assert said == "gain 1.4 kt, likely 0.2 to 2.6; 7 in 10 that it beats 1 kt"
    assert headline(exact_gain(-0.8, 0.5), threshold=1.0 * KNOT) == (
        "loss 0.8 kt (the stall is faster), likely gain -1.6 to 0.0; less than 1 in 10 that it beats 1 kt"
    )
    assert headline(exact_gain(2.0, 0.3), threshold=1.0 * KNOT, unit="mph").startswith("gain 2.3 mph, likely")


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (0.0, "less than 1 in 10"),
        (0.0999, "less than 1 in 10"),
        (0.1, "1 in 10"),
        (0.799, "7 in 10"),
        (0.94, "9 in 10"),
        (0.95, "more than 19 in 20"),
        (0.995, "more than 99 in 100"),
    ],
)
def test_odds_promise_no_more_than_they_hold(probability: float, said: str) -> None:
    assert odds(probability) == said


def test_gain_of_a_small_campaign() -> None:
    gain = measure_gain(campaign(), terms=())
    assert gain.value == pytest.approx((20.0 + 20.2 + 19.9) / 3 - 19.1, abs=1e-6)
    assert gain.slope == pytest.approx(-0.6, abs=0.05)
    assert gain.flights == (3, 3)
    assert not gain.scatter_assumed
    assert [reading.stalls for reading in gain.readings] == [4] * 6
    assert gain.readings[1].speed == pytest.approx(20.2, abs=0.03)
    assert gain.unlike == ()


def test_struck_stalls_do_not_count_and_are_counted() -> None:
    records = [*campaign(), stall(flight="c1", speed_reference=30.0, accepted=False, ending=UNUSABLE)]
    gain = measure_gain(records, terms=())
    assert gain.value == pytest.approx(measure_gain(campaign(), terms=()).value, abs=1e-12)
    assert gain.sets[0].struck == 1


def test_everything_unknown_is_in_the_budget_and_the_shared_part_cancels() -> None:
    gain = measure_gain(campaign())
    assert FLIGHTS_TERM in {term.name for term in gain.budget.terms}
    assert {term.name for term in gain.budget.canceled} == {
        "airspeed instrument",
        "airspeed error at the clean stall",
        "idle thrust",
    }
    assert gain.budget.standard_uncertainty > measure_gain(campaign(), terms=()).budget.standard_uncertainty


def test_too_few_flights_take_the_assumed_scatter() -> None:
    records = [record for record in campaign() if record.flight in {"c1", "v1"}]
    gain = measure_gain(records, terms=())
    assert gain.scatter_assumed
    assert gain.budget.standard_uncertainty > WORSE_ASSUMED.between * 2.0**0.5
    assert speed_finding(gain, SpeedRule(worth_having=0.0)) == OPEN


def test_stalls_entered_alike_have_no_slope() -> None:
    records = [stall(flight=f"c{n}", speed_reference=20.0 + 0.1 * n) for n in range(3) for _ in range(2)]
    records += [
        stall(flight=f"v{n}", configuration=VANES, speed_reference=19.0 + 0.1 * n)
        for n in range(3)
        for _ in range(2)
    ]
    gain = measure_gain(records, terms=())
    assert gain.slope is None
    assert gain.value == pytest.approx(1.0)


def test_one_flight_of_two_configurations_is_refused() -> None:
    with pytest.raises(InputError, match="flight c1: found stalls clean and vanes"):
        measure_gain([*campaign(), stall(flight="c1", configuration=VANES)])


def test_a_missing_side_is_named() -> None:
    with pytest.raises(InputError, match="stalls, vanes with the flap at 20 degrees"):
        measure_gain([*campaign(), stall(flight="c4", flap_deg=20.0)], flap_deg=20.0)


@pytest.mark.parametrize(
    ("changes", "kind", "words"),
    [
        ({"ending": FULL_STICK}, ENDING, "no longer end alike"),
        ({"centre_of_gravity": 0.28}, CENTRE, "25.0 to 28.0 %"),
        ({"centre_of_gravity": None}, CENTRE, "12 of 24 stalls was not recorded"),
        ({"power": "1200 rpm"}, POWER, "1200 rpm, idle"),
        ({"flap_deg": 10.0}, FLAP, "between 0 and 10"),
    ],
)
def test_sets_that_differ_are_told_apart(changes: dict[str, Any], kind: str, words: str) -> None:
    gain = measure_gain(campaign(**changes), terms=())
    assert [one.kind for one in gain.unlike] == [kind]
    assert words in gain.unlike[0].words


def test_mixed_endings_and_broken_off_runs_are_told() -> None:
    mixed = stall_set([stall(), stall(ending=WING_DROP), stall(ending=FULL_STICK)], configuration="clean")
    early = stall_set([stall(), stall(ending=WARNING_ONLY, accepted=False)], configuration="clean")
    assert early.struck == 0
    assert "end in different ways" in differences([mixed])[0].words
    assert "1 of 2 runs were broken off" in differences([early])[0].words
    assert differences([stall_set([stall()] * 2 + [stall(ending=WING_DROP)], configuration="clean")]) == ()
    assert mixed.main_ending == NOSE_DROP


def test_speed_findings() -> None:
    records = campaign()
    assert speed_finding(measure_gain(records, terms=()), SpeedRule(worth_having=0.5 * KNOT)) == SHOWN
    assert speed_finding(measure_gain(records, terms=()), SpeedRule(worth_having=4.0 * KNOT)) == ABSENT
    assert speed_finding(measure_gain(records), SpeedRule(worth_having=1.5 * KNOT)) == OPEN
    with pytest.raises(RangeError, match="gain worth having"):
        SpeedRule(worth_having=-1.0)


def test_more_looks_need_more() -> None:
    assert SpeedRule(looks=2).needed == pytest.approx(0.95)
    assert SpeedRule(looks=2).clear_level == pytest.approx(0.975)


def test_other_ways_to_look_at_the_same_flights() -> None:
    gain = measure_gain(campaign(), terms=())
    checks = cross_check(gain, threshold=0.5 * KNOT)
    assert checks is not None
    assert checks.difference.value == pytest.approx(gain.value, rel=1e-6)
    # Every clean flight was faster than every one with vanes: 2 of the 20 ways to label six flights.
    assert checks.relabeling_p == pytest.approx(0.1)
    assert checks.rank_p == pytest.approx(0.1)
    assert checks.bootstrap is None
    assert 0.9 < checks.worth_having < 1.0
    few = [one for one in campaign() if one.flight in {"c1", "v1"}]
    assert cross_check(measure_gain(few, terms=()), threshold=0.0) is None


def test_scatter_to_plan_with() -> None:
    assert baseline_scatter(flight("c1", "clean", 20.0)) == WORSE_ASSUMED
    records = [record for record in campaign() if record.configuration == "clean"]
    own = baseline_scatter(records)
    assert "3 flights, 12 stalls" in own.why
    # Three flights of the same residuals, 12 stalls less 3 levels and a slope.
    assert own.within == pytest.approx((3 * sum(r**2 for r in NOISE) / 8) ** 0.5, rel=1e-6)
    assert 0.15 < own.between <= WORSE_ASSUMED.between  # three flights that scatter by 0.15 m/s may be lucky
