"""The slowest steady flight with the engine pulling, behind the power curve; idle is the reference."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.air import GRAVITY
from slowflight.errors import RangeError
from slowflight.flight_state.curve import WingCurve
from slowflight.flight_state.propeller import Propeller, thrust_at

WING, THRUST = "the wing stalls", "the engine has no more to give"
# Of the rise of pressure in the slipstream that the wing feels: half at the disc, all of it far behind.
CONTRACTION = (0.5, 0.75, 1.0)


@dataclass(frozen=True, kw_only=True)
class Body:
    """What flies, as far as balance of forces goes.

    Parameters
    ----------
    mass : float
        [kg].
    area : float
        Of the wing [m2].
    density : float
        Of the air [kg/m3].
    extra_drag : float
        Drag area of all but the wing [m2].
    incidence : float
        Root chord line above the fuselage datum [rad].
    immersed : float
        Wing area within the propeller's diameter [m2].
    """

    mass: float
    area: float
    density: float
    extra_drag: float
    incidence: float
    immersed: float = 0.0

    @property
    def weight(self) -> float:
        """[N]."""
        return self.mass * GRAVITY


@dataclass(frozen=True, kw_only=True)
class Steady:
    """One steady state: wing angle [rad], true airspeed [m/s], thrust [N], what ends it."""

    angle: float
    speed: float
    thrust: float
    limit: str


def stall_speed_with_thrust(
    *, mass: float, area: float, density: float, cl_max: float, thrust: float, above_path: float
) -> float:
    """Return the stall speed of a wing relieved by thrust, without slipstream [m/s].

    Parameters
    ----------
    mass, area, density : float
        [kg], [m2], [kg/m3].
    cl_max : float
        Of the wing [-].
    thrust : float
        [N]; below zero for a propeller that brakes.
    above_path : float
        Of the thrust line over the flight path [rad].

    Returns
    -------
    float

    Raises
    ------
    RangeError
        Where thrust carries the whole weight.

    Notes
    -----
    ``V = sqrt(2 (W - T sin a) / (rho S CLmax))``: vertical balance of level flight.

    Examples
    --------
    >>> share = [
    ...     stall_speed_with_thrust(
    ...         mass=500.0, area=12.0, density=1.225, cl_max=1.6, thrust=t, above_path=math.radians(20.0)
    ...     )
    ...     for t in (0.0, 0.3 * 500.0 * GRAVITY)
    ... ]
    >>> round(100.0 * (share[1] / share[0] - 1.0), 1)
    -5.3
    """
    carried = mass * GRAVITY - thrust * math.sin(above_path)
    if carried <= 0.0:
        raise RangeError(where="thrust", found=f"{thrust:g} N", needed="less than carries the weight")
    return math.sqrt(2.0 * carried / (density * area * cl_max))


def level_at(
    curve: WingCurve,
    body: Body,
    *,
    angle: float,
    line: float,
    disc: float,
    contraction: float,
    blown: WingCurve | None = None,
) -> tuple[float, float] | None:
    """Find speed and thrust of steady level flight at a wing angle.

    Parameters
    ----------
    curve : WingCurve
    body : Body
    angle : float
        Wing angle [rad].
    line : float
        Thrust line above the fuselage datum [rad].
    disc : float
        Area the propeller sweeps [m2].
    contraction : float
        Share of the developed slipstream's pressure that the wing feels [-].
    blown : WingCurve, optional
        The wing with its layers turbulent from the nose, as under a slipstream; the curve itself by default.

    Returns
    -------
    tuple of (float, float) or None
        True airspeed [m/s] and thrust [N]; ``None`` where there is no such flight.

    Notes
    -----
    Along and across the path, slipstream ``q_s = q + k T / A`` over the immersed area ``S_i``:

        S CL q       + (k S_i / A CL + sin a) T = W
        (S CD + f) q + (k S_i / A CD0 - cos a) T = 0

    two straight equations in q and T, solved at once. Sections under the slipstream lift as elsewhere at that
    angle; the swirl is left out.
    """
    cl, cd = curve.lift(angle), curve.drag(angle)
    if cl is None or cd is None:
        return None
    under = curve if blown is None else blown
    own = float(np.interp(angle, under.angles, under.cd_profile))
    lifted = under.lift(angle)
    above = angle - body.incidence + line
    share = contraction * body.immersed / disc
    a, b = body.area * cl, share * (cl if lifted is None else lifted) + math.sin(above)
    c, d = body.area * cd + body.extra_drag, share * own - math.cos(above)
    whole = a * d - b * c
    if abs(whole) < 1e-9:
        return None
    pressure, thrust = body.weight * d / whole, -body.weight * c / whole
    if pressure <= 0.0 or thrust < 0.0:
        return None
    return math.sqrt(2.0 * pressure / body.density), thrust


def slowest_level(
    curve: WingCurve,
    body: Body,
    propeller: Propeller,
    *,
    contraction: float = CONTRACTION[1],
    blown: WingCurve | None = None,
) -> Steady | None:
    """Find the slowest steady level flight with the engine pulling.

    Returns
    -------
    Steady or None
        ``None`` where the engine cannot hold level flight at any angle.

    Notes
    -----
    Angles up to the stall with power off; that the slipstream delays the stall of what it covers is not
    credited.
    """
    angles = [float(a) for a in curve.angles if 0.0 < a < curve.stall_angle] + [curve.stall_angle]
    best: Steady | None = None
    missed = False
    for angle in angles:
        found = level_at(
            curve,
            body,
            angle=angle,
            line=propeller.line,
            disc=propeller.disc,
            contraction=contraction,
            blown=blown,
        )
        if found is None:
            continue
        speed, thrust = found
        if thrust > thrust_at(propeller, speed=speed, density=body.density):
            missed = True
            continue
        missed = False
        if best is None or speed < best.speed:
            best = Steady(angle=angle, speed=speed, thrust=thrust, limit=WING)
    if best is not None and missed:
        return Steady(angle=best.angle, speed=best.speed, thrust=best.thrust, limit=THRUST)
    return best


def full_throttle_stall(
    curve: WingCurve, body: Body, propeller: Propeller, *, contraction: float = CONTRACTION[1]
) -> Steady:
    """Find the speed at which the wing stalls with full throttle, in a straight climb or still slowing down.

    Notes
    -----
    ``q S CL + k T S_i CL / A + T sin a = W`` at the stall angle, with the thrust of that speed; the climb's
    own slope is left out, which makes it a little too fast. No drag is needed.
    """
    angle, cl = curve.stall_angle, curve.cl_max
    above = angle - body.incidence + propeller.line
    carried = contraction * body.immersed / propeller.disc * cl + math.sin(above)
    low, high = 0.0, math.sqrt(2.0 * body.weight / (body.density * body.area * cl))
    for _ in range(40):
        speed = 0.5 * (low + high)
        thrust = thrust_at(propeller, speed=speed, density=body.density)
        lifts = 0.5 * body.density * speed**2 * body.area * cl + thrust * carried
        low, high = (speed, high) if lifts < body.weight else (low, speed)
    speed = 0.5 * (low + high)
    return Steady(
        angle=angle,
        speed=speed,
        thrust=thrust_at(propeller, speed=speed, density=body.density),
        limit=WING,
    )


def climb_rate(
    curve: WingCurve, body: Body, *, angle: float, speed: float, thrust: float, line: float
) -> float | None:
    """Return the rate of climb with some thrust at an angle and a speed [m/s], sinking below zero.

    Notes
    -----
    ``(T cos a - D) V / W``: what is left of thrust along the path, for shallow paths.
    """
    cd = curve.drag(angle)
    if cd is None:
        return None
    drag = 0.5 * body.density * speed**2 * (body.area * cd + body.extra_drag)
    return (thrust * math.cos(angle - body.incidence + line) - drag) * speed / body.weight
