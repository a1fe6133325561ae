"""Stall speeds against computed cases, and what they refuse."""

from pathlib import Path

import pytest

from slowflight import units
from slowflight.compare.stall_speed import lift_at_speed, speed_at_lift, stall_speed
from slowflight.errors import RangeError
from tests.verification.case_files import case_rows

CASES = case_rows(Path(__file__).parents[1] / "verification" / "cases" / "stall_speed.csv")


@pytest.mark.parametrize(
    "row", CASES, ids=lambda row: f"{row['mass']} kg, {row['lift']}, {row['load_factor']} g"
)
def test_stall_speed_against_the_vertical_balance(row: dict[str, str]) -> None:
    mass, area, lift, factor, speed, knots = (float(text) for text in row.values())
    found = stall_speed(mass=mass, area=area, cl_max=lift, density=1.225, load_factor=factor)
    assert found == pytest.approx(speed, rel=1e-6)
    assert units.express(found, "kt") == pytest.approx(knots, rel=1e-6)
    # the sea-level standard is 1.2250 kg/m3 to five figures, so the default gives the same
    assert stall_speed(mass=mass, area=area, cl_max=lift, load_factor=factor) == pytest.approx(
        speed, rel=1e-5
    )
    again = lift_at_speed(mass=mass, area=area, speed=speed, density=1.225, load_factor=factor)
    assert again == pytest.approx(lift, rel=1e-6)


@pytest.mark.parametrize(
    ("more_lift", "less_speed"), [(0.05, 0.024), (0.10, 0.047), (0.20, 0.087), (0.30, 0.123)]
)
def test_speed_falls_with_the_root_of_lift(more_lift: float, less_speed: float) -> None:
    """Per cents of an exact square root, worked out by hand."""
    before = speed_at_lift(mass=500.0, area=11.0, cl=1.5)
    after = speed_at_lift(mass=500.0, area=11.0, cl=1.5 * (1.0 + more_lift))
    assert 1.0 - after / before == pytest.approx(less_speed, abs=5e-4)


@pytest.mark.parametrize("name", ["mass", "area", "cl_max", "density", "load_factor"])
@pytest.mark.parametrize("value", [0.0, -1.0, float("nan"), float("inf")])
def test_what_is_not_above_zero_is_refused(name: str, value: float) -> None:
    given = {"mass": 500.0, "area": 11.0, "cl_max": 1.5, "density": 1.2, "load_factor": 1.0, name: value}
    with pytest.raises(RangeError, match="above zero"):
        stall_speed(**given)


def test_no_speed_is_refused() -> None:
    with pytest.raises(RangeError, match="speed"):
        lift_at_speed(mass=500.0, area=11.0, speed=0.0)
