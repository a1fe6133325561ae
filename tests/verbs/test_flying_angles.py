"""Angle of attack at the stall through the book: the simulator's own, and what it says of a gain."""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest

from slowflight.flights.simulator.demo_campaign import CLEAN_STALLS, TRUE_GAINS
from slowflight.project import write_demo
from slowflight.verbs import fly
from slowflight.verbs.flying_angles import _words
from slowflight.verbs.flying_demo import invent_flights
from slowflight.wing.wing_file import read_wing_file

LIFT_SLOPE = 4.8  # of the simulated wing [1/rad]
ZERO_LIFT = {0.0: -4.0, 31.0: -9.0}  # [degrees]


@pytest.fixture(scope="module", name="demo")
def fixture_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = write_demo(tmp_path_factory.mktemp("angles") / "demo").folder
    invent_flights(folder)
    return folder


def true_angle(demo: Path, flap: float, gain: float) -> float:
    wing = read_wing_file(demo / "wing.toml")
    speed = CLEAN_STALLS[flap] - gain
    lift = 2.0 * wing.aircraft.mass * 9.80665 / (1.225 * wing.wing.area * speed**2)
    return ZERO_LIFT[flap] + math.degrees(lift / LIFT_SLOPE)


def test_angles_are_those_that_were_simulated(demo: Path) -> None:
    found: list[dict[str, Any]] = fly(demo)["stall_angles"]
    assert [one["flap_deg"] for one in found] == [0.0, 31.0]
    for one in found:
        flap = one["flap_deg"]
        assert one["clean_deg"] == pytest.approx(true_angle(demo, flap, 0.0), abs=0.8)
        assert one["vanes_deg"] == pytest.approx(true_angle(demo, flap, TRUE_GAINS[flap]), abs=0.8)
        assert one["low_deg"] < one["change_deg"] < one["high_deg"]
        assert one["low_deg"] > 0.0
        assert one["predicted_clean_deg"] is None


def test_the_recorders_zero_moves_every_angle_and_no_change(demo: Path) -> None:
    book = demo / "flights" / "flights.toml"
    text = book.read_text(encoding="utf-8")
    before = fly(demo)["stall_angles"][0]
    try:
        moved = re.sub(
            r'pitch_when_level = "([0-9.]+) deg"',
            lambda found: f'pitch_when_level = "{float(found[1]) + 3.0:.2f} deg"',
            text,
        )
        assert moved != text
        book.write_text(moved, encoding="utf-8")
        after = fly(demo)["stall_angles"][0]
        assert after["clean_deg"] == pytest.approx(before["clean_deg"] - 3.0, abs=0.02)
        assert after["change_deg"] == pytest.approx(before["change_deg"], abs=0.02)
        book.write_text(re.sub(r"pitch_when_level = .*\n", "", text), encoding="utf-8")
        assert fly(demo)["stall_angles"] == []
    finally:
        book.write_text(text, encoding="utf-8")


def test_an_angle_that_fell_says_so() -> None:
    assert "not the wing's doing" in _words(16.0, 14.0, (-2.5, -1.5), (None, None))
    assert "not the wing's doing" not in _words(16.0, 17.0, (0.5, 1.5), (17.0, None))
    assert "good to a degree or two" in _words(16.0, 17.0, None, (17.0, 19.0))
    assert "predicted 17.0 and 19.0" in _words(16.0, 17.0, None, (17.0, 19.0))
