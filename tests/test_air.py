"""Air: laws that must hold whatever the table, round trips, and ranges that are refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight import air
from slowflight.errors import RangeError

ALTITUDES = st.floats(min_value=-5_000.0, max_value=20_000.0)


@given(altitude=st.floats(min_value=-4_990.0, max_value=19_990.0))
def test_pressure_falls_by_the_weight_of_the_air(altitude: float) -> None:
    # Exact: hydrostatic equilibrium, dp/dH = -g0 rho, by a centered difference over 2 m.
    above, below = (
        air.standard_pressure(altitude=altitude + 1.0),
        air.standard_pressure(altitude=altitude - 1.0),
    )
    expected = -air.GRAVITY * air.standard_air(altitude=altitude).density
    assert (above - below) / 2.0 == pytest.approx(expected, rel=1e-5)


@given(altitude=ALTITUDES)
def test_pressure_and_density_altitude_of_standard_air_are_its_altitude(altitude: float) -> None:
    found = air.standard_air(altitude=altitude)
    assert air.pressure_altitude(pressure=found.pressure) == pytest.approx(altitude, abs=1e-6)
    assert air.density_altitude(density=found.density) == pytest.approx(altitude, abs=1e-6)


@given(altitude=ALTITUDES)
def test_geometric_altitude_undoes_geopotential(altitude: float) -> None:
    there = air.geometric_altitude(geopotential=altitude)
    assert air.geopotential_altitude(geometric=there) == pytest.approx(altitude, abs=1e-6)
    # Gravity weakens with height, so the geometric height is the larger by H^2 / r to first order.
    assert there - altitude == pytest.approx(altitude**2 / air.EARTH_RADIUS, rel=4e-3, abs=1e-9)


def test_geometric_altitude_follows_inverse_square_gravity() -> None:
    # Exact: H = (1/g0) times the integral of g0 (r/(r+z))^2 dz, here by the midpoint rule with 2000 steps.
    steps, top = 2000, 11_019.0
    step = top / steps
    integral = sum(
        (air.EARTH_RADIUS / (air.EARTH_RADIUS + (i + 0.5) * step)) ** 2 * step for i in range(steps)
    )
    assert air.geopotential_altitude(geometric=top) == pytest.approx(integral, abs=1e-4)


def test_reynolds_number_at_sea_level() -> None:
    # Kinematic viscosity 1.4607e-5 m^2/s at sea level: U.S. Standard Atmosphere 1976.
    found = air.reynolds_number(speed=15.0, chord=1.46, air=air.standard_air(altitude=0.0))
    assert found == pytest.approx(15.0 * 1.46 / 1.4607e-5, rel=1e-4)


@given(speed=st.floats(0.0, 100.0), altitude=ALTITUDES)
def test_equivalent_airspeed_keeps_the_dynamic_pressure(speed: float, altitude: float) -> None:
    density = air.standard_air(altitude=altitude).density
    equivalent = air.equivalent_airspeed(true=speed, density=density)
    at_sea_level = air.dynamic_pressure(speed=equivalent, density=1.225)
    assert at_sea_level == pytest.approx(
        air.dynamic_pressure(speed=speed, density=density), rel=1e-6, abs=1e-12
    )
    assert air.true_airspeed(equivalent=equivalent, density=density) == pytest.approx(speed, rel=1e-12)


def test_sea_level_dynamic_pressure() -> None:
    # Exact: Bernoulli, half of 1.225 times 20 squared.
    assert air.dynamic_pressure(speed=20.0, density=1.225) == pytest.approx(245.0)


@pytest.mark.parametrize("altitude", [-5_001.0, 20_001.0, math.nan, math.inf])
def test_altitude_outside_the_tables_is_refused(altitude: float) -> None:
    with pytest.raises(RangeError, match=r"altitude: found .* needs a number from -5000 to 20000 m"):
        air.standard_air(altitude=altitude)


def test_celsius_given_for_kelvin_is_refused() -> None:
    with pytest.raises(RangeError, match="temperature: found 25 K"):
        air.air(pressure=101_325.0, temperature=25.0)


def test_hectopascals_given_for_pascals_are_refused() -> None:
    with pytest.raises(RangeError, match="pressure: found 950 Pa"):
        air.air(pressure=950.0, temperature=288.0)


@pytest.mark.parametrize("density", [0.0, -1.0, math.nan, 5.0])
def test_density_of_no_altitude_is_refused(density: float) -> None:
    with pytest.raises(RangeError, match="density"):
        air.density_altitude(density=density)


def test_negative_speed_and_empty_chord_are_refused() -> None:
    here = air.standard_air(altitude=0.0)
    with pytest.raises(RangeError, match="speed"):
        air.reynolds_number(speed=-1.0, chord=1.0, air=here)
    with pytest.raises(RangeError, match="chord"):
        air.reynolds_number(speed=1.0, chord=0.0, air=here)
