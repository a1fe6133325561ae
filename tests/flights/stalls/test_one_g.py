"""Weight, load factor and angle of attack: worked examples, exact relations, ranges."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from slowflight.errors import RangeError
from slowflight.flights.stalls.angle_of_attack import angle_of_attack
from slowflight.flights.stalls.one_g import (
    load_factor_in_bank,
    maximum_lift,
    reference_speed,
    speed_uncertainty,
)
from slowflight.units import MASS, SPEED

KT, LB = SPEED.factors["kt"], MASS.factors["lb"]

# Worked by hand from the relations of 14 CFR 25.103: six runs, calibrated speeds [kt], masses [lb], load
# factors, entry rates [kt/s], reference 1320 lb.
RUNS = [
    (38.8, 1204, 0.99, 0.6, 40.8308),
    (38.6, 1203, 1.00, 0.8, 40.4335),
    (38.3, 1202, 0.98, 1.0, 40.5434),
    (38.0, 1200, 0.99, 1.3, 40.0555),
    (37.9, 1199, 0.97, 1.5, 40.3767),
    (38.5, 1198, 1.00, 0.9, 40.4128),
]


def reference(speed: float, mass: float, load: float) -> float:
    return reference_speed(
        equivalent=speed * KT, mass=mass * LB, load_factor=load, reference_mass=1320 * LB
    ) / KT  # fmt: skip


@pytest.mark.parametrize(("speed", "mass", "load", "rate", "expected"), RUNS)
def test_each_run_of_the_worked_example(
    speed: float, mass: float, load: float, rate: float, expected: float
) -> None:
    assert reference(speed, mass, load) == pytest.approx(expected, abs=1e-4)


def test_the_worked_example_read_at_one_knot_a_second() -> None:
    rates = np.array([rate - 1.0 for _, _, _, rate, _ in RUNS])
    speeds = np.array([reference(*run[:3]) for run in RUNS])
    line = stats.linregress(rates, speeds)
    assert line.intercept == pytest.approx(40.451, abs=1e-3)
    assert line.slope == pytest.approx(-0.5462, abs=1e-4)
    assert line.stderr == pytest.approx(0.2636, abs=1e-4)
    assert line.intercept_stderr == pytest.approx(0.0798, abs=1e-4)
    lift = maximum_lift(
        equivalent=line.intercept * KT, mass=1320 * LB, load_factor=1.0, area=13.6
    )  # at the reference mass, so at 1 g
    assert lift == pytest.approx(1.628, abs=1e-3)


def test_at_reference_mass_and_one_g_nothing_changes() -> None:
    assert reference(39.0, 1320.0, 1.0) == pytest.approx(39.0, rel=1e-12)


@given(speed=st.floats(15.0, 40.0), mass=st.floats(300.0, 1200.0), load=st.floats(0.6, 1.9))
def test_the_lift_coefficient_is_what_stays(speed: float, mass: float, load: float) -> None:
    # Exact: 14 CFR 25.103 holds the load-factor-corrected lift coefficient.
    there = maximum_lift(equivalent=speed, mass=mass, load_factor=load, area=13.6)
    brought = reference_speed(equivalent=speed, mass=mass, load_factor=load, reference_mass=600.0)
    assert maximum_lift(equivalent=brought, mass=600.0, load_factor=1.0, area=13.6) == pytest.approx(
        there, rel=1e-12
    )


@pytest.mark.parametrize(("degrees", "knots"), [(5.0, 0.07), (10.0, 0.30), (30.0, 2.9)])
def test_what_a_bank_costs_at_39_knots(degrees: float, knots: float) -> None:
    # Exact: root of one over cosine, to the digits printed.
    rise = 39.0 * (math.sqrt(load_factor_in_bank(math.radians(degrees))) - 1.0)
    assert rise == pytest.approx(knots, abs=0.05 if degrees > 20 else 0.006)


def test_thirty_pounds_of_fuel_at_39_knots() -> None:
    # Exact to first order: half of 30 lb over 1320 lb is 0.443 kt; the second order adds 0.008.
    assert reference(39.0, 1320.0 - 30.0, 1.0) - 39.0 == pytest.approx(0.443 + 0.008, abs=1e-3)


def test_one_knot_less_at_39_is_five_per_cent_more_lift() -> None:
    # Exact: squares of speed ratios.
    for less, per_cent in ((1, 5.3), (2, 11.1), (3, 17.4), (4, 24.2)):
        ratio = maximum_lift(equivalent=(39 - less) * KT, mass=600, load_factor=1, area=13.6) / maximum_lift(
            equivalent=39 * KT, mass=600, load_factor=1, area=13.6
        )
        assert 100.0 * (ratio - 1.0) == pytest.approx(per_cent, abs=0.06)


def test_uncertainty_is_the_numerical_derivative() -> None:
    kwargs = {"equivalent": 20.0, "mass": 550.0, "load_factor": 0.98, "reference_mass": 600.0}
    middle = reference_speed(**kwargs)
    by_mass = (reference_speed(**kwargs | {"mass": 551.0}) - middle) * 5.0
    by_load = (reference_speed(**kwargs | {"load_factor": 0.9801}) - middle) * 200.0
    found = speed_uncertainty(
        reference=middle,
        reading=0.2,
        mass=550.0,
        mass_uncertainty=5.0,
        load_factor=0.98,
        load_uncertainty=0.02,
    )
    assert found == pytest.approx(math.hypot(0.2, by_mass, by_load), rel=2e-3)


@pytest.mark.parametrize("bad", [{"mass": 0.0}, {"load_factor": 2.5}, {"equivalent": math.nan}])
def test_refuses_what_cannot_be(bad: dict[str, float]) -> None:
    good = {"equivalent": 20.0, "mass": 550.0, "load_factor": 1.0, "reference_mass": 600.0}
    with pytest.raises(RangeError):
        reference_speed(**good | bad)


def test_angle_of_attack_in_a_steady_glide() -> None:
    # Exact: 39 kt, 600 ft/min down is a path of -8.738 deg; nose 6 deg up makes 14.738 deg.
    found = angle_of_attack(
        pitch=np.radians([6.0]),
        vertical_speed=np.array([-600.0 * 0.3048 / 60.0]),
        true_airspeed=np.array([39.0 * KT]),
    )
    assert np.degrees(found) == pytest.approx([14.738], abs=5e-4)


@given(
    angle=st.floats(-5.0, 25.0),
    roll=st.floats(-60.0, 60.0),
    pitch=st.floats(-30.0, 40.0),
    speed=st.floats(15.0, 60.0),
)
def test_angle_of_attack_in_a_bank_is_that_of_the_rotated_velocity(
    angle: float, roll: float, pitch: float, speed: float
) -> None:
    # Exact: the velocity lies in the plane of symmetry, down by the angle; rotated by roll, then pitch.
    a, phi, theta = map(math.radians, (angle, roll, pitch))
    forward, down = math.cos(a), math.sin(a)
    climb = speed * (forward * math.sin(theta) - down * math.cos(phi) * math.cos(theta))
    found = angle_of_attack(
        pitch=np.array([theta]), vertical_speed=np.array([climb]), true_airspeed=np.array([speed]), roll=phi
    )
    assert math.degrees(float(found[0])) == pytest.approx(angle, abs=1e-6)


def test_an_updraft_of_half_a_meter_a_second_is_over_a_degree() -> None:
    # Exact: 0.5 m/s over 39 kt, 1.43 deg.
    pitch, speed = np.array([0.1]), np.array([39.0 * KT])
    still = angle_of_attack(pitch=pitch, vertical_speed=np.array([0.0]), true_airspeed=speed)
    lifted = angle_of_attack(pitch=pitch, vertical_speed=np.array([0.5]), true_airspeed=speed)
    assert np.degrees(still - lifted) == pytest.approx([1.43], abs=5e-3)
