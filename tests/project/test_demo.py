"""The demonstration aircraft: it reads, agrees with itself, and is nobody's."""

from __future__ import annotations

import itertools
import math
import re
from pathlib import Path

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.flow.lift_curve import lift_curve
from slowflight.project import DEMO_FILES, write_demo
from slowflight.units import express
from slowflight.wing.wing_file import WingFile, read_wing_file, set_value

# Values by which the program is checked or which design notes use as a sketch: none may be the demo's.
CHECK_VALUES = (
    r"1500 mm|1,500 mm|1\.5 m\b",
    r"naca ?(4412|4415|0012|0015|4418|23012)",
    r"(station|positions)",  # no row stands, and the study's own places are tried
    r"\b(6|7|20|25|18|60|72|90) mm",
    r"\b(15|17|18|34) deg",
    r"\b(9|19|1\.4|2\.2|21) %",
    r"\b(380|450|600) kg",
    r"\b(35|37|39) kt",
)


@pytest.fixture(name="demo")
def fixture_demo(tmp_path: Path) -> WingFile:
    return read_wing_file(write_demo(tmp_path / "demo").wing_file)


def values(text: str) -> str:
    """A wing.toml without its remarks."""
    return "\n".join(line.split("#")[0].replace("span_station", "span_place") for line in text.splitlines())


@pytest.mark.parametrize("value", CHECK_VALUES)
def test_no_check_value_is_a_demo_value(tmp_path: Path, value: str) -> None:
    text = values(write_demo(tmp_path).wing_file.read_text(encoding="utf-8"))
    assert re.search(value, text, re.IGNORECASE) is None


def test_it_says_at_the_top_that_it_is_invented(tmp_path: Path) -> None:
    write_demo(tmp_path)
    for name in DEMO_FILES:
        first = (tmp_path / name).read_text(encoding="utf-8").splitlines()[0]
        assert first.startswith("#")
        assert "invented" in first


def test_it_agrees_with_itself(demo: WingFile) -> None:
    aircraft, wing, flap = demo.aircraft, demo.wing, demo.flap
    assert wing.area == pytest.approx(9.3 * 1.37)
    assert [station.section.chord_m for station in wing.stations] == pytest.approx([1.37, 1.37], abs=1e-3)
    assert flap is not None
    assert flap.kind == "hung"
    assert flap.settings[0] == 0.0
    assert aircraft.slowest_flap_setting == 0.0
    # The sizes in millimeters said beside the shares.
    for share, said in ((flap.chord, 315), (flap.axis_aft, 15), (flap.axis_below, 69)):
        assert share is not None
        assert share * 1370 == pytest.approx(said, abs=0.6)
    # Flaperons over the full span: from beside the cabin nearly to the tip.
    assert flap.span_from == pytest.approx(0.5 * wing.cabin_width)
    assert flap.span_to is not None
    assert flap.span_to > 0.98 * wing.semi_span
    assert 0.5 * wing.cabin_width < demo.question.row_from < demo.question.row_to < wing.semi_span
    assert [candidate.edges for candidate in demo.candidates] == ["rounded", "sharp"]
    assert all(candidate.mass_each for candidate in demo.candidates)
    assert aircraft.trial
    assert aircraft.cruise_speed > 2.0 * aircraft.slowest_indicated_speed
    low, high = demo.ranges["aircraft.mass"]
    assert low < aircraft.mass < high


def test_little_stands_in_and_nothing_is_wrong(demo: WingFile) -> None:
    assert {assumption.field for assumption in demo.assumptions} == {
        "aircraft.mass",
        "question.positions",
        "question.height_factors",
    }
    assert len(demo.cautions) == 1
    assert "TRIAL" in demo.cautions[0]


def test_the_section_is_what_was_meant(demo: WingFile) -> None:
    """About 14 % thick, 3.5 % camber, a round nose, readings that lie smooth."""
    section = demo.wing.stations[0].section
    assert section.max_thickness == pytest.approx(0.143, abs=0.002)
    nose = section.nose_index
    stations = np.linspace(0.02, 0.98, 97)
    upper = np.interp(stations, section.x[nose:], section.y[nose:])
    lower = np.interp(stations, section.x[nose::-1], section.y[nose::-1])
    assert float(np.max(0.5 * (upper + lower))) == pytest.approx(0.035, abs=0.002)
    assert section.cautions == ()
    assert section.error_bar_m == pytest.approx(0.5e-3)


def test_the_seconds_tier_answers_for_the_section(demo: WingFile) -> None:
    """Every angle through stall has an answer, and the air lets go from the trailing edge."""
    curve = lift_curve(
        demo.wing.stations[0].section, reynolds=1.5e6, angles_deg=[float(angle) for angle in range(-4, 21)]
    )
    assert all(point.converged for point in curve.points)
    assert curve.cl_max is not None
    assert 1.3 < curve.cl_max < 1.65
    assert not any("nose" in warning for warning in curve.warnings)
    separated = [point.separation_upper for point in curve.points if point.separation_upper is not None]
    assert len(separated) > 5
    assert separated == sorted(separated, reverse=True)  # from the trailing edge forward, angle by angle
    assert max(abs(a - b) for a, b in itertools.pairwise(separated)) < 0.15


def test_its_claim_is_worth_checking(demo: WingFile) -> None:
    """Weight, area, indicated speed, 2 m g / (rho S V^2): far more than a clean wing gives."""
    speed = demo.aircraft.slowest_indicated_speed
    lift = 2.0 * demo.aircraft.mass * 9.80665 / (1.225 * demo.wing.area * speed**2)
    assert 2.4 < lift < 2.9
    assert express(speed, "kt") == pytest.approx(31.0)
    assert math.degrees(demo.aircraft.three_point_attitude + demo.wing.incidence) == pytest.approx(15.0)


def test_it_can_be_edited_and_its_remarks_stay(tmp_path: Path) -> None:
    path = write_demo(tmp_path).wing_file
    before = path.read_text(encoding="utf-8")
    set_value(path, key="aircraft.mass", value="548 kg")
    set_value(path, key="candidate.1.height", value="5.8 mm")
    after = path.read_text(encoding="utf-8")
    changes = [
        (old, new) for old, new in zip(before.splitlines(), after.splitlines(), strict=True) if old != new
    ]
    assert [new.split("#")[0].strip() for _, new in changes] == ['mass = "548 kg"', 'height = "5.8 mm"']
    assert all(old.partition("#")[2] == new.partition("#")[2] for old, new in changes)
    with pytest.raises(InputError):
        set_value(path, key="candidate.1.pitch", value="5.8 mm")
    assert path.read_text(encoding="utf-8") == after
