"""A whole campaign through one door."""

import json
from dataclasses import replace

import numpy as np
import pytest

from slowflight.flights.campaign.invented import Truth, invent_records
from slowflight.flights.handling.scorecard import RED, Finding
from slowflight.flights.stall_record import CLEAN, VANES, StallRecord
from slowflight.flights.verdict.decision import Decision, FlapSetting, decide, to_record
from slowflight.flights.verdict.judge import FLY_MORE, KEEP, REMOVE
from tests.flights.verdict.campaigns import BENIGN, KNOT, cruise

UP, DOWN = (
    FlapSetting(name="flap up", flap_deg=0.0),
    FlapSetting(name="flap down", flap_deg=34.0, landing=True),
)
BOTH = {"flap up": (BENIGN, BENIGN), "flap down": (BENIGN, BENIGN)}


def campaign(gain: float = 3.0) -> list[StallRecord]:
    random = np.random.default_rng(11)
    flown = ((CLEAN, 2), (VANES, 3), ("clean again", 1))
    truth = Truth(gain=gain * KNOT, between=0.2 * KNOT, within=0.4 * KNOT)
    records = invent_records(truth, random=random, flights=flown)
    down = invent_records(replace(truth, clean_speed=32.0 * KNOT), random=random, flights=flown)
    return [*records, *(replace(one, flap_deg=34.0) for one in down)]


def decided(records: list[StallRecord], **changes: object) -> Decision:
    given = {"handling": BOTH, "cruise": cruise(), "again": "clean again", **changes}
    return decide(records, flaps=(UP, DOWN), reference_mass=600.0, **given)  # type: ignore[arg-type]


def test_a_good_campaign_is_kept_and_its_record_is_plain() -> None:
    found = decided(campaign())
    assert found.verdict.finding == KEEP
    record = json.loads(json.dumps(to_record(found), allow_nan=False))
    assert record["verdict"] == "keep"
    landing = record["settings"][1]
    assert landing["landing"]
    assert landing["gain"]["low_kt"] < landing["gain"]["value_kt"] < landing["gain"]["high_kt"]
    assert landing["gain"]["value_kt"] == pytest.approx(3.0, abs=0.6)
    assert landing["gain"]["finding"] == "gain shown"
    assert landing["gain"]["flights"] == [3, 3]
    assert len(landing["gain"]["readings"]) == 6
    assert "airspeed instrument" in landing["gain"]["cancels"]
    assert landing["gain"]["checks"]["relabeling_p"] == pytest.approx(0.1)
    assert record["cruise"]["no_loss_shown"]
    assert record["cautions"]
    assert record["next_flight"] is None


def test_keys_carry_the_owners_unit() -> None:
    record = to_record(decided(campaign(), unit="km/h"), unit="km/h")
    assert record["settings"][0]["gain"]["value_km_per_h"] == pytest.approx(3.0 * 1.852, abs=1.2)
    assert "km/h" in record["headlines"][0]


def test_red_and_three_knots_is_not_keep() -> None:
    bad = {**BOTH, "flap down": (BENIGN, replace(BENIGN, wing_drop="left"))}
    assert decided(campaign(), handling=bad).verdict.finding == REMOVE
    slow = Finding(item="roll left to right", level=RED, words="reversed")
    assert decided(campaign(), other_findings=(slow,)).verdict.finding == REMOVE


def test_what_was_not_flown_is_not_flown() -> None:
    up_only = [one for one in campaign() if one.flap_deg == 0.0]
    found = decided(up_only)
    assert found.verdict.finding == FLY_MORE
    assert found.settings[1].gain is None
    assert to_record(found)["settings"][1]["gain"] is None
    assert decided(campaign(), handling={}).verdict.finding == FLY_MORE
    partly = decided(campaign(), handling={"flap up": (BENIGN, BENIGN)})
    assert partly.verdict.finding == FLY_MORE
    assert any("roll at the stall, flap down" in reason for reason in partly.verdict.reasons)
    struck = [replace(one, accepted=one.configuration == CLEAN) for one in campaign()]
    assert decided(struck).settings[0].gain is None


def test_a_calibration_near_the_stall_narrows_the_band() -> None:
    wide, narrow = decided(campaign()), decided(campaign(), position_shift=0.1 * KNOT)
    first, second = wide.settings[1].gain, narrow.settings[1].gain
    assert first is not None
    assert second is not None
    assert second.budget.standard_uncertainty < first.budget.standard_uncertainty
    assert second.value == first.value
