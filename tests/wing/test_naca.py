"""The NACA four- and five-digit formulas against what their reports say of them."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from slowflight.errors import InputError, RangeError, SectionError
from slowflight.wing.naca import FIVE_DIGIT_LINES, closing_station, half_thickness, naca_digits, naca_section
from slowflight.wing.outline import FloatArray, enclosed_area
from slowflight.wing.section import Section

TABLE = Path(__file__).parents[1] / "data" / "airfoils" / "naca_ordinates_from_memory.csv"


def ordinates_from_memory() -> list[tuple[str, float, float, float]]:
    lines = [line for line in TABLE.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return [
        (row["section"], float(row["station"]), float(row["upper"]), float(row["lower"]))
        for row in csv.DictReader(lines)
    ]


def sides(section: Section, station: float) -> tuple[float, float]:
    """Upper and lower height at a station, straight between points of a dense outline."""
    nose = section.nose_index
    upper = float(np.interp(station, section.x[nose:], section.y[nose:]))
    return upper, float(np.interp(station, section.x[nose::-1], section.y[nose::-1]))


@pytest.mark.parametrize(("digits", "station", "upper", "lower"), ordinates_from_memory())
def test_ordinates_agree_with_the_tables_from_memory(
    digits: str, station: float, upper: float, lower: float
) -> None:
    found = sides(naca_section(digits, points=1601), station / 100.0)
    # The tables were computed by hand to 0.01 % and differ from their own formula by up to 0.03 % of chord.
    assert found == pytest.approx((upper / 100.0, lower / 100.0), abs=3.1e-4)


def test_thickness_keeps_the_conditions_it_was_fitted_to() -> None:
    """Conditions of NACA Report 460 for a thickness of 20 %, from memory.

    Greatest half thickness 0.1 at 0.3, trailing edge ordinate 0.002 with slope -0.234, ordinate 0.078 at 0.1.
    """
    at = np.array([0.1, 0.3, 1.0])
    assert half_thickness(at, thickness=0.2) == pytest.approx([0.078, 0.1, 0.002], abs=2e-4)
    step = 1e-5
    around = half_thickness(np.array([0.3 - step, 0.3 + step, 1.0 - step, 1.0]), thickness=0.2)
    assert (around[1] - around[0]) / (2 * step) == pytest.approx(0.0, abs=2e-3)
    assert (around[3] - around[2]) / step == pytest.approx(-0.234, abs=2e-3)


def test_nose_radius_is_1_1019_thickness_squared() -> None:
    """NACA Report 460: radius = 1.1019 t^2; near the nose y^2 = 2 r x."""
    thickness, at = 0.12, 1e-9
    half = half_thickness(np.array([at]), thickness=thickness)[0]
    assert half**2 / (2 * at) == pytest.approx(1.1019 * thickness**2, rel=2e-4)


def test_extended_trailing_edge_is_the_published_sharp_0012() -> None:
    """Rescaled formula of the NASA Turbulence Modeling Resource, 2D NACA 0012 case, read in the source."""
    section = naca_section("0012", extended_trailing_edge=True)
    x = section.x[section.nose_index : -1]
    published = 0.594689181 * (
        0.298222773 * np.sqrt(x)
        - 0.127125232 * x
        - 0.357907906 * x**2
        + 0.291984971 * x**3
        - 0.105174606 * x**4
    )
    assert section.y[section.nose_index : -1] == pytest.approx(published, abs=2e-9)
    assert closing_station() == pytest.approx(1.008930411365, abs=1e-11)
    assert section.max_thickness == pytest.approx(0.11894, abs=5e-5)
    assert section.trailing_edge_gap == 0.0


def test_trailing_edge_open_by_the_formula_and_closed_on_demand() -> None:
    # The five coefficients of Report 460 leave 0.0021 of half a thickness at 20 %: 0.252 % of chord at 12 %.
    assert naca_section("4412").trailing_edge_gap == pytest.approx(0.00252, abs=1e-12)
    assert naca_section("4412", closed_trailing_edge=True).trailing_edge_gap == 0.0


def mean_line(digits: str) -> tuple[FloatArray, FloatArray]:
    """The mean line of a thin section, which a 1 % section follows to second order."""
    section = naca_section(f"{digits}01", points=4001)
    nose = section.nose_index
    return 0.5 * (section.x[nose:] + section.x[nose::-1]), 0.5 * (section.y[nose:] + section.y[nose::-1])


@pytest.mark.parametrize("digits", [f"2{key}" for key in FIVE_DIGIT_LINES])
def test_five_digit_mean_line_has_its_design_lift_and_place(digits: str) -> None:
    """NACA Report 537: first digit 2 is a design lift of 0.3, the second twice its place in tenths.

    Thin-airfoil theory (Glauert, Elements of Aerofoil and Airscrew Theory, 1926): design lift = pi A1.
    """
    x, y = mean_line(digits)
    assert x[np.argmax(y)] == pytest.approx(int(digits[1]) / 20.0, abs=2e-3)
    if digits[2] == "0":
        # The constants are printed to three or four figures, too few for the shortest line (2.8 %).
        assert np.pi * fourier(digits, 1) == pytest.approx(0.3, rel=0.03)


def fourier(digits: str, order: int) -> float:
    """Coefficient of thin-airfoil theory, A_n = 2/pi int slope cos(n theta) dtheta, by the midpoint rule."""
    x, y = mean_line(digits)
    theta = np.pi * (np.arange(20_000) + 0.5) / 20_000
    slope = np.interp(0.5 * (1.0 - np.cos(theta)), x, np.gradient(y, x))
    return 2.0 * float(np.mean(slope * np.cos(order * theta)))


@pytest.mark.parametrize("digits", ["221", "231", "241", "251"])
def test_reflexed_mean_line_has_no_moment(digits: str) -> None:
    """NACA Report 537: reflexed lines are made for zero moment; thin-airfoil theory, cm = pi/4 (A2 - A1)."""
    moment = np.pi / 4.0 * (fourier(digits, 2) - fourier(digits, 1))
    plain = np.pi / 4.0 * (fourier(f"{digits[:2]}0", 2) - fourier(f"{digits[:2]}0", 1))
    assert abs(moment) < 1.5e-3
    assert abs(moment) < 0.3 * abs(plain)


def test_five_digit_camber_scales_with_the_first_digit() -> None:
    """NACA Report 537: the design lift is 0.15 times the first digit, and the line is linear in it."""
    assert mean_line("430")[1].max() == pytest.approx(2.0 * mean_line("230")[1].max(), rel=1e-3)


@given(
    camber=st.integers(1, 9),
    place=st.integers(1, 9),
    thickness=st.integers(1, 24),
    points=st.integers(30, 200).map(lambda half: 2 * half + 1),
)
def test_any_four_digit_section_lies_square_to_its_mean_line(
    camber: int, place: int, thickness: int, points: int
) -> None:
    """The construction of NACA Report 460.

    The middle of each pair of points lies on the two parabolas, their distance is the thickness there, and
    the line between them is square to the mean line.
    """
    section = naca_section(f"{camber}{place}{thickness:02d}", points=points)
    nose = section.nose_index
    assert nose == points // 2
    upper = np.column_stack((section.x[nose:], section.y[nose:]))
    lower = np.column_stack((section.x[nose::-1], section.y[nose::-1]))
    middle, across = 0.5 * (upper + lower), upper - lower
    x, p, m = middle[:, 0], place / 10.0, camber / 100.0
    height = np.where(x < p, m / p**2 * (2 * p * x - x**2), m / (1 - p) ** 2 * (1 - 2 * p + 2 * p * x - x**2))
    slope = np.where(x < p, 2 * m / p**2 * (p - x), 2 * m / (1 - p) ** 2 * (p - x))
    assert middle[:, 1] == pytest.approx(height, abs=1e-12)
    assert across[:, 0] + slope * across[:, 1] == pytest.approx(np.zeros(x.size), abs=1e-12)
    assert np.hypot(*across.T) == pytest.approx(2 * half_thickness(x, thickness=thickness / 100.0), abs=1e-9)


@given(thickness=st.integers(1, 40))
def test_area_of_a_symmetrical_section(thickness: int) -> None:
    """Exact integral of the thickness series, term by term."""
    section = naca_section(f"00{thickness:02d}", points=1001)
    exact = 2 * thickness / 20.0 * (0.2969 * 2 / 3 - 0.126 / 2 - 0.3516 / 3 + 0.2843 / 4 - 0.1015 / 5)
    assert -enclosed_area(section.x, section.y) == pytest.approx(exact, rel=3e-5)
    assert section.y == pytest.approx(-section.y[::-1], abs=1e-15)


@given(camber=st.integers(0, 9), place=st.integers(0, 9), thickness=st.integers(0, 99))
def test_the_whole_family_draws_or_says_why(camber: int, place: int, thickness: int) -> None:
    digits = f"{camber}{place}{thickness:02d}"
    drawable = 1 <= thickness <= 24 and (camber == 0) == (place == 0)
    section, message = drawn(digits)
    if section is None:
        assert not drawable
        assert digits in message
        assert "\n" not in message
    else:
        # A section may be a little thicker across the chord line than square to its mean line.
        assert section.max_thickness == pytest.approx(thickness / 100.0, rel=0.12)


def drawn(digits: str) -> tuple[Section | None, str]:
    try:
        return naca_section(digits), ""
    except InputError as error:
        return None, str(error)


def test_spacing_is_dense_at_nose_and_trailing_edge() -> None:
    section = naca_section("4415")
    step = np.hypot(np.diff(section.x), np.diff(section.y))
    middle = step[section.nose_index + 50]
    assert step[-1] < 0.1 * middle
    assert step[section.nose_index] < 0.6 * middle


def test_a_thick_section_about_a_steep_mean_line_is_refused() -> None:
    with pytest.raises(SectionError, match="foremost point"):
        naca_section("9140")


@pytest.mark.parametrize("name", ["naca4412", "NACA 4412", "4412", "NACA-4412", " naca_4412 "])
def test_names(name: str) -> None:
    assert naca_digits(name) == "4412"
    assert naca_section(name).name == "NACA 4412"


@pytest.mark.parametrize(
    ("name", "error", "message"),
    [
        ("naca441", InputError, "four- or five-digit"),
        ("naca65-415", InputError, "four- or five-digit"),
        ("", InputError, "four- or five-digit"),
        ("2012", InputError, "naca0012"),
        ("0412", InputError, "naca0012"),
        ("4400", RangeError, "thickness of 0 %"),
        ("4441", RangeError, "thickness of 41 %"),
        ("26012", InputError, "second and third digits"),
        ("23212", InputError, "second and third digits"),
        ("03012", InputError, "first digit of 1 to 9"),
    ],
)
def test_names_that_are_refused(name: str, error: type[InputError], message: str) -> None:
    with pytest.raises(error, match=message) as caught:
        naca_section(name)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("points", [40, 39, 100, 5001, -1])
def test_numbers_of_points_that_are_refused(points: int) -> None:
    with pytest.raises(RangeError, match="odd number from 41 to 4,999"):
        naca_section("4412", points=points)


def test_two_ways_of_closing_are_refused() -> None:
    with pytest.raises(InputError, match="two ways of closing"):
        naca_section("4412", closed_trailing_edge=True, extended_trailing_edge=True)


def test_design_constant_m_follows_from_the_place_of_camber() -> None:
    """NACA Report 537: the place of the highest camber is m (1 - sqrt(m/3)) for a simple line."""
    for key, line in FIVE_DIGIT_LINES.items():
        if key.endswith("0"):
            m = brentq(lambda m, place=line.camber_station: m * (1 - (m / 3) ** 0.5) - place, 0.0, 0.6)
            assert line.join == pytest.approx(m, abs=6e-4)
        else:
            # The same report for a reflexed line: k2/k1 = (3 (m - p)^2 - m^3) / (1 - m)^3.
            m, p = line.join, line.camber_station
            assert line.ratio == pytest.approx((3 * (m - p) ** 2 - m**3) / (1 - m) ** 3, abs=4e-4)
