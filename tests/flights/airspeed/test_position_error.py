"""Position error: exact curves given back, bands that cover, ends that are respected, the panel-only bias."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight import air
from slowflight.errors import InputError
from slowflight.flights.airspeed.conversion import from_true
from slowflight.flights.airspeed.indicator_only import indicator_only
from slowflight.flights.airspeed.position_error import (
    CalibrationPoint,
    PositionError,
    calibrate,
    fit_position_error,
    lift_coefficient,
    on_the_panel,
)
from slowflight.units import SPEED

KT = SPEED.factors["kt"]
AREA, MASS = 13.6, 600.0


def points(
    offset: float,
    slope: float,
    speeds: list[float],
    noise: np.random.Generator | None = None,
    sd: float = 0.3,
) -> list[CalibrationPoint]:
    found = []
    for knots in speeds:
        lift = lift_coefficient(speed=knots * KT, mass=MASS, load_factor=1.0, area=AREA)
        error = offset + slope * lift + (noise.normal(0.0, sd) if noise else 0.0)
        found.append(
            CalibrationPoint(
                indicated=knots * KT - error, calibrated=knots * KT, flap_deg=0.0, mass=MASS, uncertainty=sd
            )
        )
    return found


SPEEDS = [42.0, 44.0, 48.0, 55.0, 65.0, 80.0]


def test_worked_example_of_a_glide() -> None:
    # Worked by hand: 37 kt on the panel in a glide at 46.0 kt true, 5000 ft, 25 degC: 41.25 kt equivalent,
    # 4.25 kt of position and instrument error together.
    here = air.air(pressure=air.standard_pressure(altitude=5000 * 0.3048), temperature=298.15)
    found = from_true(46.0 * KT, air=here)
    assert found.equivalent / KT == pytest.approx(41.25, abs=0.01)
    assert found.calibrated / KT - 37.0 == pytest.approx(4.25, abs=0.01)


@given(offset=st.floats(-2.0, 2.0), slope=st.floats(-1.0, 2.0))
def test_an_exact_curve_comes_back(offset: float, slope: float) -> None:
    curve = fit_position_error(points(offset, slope, SPEEDS), area=AREA)
    for knots in (42.5, 50.0, 75.0):
        lift = lift_coefficient(speed=knots * KT, mass=MASS, load_factor=1.0, area=AREA)
        assert curve.at(lift)[0] == pytest.approx(offset + slope * lift, abs=1e-9)
        shown = on_the_panel(knots * KT, curve, mass=MASS)
        assert shown is not None
        back = calibrate(shown.value, curve, mass=MASS)
        assert back is not None
        assert back.speed.value == pytest.approx(knots * KT, abs=1e-6)


def test_the_line_in_lift_is_the_line_in_one_over_speed_squared() -> None:
    # Exact: at one weight the lift coefficient is proportional to one over calibrated speed squared.
    given_points = points(0.5, 1.1, SPEEDS, np.random.default_rng(3))
    curve = fit_position_error(given_points, area=AREA)
    inverse = np.array([p.calibrated**-2.0 for p in given_points])
    error = np.array([p.calibrated - p.indicated for p in given_points])
    b, a = np.polyfit(inverse, error, 1)
    for knots in (43.0, 60.0):
        lift = lift_coefficient(speed=knots * KT, mass=MASS, load_factor=1.0, area=AREA)
        assert curve.at(lift)[0] == pytest.approx(a + b * (knots * KT) ** -2.0, rel=1e-9)


def test_standard_uncertainty_is_that_of_weighted_least_squares() -> None:
    # Against a general-purpose fit with the same known standard deviations.
    given_points = points(0.5, 1.1, SPEEDS, np.random.default_rng(8), sd=0.3)
    curve = fit_position_error(given_points, area=AREA)
    lift = [lift_coefficient(speed=p.calibrated, mass=MASS, load_factor=1.0, area=AREA) for p in given_points]
    error = [p.calibrated - p.indicated for p in given_points]
    line, covariance = np.polyfit(lift, error, 1, w=[1.0 / 0.3] * len(lift), cov="unscaled")
    left = (np.polyval(line, lift) - error) / 0.3
    covariance = covariance * max(float(left @ left) / (len(lift) - 2), 1.0)
    for at in (0.5, 1.0, 1.5):
        away = np.array([at, 1.0])
        assert curve.at(at) == pytest.approx(
            (np.polyval(line, at), math.sqrt(away @ covariance @ away)), rel=1e-9
        )


def test_bands_cover_as_often_as_they_say() -> None:
    noise, hits, tries = np.random.default_rng(5), 0, 600
    for _ in range(tries):
        curve = fit_position_error(points(0.4, 1.2, SPEEDS, noise), area=AREA)
        shown = (
            45.0 * KT - 0.4 - 1.2 * lift_coefficient(speed=45.0 * KT, mass=MASS, load_factor=1.0, area=AREA)
        )
        found = calibrate(shown, curve, mass=MASS)
        assert found is not None
        hits += found.speed.low <= 45.0 * KT <= found.speed.high
    # Never too narrow; a little wide, because scatter below the stated one does not narrow it.
    assert 0.94 < hits / tries <= 0.995


def curve_to(slowest: float) -> PositionError:
    return fit_position_error(points(0.4, 1.2, [slowest, 48.0, 55.0, 65.0, 80.0]), area=AREA)


def shown_at(knots: float) -> float:
    return knots * KT - 0.4 - 1.2 * lift_coefficient(speed=knots * KT, mass=MASS, load_factor=1.0, area=AREA)


def test_beyond_the_slowest_point_the_band_widens_and_then_ends() -> None:
    curve = curve_to(42.0)
    inside, near, far = (calibrate(shown_at(knots), curve, mass=MASS) for knots in (42.5, 40.5, 39.5))
    assert inside is not None
    assert inside.beyond == 0.0
    assert near is not None
    assert near.beyond / KT == pytest.approx(1.5, abs=1e-6)
    assert near.speed.above > inside.speed.above + 0.1
    assert "beyond" in near.speed.why[0]
    assert far is None
    assert on_the_panel(39.5 * KT, curve, mass=MASS) is None
    assert on_the_panel(41.0 * KT, curve, mass=MASS) is not None


@pytest.mark.parametrize(
    ("given_points", "message"),
    [
        (points(0.4, 1.2, [45.0, 60.0]), "2 points"),
        (points(0.4, 1.2, [45.0, 45.5, 46.0]), "nearly the same"),
    ],
)
def test_what_gives_no_curve_is_refused(given_points: list[CalibrationPoint], message: str) -> None:
    with pytest.raises(InputError, match=message):
        fit_position_error(given_points, area=AREA)


def test_panel_alone_is_marked_biased_with_a_size() -> None:
    found = indicator_only(before=40.0 * KT, after=38.5 * KT, half_band=0.6 * KT)
    assert found.biased
    assert found.gain.value / KT == pytest.approx(1.5)
    # 0.5 kt standard uncertainty, common practice, so 1 kt at twice that; with 0.6 kt of repeats 1.17 kt.
    assert found.likely_bias / KT == pytest.approx(1.0)
    assert found.gain.above / KT == pytest.approx(math.hypot(1.0, 0.6))
    assert "biased" in found.sentence
    assert "not calibrated" in found.sentence
    steep = indicator_only(
        before=40.0 * KT, after=38.5 * KT, half_band=0.6 * KT, curve=curve_to(42.0), mass=MASS
    )
    rise = 1.2 * (
        lift_coefficient(speed=38.5 * KT, mass=MASS, load_factor=1.0, area=AREA)
        - lift_coefficient(speed=40.0 * KT, mass=MASS, load_factor=1.0, area=AREA)
    )
    assert steep.likely_bias == pytest.approx(math.hypot(KT, rise))
