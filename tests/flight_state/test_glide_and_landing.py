"""Glides give back the drag they were made with; attitude, view and touchdown follow the geometry."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from slowflight.errors import RangeError
from slowflight.flight_state.cruise import climb_lost, cruise_cost
from slowflight.flight_state.glide import extra_drag_area, glide_at, height_to_recover, idling
from slowflight.flight_state.landing import (
    CLOSE,
    GEAR,
    WING,
    below_this_attitude,
    felt_from,
    sees_the_spot_up_to,
    speed_at,
    touchdown,
)
from slowflight.flight_state.phone import turned_round
from slowflight.flight_state.power_on import Body
from slowflight.wing.in_the_air import Glide
from tests.flight_state.curves import made_up

CLEAN, VANES = made_up(), made_up(cl_max=2.05, stall_deg=21.5)
BODY = Body(mass=500.0, area=12.0, density=1.2, extra_drag=0.5, incidence=0.04)
AIR = {"mass": 500.0, "area": 12.0, "density": 1.2}


def test_glide_gives_back_the_drag_it_was_made_with() -> None:
    made = glide_at(CLEAN, BODY, angle=0.12)
    assert made is not None
    cl, cd = CLEAN.lift(0.12), CLEAN.drag(0.12)
    assert cl is not None
    assert cd is not None
    assert math.tan(made.path) == pytest.approx((cd + 0.5 / 12.0) / cl, rel=1e-12)
    glides = [Glide(speed=made.speed, sink=made.sink, turns=15.0)]
    assert extra_drag_area(glides, CLEAN, body=BODY) == pytest.approx(0.5, rel=2e-3)
    floated = [Glide(speed=made.speed, sink=0.2 * made.sink, turns=15.0)]
    with pytest.raises(RangeError, match="glides"):
        extra_drag_area(floated, CLEAN, body=BODY)


def test_faster_idle_pulls_by_the_difference_of_the_paths() -> None:
    slow, fast = Glide(speed=25.0, sink=3.5, turns=13.0), Glide(speed=25.0, sink=3.0, turns=18.0)
    found = idling([fast, slow], CLEAN, body=BODY)
    assert found is not None
    assert found.thrust == pytest.approx(BODY.weight * 0.5 / 25.0, rel=1e-12)
    # by hand: the thrust line stands at stall angle less incidence to the path
    up = found.thrust * math.sin(CLEAN.stall_angle - 0.04 + 0.03)
    raised = idling([fast, slow], CLEAN, body=BODY, line=0.03)
    assert raised is not None
    alone = math.sqrt(2.0 * BODY.weight / (1.2 * 12.0 * CLEAN.cl_max))
    assert raised.stall_change == pytest.approx(alone * (math.sqrt(1.0 - up / BODY.weight) - 1.0), rel=1e-12)
    assert raised.stall_change < found.stall_change < 0.0
    assert idling([slow], CLEAN, body=BODY) is None


def test_recovery_takes_at_least_the_energy_of_the_speed_that_is_missing() -> None:
    height = height_to_recover(CLEAN, BODY)
    stalled = glide_at(CLEAN, BODY, angle=CLEAN.stall_angle)
    assert height is not None
    assert stalled is not None
    assert height > (1.3**2 - 1.0) * stalled.speed**2 / (2.0 * 9.80665)
    # the three parts by hand: a second of sinking, the dive with its drag, the pull
    g, fast = 9.80665, 1.3 * stalled.speed
    pressure = 0.5 * 1.2 * 0.5 * (stalled.speed**2 + fast**2)
    angle = CLEAN.angle_of(BODY.weight * math.cos(math.radians(20.0)) / (pressure * 12.0))
    assert angle is not None
    drag = pressure * (12.0 * (CLEAN.drag(angle) or 0.0) + 0.5)
    dived = (
        (fast**2 - stalled.speed**2) / (2.0 * g) / (1.0 - drag / (BODY.weight * math.sin(math.radians(20.0))))
    )
    leveled = fast**2 * (1.0 - math.cos(math.radians(20.0))) / (g * (1.2 - math.cos(math.radians(20.0))))
    assert height == pytest.approx(stalled.sink + dived + leveled, rel=1e-9)
    heavier = height_to_recover(CLEAN, replace(BODY, mass=700.0))
    assert heavier is not None
    assert heavier > height


def test_gear_or_wing_ends_the_flare() -> None:
    short = touchdown(CLEAN, CLEAN, on_wheels=math.radians(14.0), **AIR)
    assert short is not None
    assert short.limit == GEAR
    assert short.speed == speed_at(CLEAN, angle=math.radians(14.0), **AIR)
    steep = touchdown(CLEAN, CLEAN, on_wheels=math.radians(25.0), **AIR)
    assert steep is not None
    assert steep.limit == WING
    assert steep.angle == CLEAN.stall_angle
    near_it = touchdown(CLEAN, CLEAN, on_wheels=math.radians(17.0), **AIR)
    assert near_it is not None
    assert near_it.limit == CLOSE
    # more lift near the ground helps below the stall, but no more than the wing has in free air
    near = made_up(cl_max=2.2, stall_deg=18.0)
    lifted = touchdown(near, CLEAN, on_wheels=math.radians(14.0), **AIR)
    topped = touchdown(near, CLEAN, on_wheels=math.radians(17.9), **AIR)
    assert lifted is not None
    assert topped is not None
    assert lifted.speed < short.speed
    assert topped.speed == pytest.approx(math.sqrt(2.0 * BODY.weight / (1.2 * 12.0 * 1.8)), rel=1e-12)


def test_vanes_are_felt_only_beyond_the_clean_stall() -> None:
    late = made_up(cl_max=1.8 * 25.5 / 22.0, stall_deg=21.5)  # the same line, carried on further
    felt = felt_from(CLEAN, late, **AIR)
    assert felt is not None
    assert felt > CLEAN.stall_angle
    assert felt_from(CLEAN, CLEAN, **AIR) is None
    short = below_this_attitude(felt, on_wheels=0.26, incidence=0.04, speed=20.0)
    enough = below_this_attitude(felt, on_wheels=0.45, incidence=0.04, speed=20.0)
    assert "as fast with vanes as without" in short
    assert "can use some" in enough
    assert "nothing you can measure" in below_this_attitude(None, on_wheels=0.2, incidence=0.0, speed=None)


def test_view_over_the_nose_and_the_phone_turned_round() -> None:
    assert sees_the_spot_up_to(over_the_nose=0.15, incidence=0.04) == pytest.approx(0.19)
    good = turned_round(math.radians(15.2), math.radians(-14.8), expected=math.radians(15.0))
    assert math.degrees(good.angle) == pytest.approx(15.0)
    assert not good.caution
    assert "turn it end" in turned_round(math.radians(15.0), math.radians(15.0)).caution
    other = turned_round(math.radians(15.2), math.radians(-14.8), expected=math.radians(12.0))
    assert "one of them is wrong" in other.caution


def test_cruise_cost_with_and_without_a_laminar_run() -> None:
    found = cruise_cost(made_up(), made_up(), None, cl=0.4, own=0.0005)
    assert found.laminar == pytest.approx(0.0, abs=1e-9)
    assert found.turbulent == pytest.approx(5.0)
    assert found.run_worth is None
    plain = made_up()
    row, rough = (replace(plain, cd_profile=plain.cd_profile + more) for more in (0.0012, 0.0030))
    costs = cruise_cost(row, plain, rough, cl=0.4, own=0.0005)
    assert costs.laminar == pytest.approx(12.0)  # counts: more drag with the row is above zero
    assert costs.run_worth == pytest.approx(30.0)
    # D V / W, by hand: 0.6 * 900 * 12 * 0.003 * 30 / 4900 = 0.119
    assert climb_lost(counts=30.0, speed=30.0, density=1.2, area=12.0, weight=4900.0) == pytest.approx(
        0.119, abs=5e-4
    )
