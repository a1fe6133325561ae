"""Calibrated, equivalent and true airspeed against tables and the closed form of the rulebook atmosphere."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight import air
from slowflight.errors import RangeError
from slowflight.flights.airspeed.conversion import from_calibrated, from_true
from slowflight.units import SPEED

KT, FT = SPEED.factors["kt"], 0.3048


@pytest.mark.parametrize(
    ("calibrated", "feet", "celsius", "true", "equivalent", "mach"),
    [
        # Computed from the isentropic relations of Gracey, NASA RP-1046 (1980), with the constants of the
        # U.S. Standard Atmosphere 1976, by an independent script.
        (40.0, 5000.0, 25.0, 44.602, 39.996, 0.06629),
        (40.0, 3000.0, 9.06, 41.812, 39.998, 0.06387),
        (100.0, 5000.0, 5.0, 107.648, 99.943, 0.16564),
        (100.0, 5000.0, 25.0, 111.451, 99.943, 0.16564),
        (150.0, 10000.0, -4.8, 174.057, 149.572, 0.27267),
    ],
)
def test_against_computed_table(
    calibrated: float, feet: float, celsius: float, true: float, equivalent: float, mach: float
) -> None:
    here = air.air(pressure=air.standard_pressure(altitude=feet * FT), temperature=273.15 + celsius)
    found = from_calibrated(calibrated * KT, air=here)
    assert found.true / KT == pytest.approx(true, abs=6e-4)
    assert found.equivalent / KT == pytest.approx(equivalent, abs=6e-4)
    assert found.mach == pytest.approx(mach, abs=6e-6)


@given(speed=st.floats(0.0, 100.0), altitude=st.floats(0.0, 6000.0))
def test_true_undoes_calibrated(speed: float, altitude: float) -> None:
    here = air.standard_air(altitude=altitude)
    assert from_true(from_calibrated(speed, air=here).true, air=here).calibrated == pytest.approx(
        speed, abs=1e-9
    )


@pytest.mark.parametrize(
    ("altitude", "celsius", "true_over_equivalent"),
    # Exact: square root of standard over actual density of dry air.
    [(0.0, 35.0, 1.034122), (1000.0, 25.0, 1.0800603), (1500.0, 30.0, 1.1228082), (2000.0, -5.0, 1.0890992)],
)
def test_true_over_equivalent(altitude: float, celsius: float, true_over_equivalent: float) -> None:
    here = air.air(pressure=air.standard_pressure(altitude=altitude), temperature=273.15 + celsius)
    found = from_calibrated(25.0, air=here)
    assert found.true / found.equivalent == pytest.approx(true_over_equivalent, rel=1e-6)


@given(speed=st.floats(1.0, 51.0))
def test_below_fifty_meters_a_second_and_three_kilometers_calibrated_is_nearly_equivalent(
    speed: float,
) -> None:
    # Bound computed from the same relations; 0.2 kt = 0.1 m/s.
    found = from_calibrated(speed, air=air.standard_air(altitude=3000.0))
    assert 0.0 <= found.calibrated - found.equivalent < 0.11


@pytest.mark.parametrize("speed", [-1.0, 151.0, math.nan])
def test_refuses_what_is_no_speed(speed: float) -> None:
    with pytest.raises(RangeError):
        from_calibrated(speed, air=air.standard_air(altitude=0.0))


@pytest.mark.parametrize(
    ("feet", "celsius", "density_altitude"),
    # Worked vectors, by an independent script: h = T0 / 0.0065 (1 - sigma^0.234969).
    [(5000.0, 25.0, 7261.8), (2000.0, 30.0, 4160.6), (0.0, 35.0, 2275.3), (3000.0, -5.0, 1279.7)],
)
def test_density_altitudes(feet: float, celsius: float, density_altitude: float) -> None:
    here = air.air(pressure=air.standard_pressure(altitude=feet * FT), temperature=273.15 + celsius)
    assert air.density_altitude(density=here.density) / FT == pytest.approx(density_altitude, abs=0.1)
