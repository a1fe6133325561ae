"""Thrust: momentum theory, balance of forces, and what carries part of the weight."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight.air import GRAVITY, standard_air, true_airspeed
from slowflight.errors import RangeError
from slowflight.flight_state.power_on import (
    THRUST,
    WING,
    Body,
    climb_rate,
    full_throttle_stall,
    level_at,
    slowest_level,
    stall_speed_with_thrust,
)
from slowflight.flight_state.propeller import Propeller, thrust_at
from tests.flight_state.curves import made_up

CURVE = made_up()
BODY = Body(mass=500.0, area=12.0, density=1.2, extra_drag=0.5, incidence=0.04, immersed=2.0)
PULLER = Propeller(static_thrust=1500.0, diameter=1.7, line=0.03)


@pytest.mark.parametrize("speed", [5.0, 20.0, 45.0])
def test_thrust_in_flight_has_the_ideal_efficiency_of_an_actuator_disc(speed: float) -> None:
    """Glauert: ``T V / P = 2 / (1 + sqrt(1 + T / (q A)))`` at the power that the disc takes at rest."""
    thrust = thrust_at(PULLER, speed=speed, density=1.225)
    power = 1500.0 * math.sqrt(1500.0 / (2.0 * 1.225 * PULLER.disc))
    loading = thrust / (0.5 * 1.225 * speed**2 * PULLER.disc)
    assert thrust * speed / power == pytest.approx(2.0 / (1.0 + math.sqrt(1.0 + loading)), rel=1e-9)


def test_level_flight_balances_both_ways() -> None:
    angle, contraction = 0.25, 0.75
    found = level_at(CURVE, BODY, angle=angle, line=PULLER.line, disc=PULLER.disc, contraction=contraction)
    assert found is not None
    speed, thrust = found
    q, cl, cd = 0.5 * 1.2 * speed**2, CURVE.lift(angle), CURVE.drag(angle)
    assert cl is not None
    assert cd is not None
    above = angle - BODY.incidence + PULLER.line
    blown = contraction * thrust / PULLER.disc * BODY.immersed  # slipstream's pressure times its area
    own = 0.012 + 0.004 * cl**2
    assert q * BODY.area * cl + blown * cl + thrust * math.sin(above) == pytest.approx(BODY.weight, rel=1e-4)
    drag = q * (BODY.area * cd + BODY.extra_drag) + blown * own
    assert thrust * math.cos(above) == pytest.approx(drag, rel=1e-3)


def test_thrust_relief_is_the_part_of_the_weight_it_carries() -> None:
    """A third of the weight in thrust, 30 deg up, carries a sixth: speed falls by sqrt(5 / 6), exactly."""
    common = {"mass": 500.0, "area": 12.0, "density": 1.2, "cl_max": 1.6, "above_path": math.radians(30.0)}
    none = stall_speed_with_thrust(thrust=0.0, **common)
    some = stall_speed_with_thrust(thrust=500.0 * GRAVITY / 3.0, **common)
    assert some / none == pytest.approx(math.sqrt(5.0 / 6.0), rel=1e-14)
    with pytest.raises(RangeError, match="thrust"):
        stall_speed_with_thrust(thrust=3.0 * 500.0 * GRAVITY, **common)


def test_slowest_level_flight_is_slower_than_the_power_off_stall_and_says_what_ends_it() -> None:
    idle = math.sqrt(2.0 * BODY.weight / (BODY.density * BODY.area * CURVE.cl_max))
    strong = slowest_level(CURVE, BODY, PULLER)
    assert strong is not None
    assert strong.limit == WING
    assert strong.speed < idle
    # drag that rises steeply toward the stall: the back of the power curve
    late = np.maximum(CURVE.angles - math.radians(10.0), 0.0)
    steep = replace(CURVE, cd=CURVE.cd + 8.0 * late**2)
    weak = slowest_level(steep, BODY, Propeller(static_thrust=1100.0, diameter=1.7))
    assert weak is not None
    assert weak.limit == THRUST
    assert weak.angle < CURVE.stall_angle
    assert slowest_level(CURVE, BODY, Propeller(static_thrust=300.0, diameter=1.7)) is None


def test_full_throttle_stall_balances_the_weight() -> None:
    found = full_throttle_stall(CURVE, BODY, PULLER, contraction=0.75)
    assert found.thrust == pytest.approx(thrust_at(PULLER, speed=found.speed, density=1.2))
    lifted = 0.5 * 1.2 * found.speed**2 * 12.0 * CURVE.cl_max
    blown = 0.75 * found.thrust / PULLER.disc * BODY.immersed * CURVE.cl_max
    pulled = found.thrust * math.sin(CURVE.stall_angle - BODY.incidence + PULLER.line)
    assert lifted + blown + pulled == pytest.approx(BODY.weight, rel=1e-9)


def test_no_climb_where_thrust_is_all_used_up() -> None:
    found = level_at(CURVE, BODY, angle=0.2, line=0.0, disc=PULLER.disc, contraction=0.0)
    assert found is not None
    rate = climb_rate(CURVE, BODY, angle=0.2, speed=found[0], thrust=found[1], line=0.0)
    assert rate == pytest.approx(0.0, abs=1e-3)


def test_stall_speed_at_altitude_as_in_a_textbooks_trim_table() -> None:
    """Cook (2007), appendix 1: 116.092 kt true is 105.225 kt equivalent at 6,562 ft standard altitude."""
    density = standard_air(altitude=6562.0 * 0.3048).density
    assert true_airspeed(equivalent=105.225, density=density) == pytest.approx(116.092, rel=2e-4)
