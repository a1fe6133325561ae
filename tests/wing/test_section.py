"""What makes an outline an airfoil, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import SectionError
from slowflight.wing import outline
from slowflight.wing.naca import naca_section
from slowflight.wing.section import FlapDeflection, Section


def changed(**changes: object) -> Section:
    base = naca_section("2412", points=101)
    given_values: dict[str, object] = {"name": "test", "x": base.x, "y": base.y, **changes}
    return Section(**given_values)  # type: ignore[arg-type]


def test_arrays_are_copied_and_read_only() -> None:
    base = naca_section("2412")
    x = base.x.copy()
    section = Section(name="test", x=x, y=base.y)
    x[:] = 0.0
    assert section.x[0] == base.x[0]
    with pytest.raises(ValueError, match="read-only"):
        section.x[0] = 3.0


def test_arc_length_grows_downstream_on_the_upper_side() -> None:
    section = naca_section("4412")
    assert section.y[section.nose_index + 40] > 0.05
    assert outline.enclosed_area(section.x, section.y) < 0.0


def test_a_deflected_section_may_leave_the_chord_box() -> None:
    base = naca_section("0012")
    y = np.where(base.x > 0.7, base.y - (base.x - 0.7), base.y)
    x = np.where(base.x > 0.7, base.x - 0.1 * (base.x - 0.7), base.x)
    with pytest.raises(SectionError, match="trailing edge, x = 1"):
        Section(name="bent", x=x, y=y)
    bent = Section(name="bent", x=x, y=y, flap=FlapDeflection(hinge_x=0.7, hinge_y=0.0, angle=0.8))
    assert bent.max_thickness == pytest.approx(0.12, abs=1e-4)


def test_crossing_is_found_wherever_it_is() -> None:
    # A figure of eight with known crossing segments.
    x = np.array([0.0, 1.0, 1.0, 0.0])
    y = np.array([0.0, 1.0, 0.0, 1.0])
    assert outline.first_crossing(x, y) == (0, 2)
    assert outline.first_crossing(x, np.array([0.0, 0.0, 1.0, 1.0])) is None


@given(count=st.integers(4, 400), turn=st.floats(0.1, 6.0), size=st.floats(1e-3, 1e3))
def test_a_circle_never_crosses_and_a_second_round_does(count: int, turn: float, size: float) -> None:
    angle = np.linspace(0.0, turn, count)
    assert outline.first_crossing(size * np.cos(angle), size * np.sin(angle)) is None
    spiral = np.linspace(0.0, 2.3 * np.pi, 60)
    radius = size * (1.0 + 0.05 * np.sin(3.0 * spiral / 2.3))
    assert outline.first_crossing(radius * np.cos(spiral), radius * np.sin(spiral)) is not None


def test_area_of_a_square() -> None:
    x, y = np.array([0.0, 2.0, 2.0, 0.0]), np.array([0.0, 0.0, 2.0, 2.0])
    assert outline.enclosed_area(x, y) == pytest.approx(4.0)
    assert outline.enclosed_area(x[::-1], y[::-1]) == pytest.approx(-4.0)
    assert outline.turns(x, y) == pytest.approx([np.pi / 2, np.pi / 2])
    assert outline.segment_lengths(x, y) == pytest.approx([2.0, 2.0, 2.0])


def swapped(axis: str, index: int, value: float) -> dict[str, object]:
    base = naca_section("2412", points=101)
    values = np.array(getattr(base, axis))
    values[index] = value
    return {axis: values}


BASE = naca_section("2412", points=101)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"x": BASE.x[:-1]}, "two rows of equal length"),
        ({"x": BASE.x[::6], "y": BASE.y[::6]}, "17 points; needs at least 20"),
        (swapped("y", 30, np.nan), "no number at point 31"),
        (swapped("x", 0, np.inf), "no number at point 1"),
        (
            {"x": np.repeat(BASE.x, 2), "y": np.repeat(BASE.y, 2)},
            "the same point twice, number 1 and the next",
        ),
        ({"x": BASE.x + 0.05}, "nose at x = 0"),
        ({"y": BASE.y + 0.2}, "nose at x = 0"),
        ({"x": BASE.x * 1.2}, "both ends at the trailing edge"),
        ({"x": BASE.x[50:], "y": BASE.y[50:]}, "trailing edge at both ends"),
        ({"x": BASE.x[::-1], "y": BASE.y[::-1]}, "turn their order round"),
        ({"y": BASE.y * 0.05}, "greatest thickness of 0.60 %"),
        ({"y": BASE.y * 6.0}, "greatest thickness of 71.99"),
        ({"y": np.zeros(101)}, "doubles back"),
        ({"y": BASE.y + np.linspace(-0.04, 0.04, 101)}, "trailing edge 8.3 % of chord thick"),
        ({"y": np.where(BASE.x > 0.8, -BASE.y, BASE.y)}, "crosses itself"),
    ],
)
def test_outlines_that_are_refused(changes: dict[str, object], message: str) -> None:
    with pytest.raises(SectionError, match=message) as caught:
        changed(**changes)
    assert "\n" not in str(caught.value)


def test_too_many_points_say_how_to_thin() -> None:
    angle = np.linspace(0.0, 2.0 * np.pi, 100_000)
    with pytest.raises(SectionError, match=r"100,000 points; needs at most 5,000; keep every 250th point"):
        changed(x=0.5 + 0.5 * np.cos(angle), y=-0.06 * np.sin(angle))


def test_camber_is_the_formula_s() -> None:
    # NACA Report 460: the first digit is the camber in per cent of chord
    assert naca_section("naca4412").max_camber == pytest.approx(0.04, abs=5e-4)
    assert naca_section("naca0012").max_camber == pytest.approx(0.0, abs=1e-6)
