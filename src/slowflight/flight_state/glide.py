"""Idle glides: what the rest of the aircraft drags, what idling does, how fast it sinks when slow."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.air import GRAVITY
from slowflight.errors import RangeError
from slowflight.flight_state.curve import WingCurve
from slowflight.flight_state.power_on import Body, stall_speed_with_thrust
from slowflight.wing.in_the_air import Glide

SAME_SPEED = 0.03  # two glides count as one speed within this share
# Of a recovery, all own choices: seconds until the nose goes down, how steeply it goes down, to what speed
# over the stall speed, and how hard it is pulled level there.
REACTION, DIVE, REGAINED, PULL = 1.0, math.radians(20.0), 1.3, 1.2
RECOVERY_BAND = 0.5  # share of the height, either way (own choice)


def extra_drag_area(glides: Sequence[Glide], curve: WingCurve, *, body: Body) -> float | None:
    """Find the drag area of all that is not wing from steady glides [m2].

    Parameters
    ----------
    glides : sequence of Glide
        At the body's mass and density, flaps as on the curve.
    curve : WingCurve
    body : Body
        Its own extra drag plays no part.

    Returns
    -------
    float or None
        The mean over the glides; the idling propeller's own pull or drag is in it. ``None`` where no glide
        lies on the curve.

    Raises
    ------
    RangeError
        Where the wing alone would sink faster than the aircraft did.

    Notes
    -----
    ``sin g = sink / V``; ``D = W sin g``, ``L = W cos g``.
    """
    found = []
    for glide in glides:
        steep = glide.sink / glide.speed
        pressure = 0.5 * body.density * glide.speed**2
        angle = curve.angle_of(body.weight * math.sqrt(1.0 - steep**2) / (pressure * body.area))
        cd = None if angle is None else curve.drag(angle)
        if cd is not None:
            found.append(body.weight * steep / pressure - body.area * cd)
    if not found:
        return None
    area = float(np.mean(found))
    if area <= 0.0:
        raise RangeError(
            where="in_the_air glides", found="less drag than the wing alone has",
            needed="true airspeeds and rates of sink that belong together",
            fix="check units, and that the engine idled",
        )  # fmt: skip
    return area


@dataclass(frozen=True, kw_only=True)
class Idling:
    """What a faster idle does.

    Parameters
    ----------
    slow, fast : float
        Turns a second [1/s].
    thrust : float
        Of the faster idle over the slower [N].
    stall_change : float
        Of the stall speed, true, faster idle less slower [m/s].
    """

    slow: float
    fast: float
    thrust: float
    stall_change: float


def idling(glides: Sequence[Glide], curve: WingCurve, *, body: Body, line: float = 0.0) -> Idling | None:
    """Compare two glides at one speed and different revolutions; ``None`` without such a pair.

    Notes
    -----
    One speed is one drag, so the thrusts differ by ``W (sin g1 - sin g2)``. At the stall the same difference
    is taken, though thrust at fixed revolutions grows as speed falls: the true change is rather larger. The
    curve may be that of another flap setting or with a row: the glides only say what the engine does.
    """
    pairs = [
        (a, b)
        for a in glides
        for b in glides
        if a.turns < b.turns and abs(a.speed / b.speed - 1.0) <= SAME_SPEED
    ]
    if not pairs:
        return None
    slow, fast = max(pairs, key=lambda pair: pair[1].turns - pair[0].turns)
    thrust = body.weight * (slow.sink / slow.speed - fast.sink / fast.speed)
    speeds = [
        stall_speed_with_thrust(
            mass=body.mass,
            area=body.area,
            density=body.density,
            cl_max=curve.cl_max,
            thrust=t,
            above_path=curve.stall_angle - body.incidence + line,
        )
        for t in (0.0, thrust)
    ]
    return Idling(slow=slow.turns, fast=fast.turns, thrust=thrust, stall_change=speeds[1] - speeds[0])


@dataclass(frozen=True, kw_only=True)
class SlowGlide:
    """A steady idle descent at some angle: true speed [m/s], sink [m/s], path below level [rad]."""

    angle: float
    speed: float
    sink: float
    path: float


def glide_at(curve: WingCurve, body: Body, *, angle: float) -> SlowGlide | None:
    """Find the steady idle glide at a wing angle; ``None`` without an answer there.

    Notes
    -----
    ``tan g = CD / CL``, ``V^2 = 2 W cos g / (rho S CL)``, drag of the rest included.
    """
    cl, cd = curve.lift(angle), curve.drag(angle)
    if cl is None or cd is None or cl <= 0.0:
        return None
    path = math.atan((cd + body.extra_drag / body.area) / cl)
    speed = math.sqrt(2.0 * body.weight * math.cos(path) / (body.density * body.area * cl))
    return SlowGlide(angle=angle, speed=speed, sink=speed * math.sin(path), path=path)


def height_to_recover(curve: WingCurve, body: Body) -> float | None:
    """Estimate the height lost from a stall in an idle descent until level at 1.3 times that speed [m].

    Parameters
    ----------
    curve : WingCurve
    body : Body

    Returns
    -------
    float or None
        Without power, wings kept level. Half as much or half as much again is possible, and far more where a
        wing drops. ``None`` without an answer at the stall.

    Notes
    -----
    Ours, an energy balance: one second of sinking on; then a dive at 20 degrees in which height turns into
    speed, ``(V2^2 - V1^2) / (2 g)``, and into drag, ``D / (W sin 20 deg)`` of the height; then level by a
    pull of 1.2 g on a circle, ``V^2 (1 - cos 20 deg) / (g (1.2 - cos 20 deg))``. All four numbers are own
    choices.
    """
    stalled = glide_at(curve, body, angle=curve.stall_angle)
    if stalled is None:
        return None
    first = stalled.speed
    last = REGAINED * first
    pressure = 0.25 * body.density * (first**2 + last**2)
    angle = curve.angle_of(body.weight * math.cos(DIVE) / (pressure * body.area))
    cd = None if angle is None else curve.drag(angle)
    drag = pressure * (body.area * (0.0 if cd is None else cd) + body.extra_drag)
    kept = max(0.25, 1.0 - drag / (body.weight * math.sin(DIVE)))
    dived = (last**2 - first**2) / (2.0 * GRAVITY) / kept
    leveled = last**2 * (1.0 - math.cos(DIVE)) / (GRAVITY * (PULL - math.cos(DIVE)))
    return REACTION * stalled.sink + dived + leveled
