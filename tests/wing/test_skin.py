"""Distances along the skin against independent quadrature of the formula, and the inverse."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from slowflight.errors import InputError, RangeError
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section
from slowflight.wing.skin import skin_station, station_along_skin


def upper_point(root: float, *, camber: float, place: float, thickness: float) -> tuple[float, float]:
    """Upper side of a four-digit section (NACA Report 460) over the square root of the mean-line station."""
    s = root * root
    half = thickness / 0.2 * (0.2969 * root - 0.1260 * s - 0.3516 * s**2 + 0.2843 * s**3 - 0.1015 * s**4)
    scale = camber / (place**2 if s < place else (1 - place) ** 2)
    height = scale * ((0 if s < place else 1 - 2 * place) + 2 * place * s - s * s)
    angle = np.arctan(2 * scale * (place - s))
    return float(s - half * np.sin(angle)), float(height + half * np.cos(angle))


def upper_arc(station: float, *, datum: str, **shape: float) -> float:
    """Arc length by adaptive quadrature of the formula's own derivative."""

    def speed(root: float) -> float:
        step = 1e-5
        ahead, behind = upper_point(root + step, **shape), upper_point(root - step, **shape)
        return float(np.hypot(ahead[0] - behind[0], ahead[1] - behind[1])) / (2 * step)

    start = 0.0
    if datum == "foremost":
        start = brentq(
            lambda root: upper_point(root + 1e-5, **shape)[0] - upper_point(root - 1e-5, **shape)[0],
            1e-4,
            0.3,
        )
    end = brentq(lambda root: upper_point(root, **shape)[0] - station, start + 1e-9, 1.0)
    return float(quad(speed, start, end, epsabs=1e-10, limit=400)[0])


@pytest.mark.parametrize("datum", ["foremost", "nose"])
@pytest.mark.parametrize("station", [0.02, 0.10, 0.20, 0.37, 0.9])
@pytest.mark.parametrize("thickness", [12, 15, 18])
def test_arc_is_that_of_the_formula(thickness: int, station: float, datum: str) -> None:
    exact = upper_arc(station, datum=datum, camber=0.04, place=0.4, thickness=thickness / 100.0)
    # The foremost point is where x hardly changes, so it takes more points to place.
    section = naca_section(f"44{thickness}", points=401 if datum == "foremost" else 201)
    found = skin_station(section, station=station, datum=datum)
    assert found.skin_distance == pytest.approx(exact, abs=1e-6)


@pytest.mark.parametrize(
    ("thickness", "tenth", "fifth"), [(12, 0.123, 0.226), (15, 0.130, 0.233), (18, 0.138, 0.241)]
)
def test_44xx_distances_worked_out_by_a_colleague(thickness: int, tenth: float, fifth: float) -> None:
    """Computed apart from this code, rounded to 0.001 chord; from the foremost point."""
    section = naca_section(f"44{thickness}")
    assert skin_station(section, station=0.1).skin_distance == pytest.approx(tenth, abs=5e-4)
    assert skin_station(section, station=0.2).skin_distance == pytest.approx(fifth, abs=5e-4)


@pytest.mark.parametrize(("percent", "millimeters"), [(3, 45), (5, 75), (7, 105), (10, 150)])
def test_along_the_chord_of_1500_mm(percent: int, millimeters: int) -> None:
    """Common practice, no source: per cent of a 1,500 mm chord; the tape along the skin is longer."""
    found = skin_station(naca_section("4415"), station=percent / 100.0, chord_m=1.5)
    assert found.chord_distance_m == pytest.approx(millimeters / 1000.0, abs=1e-12)
    assert found.skin_distance_m is not None
    assert found.skin_distance_m > millimeters / 1000.0 + 0.02
    assert found.skin_distance_m == pytest.approx(1.5 * found.skin_distance)


def test_a_wedge_by_pythagoras() -> None:
    """Straight sides behind a small round nose: from a quarter to three quarters along a slope of 1 in 10."""
    x = np.concatenate((np.linspace(1.0, 0.1, 40), np.linspace(0.1, 1.0, 40)))
    y = np.concatenate((-(1.05 - x[:40]) / 10, (1.05 - x[40:]) / 10))
    angle = np.linspace(0.0, np.pi, 21)[1:-1]
    nose = np.column_stack((0.1 - 0.1 * np.sin(angle), -0.095 * np.cos(angle)))
    section = Section(
        name="wedge",
        x=np.concatenate((x[:40], nose[:, 0], x[40:])),
        y=np.concatenate((y[:40], nose[:, 1], y[40:])),
    )
    near, far = (skin_station(section, station=at, surface="lower").skin_distance for at in (0.5, 0.75))
    assert far - near == pytest.approx(0.25 * np.hypot(1.0, 0.1), abs=1e-6)


@given(
    digits=st.sampled_from(["0012", "2412", "4415", "23012", "6409", "0009"]),
    station=st.floats(0.005, 0.99),
    surface=st.sampled_from(["upper", "lower"]),
    datum=st.sampled_from(["foremost", "nose"]),
)
def test_back_and_forth(digits: str, station: float, surface: str, datum: str) -> None:
    section = naca_section(digits)
    out = skin_station(section, station=station, surface=surface, datum=datum)
    back = station_along_skin(section, skin_distance=out.skin_distance, surface=surface, datum=datum)
    assert back == pytest.approx(station, abs=1e-7)
    if datum == "foremost" and digits.startswith("00"):
        assert out.skin_distance > station


def test_both_surfaces_of_a_symmetrical_section_agree() -> None:
    section = naca_section("0012")
    for datum in ("foremost", "nose"):
        distances = [
            skin_station(section, station=0.1, surface=surface, datum=datum).skin_distance
            for surface in ("upper", "lower")
        ]
        assert distances[0] == pytest.approx(distances[1], abs=1e-9)


def test_the_section_brings_its_own_chord() -> None:
    section = replace(naca_section("4415"), chord_m=1.2)
    assert skin_station(section, station=0.1).chord_distance_m == pytest.approx(0.12)
    assert skin_station(section, station=0.1, chord_m=1.0).chord_distance_m == pytest.approx(0.1)
    assert skin_station(naca_section("4415"), station=0.1).chord_distance_m is None


@pytest.mark.parametrize("station", [0.0, -0.1, 1.0, 9.0, float("nan")])
def test_stations_off_the_chord_are_refused(station: float) -> None:
    with pytest.raises(RangeError, match="between nose and trailing edge"):
        skin_station(naca_section("4415"), station=station)


def test_other_refusals() -> None:
    section = naca_section("4415")
    with pytest.raises(InputError, match="upper or lower"):
        skin_station(section, station=0.1, surface="top")
    with pytest.raises(InputError, match="foremost or nose"):
        skin_station(section, station=0.1, datum="front")
    with pytest.raises(RangeError, match="chord above zero"):
        skin_station(section, station=0.1, chord_m=0.0)
    with pytest.raises(RangeError, match="needs 0 to"):
        station_along_skin(section, skin_distance=1.2)


@pytest.mark.parametrize("station", [0.05, 0.08, 0.10, 0.15, 0.20])
@pytest.mark.parametrize("digits", ["0012", "0015", "2412", "4412", "4415", "4418", "6409"])
def test_upper_skins_against_adaptive_quadrature(digits: str, station: float) -> None:
    """Scipy's adaptive quadrature of the published formula, which shares no code with the outline's curve."""
    shape = {
        "camber": int(digits[0]) / 100.0,
        "place": int(digits[1]) / 10.0 or 0.4,
        "thickness": int(digits[2:]) / 100.0,
    }
    exact = upper_arc(station, datum="nose", **shape)
    found = skin_station(naca_section(digits, points=401), station=station, datum="nose")
    assert found.skin_distance == pytest.approx(exact, abs=2e-6)
    assert found.skin_distance > 1.05 * station
