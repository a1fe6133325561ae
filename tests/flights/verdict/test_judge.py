"""Every way to each of the four verdicts, and what may never come of them."""

import re
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flights.campaign.invented import Truth, invent_records
from slowflight.flights.handling.scorecard import score
from slowflight.flights.stall_record import CLEAN, FULL_STICK, VANES
from slowflight.flights.statistics.budget import of_difference
from slowflight.flights.statistics.gain import Gain, measure_gain
from slowflight.flights.statistics.speed_rule import SpeedRule
from slowflight.flights.verdict.cautions import NEVER_CONCLUDED, VERDICT_CAUTIONS
from slowflight.flights.verdict.judge import (
    FLY_MORE,
    KEEP,
    MOVE,
    REMOVE,
    FlightVerdict,
    Setting,
    Situation,
    judge_flights,
)
from tests.flights.verdict.campaigns import BENIGN, GREEN_CARD, KNOT, TERMS, cruise, measured, records

CLEAR = measured(3.0)
FEEBLE = measured(0.0)
STRADDLING = measured(1.2)


def judged(landing: Gain | None = CLEAR, up: Gain | None = CLEAR, **changes: Any) -> FlightVerdict:
    settings = (
        Setting(name="flap up", gain=up, landing=False),
        Setting(name="flap down", gain=landing, landing=True),
    )
    given: dict[str, Any] = {"handling": GREEN_CARD, "cruise": cruise(), "rule": SpeedRule(), **changes}
    return judge_flights(settings, **given)


def test_everything_shown_is_keep() -> None:
    found = judged()
    assert found.finding == KEEP
    assert found.next_flight is None
    assert found.headlines[1].startswith("flap down: gain 3.0 kt, likely ")
    assert "nothing red in handling" in found.reasons


def test_amber_is_kept_and_watched() -> None:
    card = score(before=BENIGN, after=replace(BENIGN, shake="new"))
    found = judged(handling=card)
    assert found.finding == KEEP
    assert "watch: vibration and buffet, new" in found.reasons


RED = {
    "roll": {"roll_at_stall": 0.35, "roll_held": False},
    "new side": {"wing_drop": "right"},
    "warning": {"warning": False, "warning_margin": None},
    "flare": {"flare": "cannot raise the nose"},
    "pitch": {"pitch": "pitch-up or force reversal"},
    "recovery": {"recovery": "slower"},
    "sink": {"sink": 7.0},
    "rudder": {"rudder": "runs out"},
    "shake": {"shake": "control or tail"},
    "ailerons": {"ailerons": "reversal or hunting"},
}


@pytest.mark.parametrize("name", sorted(RED))
def test_a_red_finding_and_three_knots_is_never_keep(name: str) -> None:
    card = score(before=BENIGN, after=replace(BENIGN, **RED[name]))  # type: ignore[arg-type]
    found = judged(handling=card)
    assert found.finding == REMOVE
    assert "a red handling finding outranks any gain of speed" in found.reasons
    assert found.next_flight is not None
    assert "test-experienced pilot" in found.next_flight.words


@pytest.mark.parametrize(
    ("changes", "kind", "said"),
    [
        ({"ending": FULL_STICK}, "ending", "no common stall speed"),
        ({"centre_of_gravity": 0.29}, "center of gravity", "within 1 %"),
        ({"centre_of_gravity": None}, "center of gravity", "written down"),
        ({"power": "1500 rpm"}, "power", "at idle"),
        ({"flap_deg": 10.0}, "flap", "one flap setting"),
    ],
)
def test_unlike_sets_block_keep_whatever_the_gain(changes: dict[str, Any], kind: str, said: str) -> None:
    every = [replace(one, **changes) if one.configuration == VANES else one for one in records(5.0)]
    gain = measure_gain(every, terms=TERMS)
    assert [one.kind for one in gain.unlike] == [kind]
    found = judged(landing=gain)
    assert found.finding == FLY_MORE
    assert found.next_flight is not None
    assert said in found.next_flight.words
    # Nor are the vanes condemned by a comparison that means nothing.
    worse = [replace(one, **changes) if one.configuration == VANES else one for one in records(-5.0)]
    assert judged(landing=measure_gain(worse, terms=TERMS)).finding == FLY_MORE


def test_what_was_not_flown_blocks_keep_and_is_flown_next() -> None:
    for changes, said in (
        ({"handling": None}, "handling card"),
        ({"handling": score(before=BENIGN, after=replace(BENIGN, sink=None))}, "sink at the lowest speed"),
        ({"cruise": None}, "cruise card"),
        ({"up": None}, "flap up"),
        ({"landing": None}, "flap down"),
    ):
        found = judged(**changes)
        assert found.finding == FLY_MORE
        assert found.next_flight is not None
        assert said in found.next_flight.words
    # Flap up comes before flap down, always.
    both = judged(landing=None, up=None)
    assert both.next_flight is not None
    assert "flap up" in both.next_flight.words


def test_cruise_badly_measured_is_not_no_loss() -> None:
    found = judged(cruise=cruise(-0.3, 0.6))
    assert found.finding == FLY_MORE
    assert any("is not shown, which is not the same as a loss" in reason for reason in found.reasons)


def test_a_cruise_loss_removes() -> None:
    found = judged(cruise=cruise(-2.0, 0.3))
    assert found.finding == REMOVE
    assert "more than 1.0 kt is lost" in found.reasons[0]


def test_no_gain_removes_and_a_better_line_is_a_new_campaign() -> None:
    assert judged(landing=measured(-0.5)).finding == REMOVE
    found = judged(landing=measured(-0.5), situation=Situation(better_line="20 mm aft", flights_left=6))
    assert found.finding == REMOVE
    assert found.next_flight is not None
    assert "20 mm aft" in found.next_flight.words


def test_a_loss_flap_up_removes_and_an_unclear_one_flies_more() -> None:
    assert judged(up=measured(-3.0)).finding == REMOVE
    found = judged(up=measured(-1.0))
    assert found.finding == FLY_MORE
    assert any("no faster than before is not shown" in reason for reason in found.reasons)


def test_gain_flap_up_alone_decides_nothing() -> None:
    """One careful owner's test found a gain flap up and none flap down: the landing setting decides."""
    assert judged(landing=measured(-0.5), up=CLEAR).finding == REMOVE


def test_a_straddling_gain_moves_only_with_a_better_line_and_flights_left() -> None:
    assert judged(landing=STRADDLING).finding == FLY_MORE
    assert judged(landing=STRADDLING, situation=Situation(better_line="20 mm aft")).finding == FLY_MORE
    found = judged(landing=STRADDLING, situation=Situation(better_line="20 mm aft", flights_left=3))
    assert found.finding == MOVE
    assert found.reasons[0].endswith("20 mm aft")
    assert judged(situation=Situation(better_line="20 mm aft", flights_left=3)).finding == KEEP


def test_the_best_of_several_lines_is_flown_afresh() -> None:
    found = judged(situation=Situation(positions_tried=3))
    assert found.finding == FLY_MORE
    assert found.next_flight is not None
    assert "afresh" in found.next_flight.words
    assert judged(situation=Situation(positions_tried=3, confirmed=True)).finding == KEEP


def test_two_flights_a_side_are_no_keep() -> None:
    found = judged(landing=measured(4.0, flights=(2, 2)))
    assert found.finding == FLY_MORE
    assert any("'keep' needs 3 on each" in reason for reason in found.reasons)


def test_more_looks_take_more() -> None:
    near = measured(2.0)
    assert judged(landing=near).finding == KEEP
    assert judged(landing=near, rule=SpeedRule(looks=5)).finding == FLY_MORE


def test_a_clean_wing_that_changed_has_to_be_explained() -> None:
    random = np.random.default_rng(3)
    truth = Truth(gain=3.0 * KNOT, drift=0.4 * KNOT, between=0.1 * KNOT, within=0.2 * KNOT)
    flown = invent_records(truth, random=random, flights=((CLEAN, 3), (VANES, 3), ("clean again", 3)))
    found = judged(landing=measure_gain(flown, again="clean again", terms=TERMS))
    assert found.finding == FLY_MORE
    assert any("the clean wing itself changed by" in reason for reason in found.reasons)
    assert found.next_flight is not None
    assert "find what changed" in found.next_flight.words


def test_the_next_flight_narrows_the_band_most() -> None:
    few_clean = measured(1.2, flights=(2, 6))
    found = judged(landing=few_clean).next_flight
    assert found is not None
    assert found.half_band_now is not None
    assert found.half_band_then is not None
    assert found.half_band_then < found.half_band_now
    many = judged(landing=measured(1.2, flights=(8, 8))).next_flight
    assert many is not None
    assert "calibrate the airspeed near the stall" in many.words  # more flights no longer help
    calibrated = [
        replace(term, half_width=0.1 * KNOT) if term.name.startswith("airspeed error at the higher") else term
        for term in TERMS
    ]
    truth = Truth(gain=1.2 * KNOT)
    flown = invent_records(truth, random=np.random.default_rng(5), flights=((CLEAN, 2), (VANES, 6)))
    one_side = judged(landing=measure_gain(flown, terms=calibrated)).next_flight
    assert one_side is not None
    assert "one more clean flight" in one_side.words


def test_one_landing_setting_exactly() -> None:
    with pytest.raises(InputError, match="0 landing settings"):
        judge_flights(
            [Setting(name="flap up", gain=CLEAR, landing=False)],
            handling=GREEN_CARD,
            cruise=cruise(),
            rule=SpeedRule(),
        )


def test_nothing_is_said_of_weights_spins_or_book_numbers() -> None:
    cases = [
        judged(),
        judged(landing=FEEBLE),
        judged(landing=STRADDLING),
        judged(landing=None, up=None, handling=None, cruise=None),
        judged(cruise=cruise(-2.0, 0.3)),
        judged(situation=Situation(better_line="20 mm aft", flights_left=3, positions_tried=2)),
        judged(handling=score(before=BENIGN, after=replace(BENIGN, recovery="keeps turning"))),
    ]
    for found in cases:
        text = " ".join(
            (*found.headlines, *found.reasons, found.next_flight.words if found.next_flight else "")
        )
        assert not re.search(r"weight|spin|book|handbook|limit speed|maneuver", text, re.IGNORECASE)
    assert NEVER_CONCLUDED in VERDICT_CAUTIONS


CAMPAIGNS = 500


def share_kept(truth: Truth, *, seed: int, rule: SpeedRule, **changes: Any) -> float:
    random = np.random.default_rng(seed)
    kept = 0
    for _ in range(CAMPAIGNS):
        gain = measure_gain(invent_records(truth, random=random), terms=TERMS)
        kept += judged(landing=gain, up=CLEAR, rule=rule, **changes).finding == KEEP
    return kept / CAMPAIGNS


def test_false_keep_when_nothing_changed_is_rare() -> None:
    """All else is given as green, so that only the speeds stand between nothing and 'keep'."""
    lasting = of_difference(TERMS).standard_uncertainty
    truth = Truth(gain=0.0, common_error=KNOT, lasting_error=lasting)
    assert share_kept(truth, seed=81, rule=SpeedRule(worth_having=0.0)) <= 0.07
    assert share_kept(truth, seed=82, rule=SpeedRule()) <= 0.02
