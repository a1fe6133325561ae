"""Every limit of the scorecard from both sides."""

import math
from dataclasses import replace
from typing import Any

import pytest

from slowflight import units
from slowflight.errors import InputError, RangeError
from slowflight.flights.handling.observation import CHOICES, Observation
from slowflight.flights.handling.scorecard import (
    AMBER,
    FEET_A_MINUTE,
    GREEN,
    NOT_FLOWN,
    RED,
    Finding,
    score,
    together,
)

KNOT = units.speed("1 kt", where="test")
FOOT = 0.3048
BENIGN = Observation(
    roll_at_stall=math.radians(4.0),
    roll_held=True,
    wing_drop="none",
    warning=True,
    warning_margin=6.0 * KNOT,
    stick_stop_first=False,
    flare="as before",
    pitch="as before",
    height_lost=150.0 * FOOT,
    recovery="as before",
    sink=700.0 * FEET_A_MINUTE,
    rudder="as before",
    shake="none new",
    ailerons="as before",
)


def level(item: str, before: dict[str, Any] | None = None, **after: Any) -> str:
    card = score(before=replace(BENIGN, **(before or {})), after=replace(BENIGN, **after))
    (found,) = [finding for finding in card.findings if finding.item == item]
    others = {finding.level for finding in card.findings if finding.item != item}
    assert others <= {GREEN}, "only the item in question may change"
    return found.level


def test_nothing_new_is_green_and_complete() -> None:
    card = score(before=BENIGN, after=BENIGN)
    assert len(card.findings) == 9
    assert {finding.level for finding in card.findings} == {GREEN}
    assert card.complete
    assert not card.red


@pytest.mark.parametrize(
    ("item", "after", "expected"),
    [
        ("roll at the stall", {"roll_at_stall": math.radians(13.9)}, GREEN),
        ("roll at the stall", {"roll_at_stall": math.radians(14.1)}, AMBER),
        ("roll at the stall", {"roll_at_stall": math.radians(16.0)}, AMBER),
        ("roll at the stall", {"roll_at_stall": math.radians(16.0), "roll_held": False}, RED),
        ("roll at the stall", {"roll_at_stall": math.radians(16.0), "roll_held": None}, RED),
        ("roll at the stall", {"wing_drop": "left"}, RED),
        ("stall warning", {"warning_margin": 5.0 * KNOT}, GREEN),
        ("stall warning", {"warning_margin": 4.9 * KNOT}, AMBER),
        ("stall warning", {"warning_margin": 0.0}, RED),
        ("stall warning", {"warning": False, "warning_margin": None}, RED),
        ("elevator", {"stick_stop_first": True}, AMBER),
        ("elevator", {"flare": "less authority"}, AMBER),
        ("elevator", {"flare": "cannot raise the nose"}, RED),
        ("pitch", {"pitch": "lighter"}, AMBER),
        ("pitch", {"pitch": "pitch-up or force reversal"}, RED),
        ("recovery", {"height_lost": 249.0 * FOOT}, GREEN),
        ("recovery", {"height_lost": 251.0 * FOOT}, AMBER),
        ("recovery", {"recovery": "slower"}, RED),
        ("recovery", {"recovery": "keeps turning"}, RED),
        ("sink at the lowest speed", {"sink": 1199.0 * FEET_A_MINUTE}, GREEN),
        ("sink at the lowest speed", {"sink": 1201.0 * FEET_A_MINUTE}, RED),
        ("rudder", {"rudder": "more needed"}, AMBER),
        ("rudder", {"rudder": "runs out"}, RED),
        ("vibration and buffet", {"shake": "new"}, AMBER),
        ("vibration and buffet", {"shake": "control or tail"}, RED),
        ("ailerons", {"ailerons": "heavier or snatching"}, AMBER),
        ("ailerons", {"ailerons": "reversal or hunting"}, RED),
    ],
)
def test_limits(item: str, after: dict[str, Any], expected: str) -> None:
    assert level(item, **after) == expected


def test_sink_is_amber_by_its_increase() -> None:
    before = {"sink": 500.0 * FEET_A_MINUTE}
    assert level("sink at the lowest speed", before, sink=1101.0 * FEET_A_MINUTE) == AMBER
    assert level("sink at the lowest speed", before, sink=1099.0 * FEET_A_MINUTE) == GREEN
    # What the clean wing does as well is not the vanes' doing.
    steep = {"sink": 1300.0 * FEET_A_MINUTE}
    assert level("sink at the lowest speed", steep, sink=1250.0 * FEET_A_MINUTE) == GREEN


def test_a_drop_to_the_same_side_is_not_new_and_to_the_other_is() -> None:
    assert level("roll at the stall", {"wing_drop": "left"}, wing_drop="left") == GREEN
    assert level("roll at the stall", {"wing_drop": "left"}, wing_drop="right") == RED
    assert level("roll at the stall", {"wing_drop": "either"}, wing_drop="right") == GREEN


@pytest.mark.parametrize("name", sorted(Observation.__dataclass_fields__))
def test_whatever_was_not_written_down_leaves_the_card_incomplete(name: str) -> None:
    card = score(before=BENIGN, after=replace(BENIGN, **{name: None}))
    assert not card.complete
    assert not card.red
    assert len(card.at(NOT_FLOWN)) == 1


def test_the_flare_is_asked_for_only_where_one_lands() -> None:
    no_flare = replace(BENIGN, flare=None)
    assert not score(before=BENIGN, after=no_flare).complete
    assert score(before=BENIGN, after=no_flare, landing=False).complete
    bad = replace(BENIGN, flare="cannot raise the nose")
    assert score(before=BENIGN, after=bad, landing=False).red


def test_words_and_numbers_are_checked() -> None:
    for name in CHOICES:
        with pytest.raises(InputError, match=f"handling, {name}"):
            Observation(**{name: "fine"})  # type: ignore[arg-type]
    with pytest.raises(RangeError, match="sink"):
        replace(BENIGN, sink=math.nan)


def test_cards_of_several_settings_are_put_together() -> None:
    bad = score(before=BENIGN, after=replace(BENIGN, warning=False))
    card = together(
        [("flap up", score(before=BENIGN, after=BENIGN)), ("flap down", bad)],
        [Finding(item="roll test", level=AMBER, words="slower")],
    )
    assert card.red
    assert card.at(RED)[0].item == "stall warning, flap down"
    assert len(card.findings) == 19
