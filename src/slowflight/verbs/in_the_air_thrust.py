"""Idle and power: stall speeds, the slowest level flight, sink, climb and height to recover."""

from __future__ import annotations

import math
from typing import Any

from slowflight import units
from slowflight.air import equivalent_airspeed
from slowflight.flight_state import glide, power_on
from slowflight.flight_state.curve import WingCurve
from slowflight.flight_state.propeller import thrust_at
from slowflight.uncertainty import Banded, difference
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.in_the_air_setting import AtSetting, feet_a_minute

MULTIPLES = (1.2, 1.1)  # of the own stall speed, at which slow descents are shown
THRUST_BAND = 0.15  # of the thrust (own choice)
WHY = (
    "thrust by momentum theory from the static thrust, 15 % either way; half to all of the slipstream's"
    " pressure; the stall is not delayed by it; its air is taken as turbulent from the nose"
)
TRIPPED = (
    "rows inside the slipstream work in air that is turbulent already, so flights with idle are what counts"
)
IDLE_MOST = 2.0  # of the change that a faster idle makes (own choice)
IDLE_WHY = (
    "thrust of the faster idle over the slower from two glides, taken at the stall too: nothing to twice its"
    " effect is an own choice; what the slower idle pulls by itself is not known and is in the glides' drag"
)


def power_record(at: AtSetting) -> dict[str, Any]:
    """Return speeds with the engine idling and pulling, as plain data."""
    found: dict[str, Any] = {"why": WHY, "idle": _idle(at)}
    for name, curve in at.wings():
        found[f"level_{name}"] = _level(at, name, curve)
        found[f"full_throttle_{name}"] = _full_throttle(at, name, curve)
    found.setdefault("level_vanes", None)
    found.setdefault("full_throttle_vanes", None)
    found["note"] = TRIPPED
    return found


def _idle(at: AtSetting) -> dict[str, Any] | None:
    """What a faster idle does to the stall, clean and with the row."""
    made: dict[str, Any] = {}
    moved = {}
    for name, curve in at.wings():
        found = glide.idling(at.said.glides, curve, body=at.body, line=at.said.thrust_line)
        if found is None:
            return None
        slow = at.stall_banded(name)
        change = equivalent_airspeed(true=-found.stall_change, density=at.body.density)
        moved[name] = -units.express(change, "kt")
        faster = difference(slow, Banded(value=change, low=0.0, high=IDLE_MOST * change, why=(IDLE_WHY,)))
        made |= {
            "slow_rpm": 60.0 * found.slow,
            "fast_rpm": 60.0 * found.fast,
            "thrust_n": found.thrust,
            f"fast_{name}": numbers.speed(faster),
        }
    made.setdefault("fast_vanes", None)
    words = {"clean": "clean", "vanes": "with the row"}
    said = " and ".join(f"{change:+.1f} kt {words[name]}" for name, change in moved.items())
    return {
        **made,
        "why": IDLE_WHY,
        "stall_change_kt": moved["clean"],
        "stall_change_vanes_kt": moved.get("vanes"),
        "sentence": (
            f"By your two glides, idling at {made['fast_rpm']:.0f} instead of {made['slow_rpm']:.0f} rpm"
            f" pulls {made['thrust_n']:.0f} N more and moves the stall speed by {said} (nothing to twice"
            " that): state the revolutions with every stall, and keep them alike before and after"
        ),
    }


def _level(at: AtSetting, name: str, curve: WingCurve) -> dict[str, Any] | None:
    """The slowest level flight with power, and its band."""
    if at.propeller is None or not at.drag_known:
        return None
    found = power_on.slowest_level(curve, at.body, at.propeller, blown=at.rough if name == "clean" else None)
    if found is None:
        return {
            "speed": None,
            "limit": "the engine holds no level flight at this flap setting",
            "angle_deg": None,
        }
    ends = [
        power_on.slowest_level(curve, at.body, at.propeller, contraction=share)
        for share in (power_on.CONTRACTION[0], power_on.CONTRACTION[2])
    ]
    speed = _with_spread(at.speed(found.speed, like=name), found.speed, [e.speed for e in ends if e])
    return {
        "speed": speed,
        "limit": found.limit,
        "angle_deg": math.degrees(found.angle),
        "thrust_n": found.thrust,
    }


def _full_throttle(at: AtSetting, name: str, curve: WingCurve) -> dict[str, float] | None:
    if at.propeller is None:
        return None
    speeds = [
        power_on.full_throttle_stall(curve, at.body, at.propeller, contraction=share).speed
        for share in power_on.CONTRACTION
    ]
    return _with_spread(at.speed(speeds[1], like=name), speeds[1], [speeds[0], speeds[2]])


def _with_spread(speed: dict[str, float] | None, middle: float, ends: list[float]) -> dict[str, float] | None:
    """Widen a speed's band by what the slipstream and the thrust leave open."""
    if speed is None:
        return None
    doubt = max((abs(end / middle - 1.0) for end in ends), default=0.0)
    low = 1.0 - math.hypot(1.0 - speed["low_kt"] / speed["kt"], doubt)
    high = 1.0 + math.hypot(speed["high_kt"] / speed["kt"] - 1.0, doubt)
    return {**speed, "low_kt": speed["kt"] * low, "high_kt": speed["kt"] * high}


def descents(at: AtSetting) -> list[dict[str, Any]]:
    """Return slow idle descents: sink, margin to climb away, height to recover; none without glides."""
    if not at.drag_known:
        return []
    made = []
    for name, curve in at.wings():
        for multiple in MULTIPLES:
            angle = curve.angle_of(curve.cl_max / multiple**2)
            slow = None if angle is None else glide.glide_at(curve, at.body, angle=angle)
            if slow is None:
                continue
            height = glide.height_to_recover(curve, at.body)
            made.append(
                {
                    "wing": name,
                    "over_stall": multiple,
                    "speed": at.speed(slow.speed, like=name),
                    "wing_angle_deg": math.degrees(slow.angle),
                    "fuselage_to_horizon_deg": math.degrees(slow.angle - at.body.incidence - slow.path),
                    "sink_ft_min": feet_a_minute(slow.sink),
                    "climb_ft_min": _climb(at, curve, slow),
                    "recover_ft": None
                    if height is None
                    else [
                        units.express(share * height, "ft")
                        for share in (1.0, 1.0 - glide.RECOVERY_BAND, 1.0 + glide.RECOVERY_BAND)
                    ],
                }
            )
    return made


def _climb(at: AtSetting, curve: WingCurve, slow: glide.SlowGlide) -> list[float] | None:
    """Rate of climb at that angle with full throttle, and its band [ft/min]."""
    if at.propeller is None:
        return None
    thrust = thrust_at(at.propeller, speed=slow.speed, density=at.body.density)
    rates = [
        power_on.climb_rate(
            curve,
            at.body,
            angle=slow.angle,
            speed=slow.speed,
            thrust=share * thrust,
            line=at.propeller.line,
        )
        for share in (1.0, 1.0 - THRUST_BAND, 1.0 + THRUST_BAND)
    ]
    return None if any(r is None for r in rates) else [feet_a_minute(r) for r in rates if r is not None]
