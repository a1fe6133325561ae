"""What the undercarriage and the view over the nose allow: approach, touchdown, and where vanes are felt."""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight.air import GRAVITY
from slowflight.compare.attitude import ANGLE_BAND
from slowflight.flight_state.curve import WingCurve
from slowflight.units import express, format_angle

APPROACH = 1.3  # approach speed over stall speed (common practice, no source)
FELT = 0.514  # difference of speed that careful flights can show [m/s]: 1 kt (common practice, no source)
WING, GEAR = "the wing stalls", "the gear is on the ground"
TAIL = "the tail skid is on the ground"
CLOSE = "wing or gear: too close to tell"


@dataclass(frozen=True, kw_only=True)
class Touchdown:
    """A touchdown on all wheels, path held level just above the ground.

    Parameters
    ----------
    angle : float
        Of the wing when it touches: on three wheels, or its stall where that comes first [rad].
    speed : float
        True [m/s].
    limit : str
        What ends the flare.
    """

    angle: float
    speed: float
    limit: str


def speed_at(curve: WingCurve, *, angle: float, mass: float, area: float, density: float) -> float | None:
    """True airspeed of steady flight at a wing angle [m/s]; ``None`` without lift there."""
    cl = curve.lift(angle)
    if cl is None or cl <= 0.0:
        return None
    return math.sqrt(2.0 * mass * GRAVITY / (density * area * cl))


def touchdown(
    near: WingCurve, free: WingCurve, *, on_wheels: float, mass: float, area: float, density: float
) -> Touchdown | None:
    """Find the slowest touchdown that the attitude on the wheels permits.

    Parameters
    ----------
    near, free : WingCurve
        Close to the ground at that attitude, and far from it; the same twice where the height is not known.
    on_wheels : float
        Wing angle standing on all wheels, or with the tail skid on the ground [rad].
    mass, area, density : float
        [kg], [m2], [kg/m3].

    Returns
    -------
    Touchdown or None
        ``None`` without an answer at that angle.

    Notes
    -----
    Where the two angles are closer than a predicted stall angle is known, what ends the flare cannot be told.
    The ground raises lift at a given attitude; that is used below the stall. Its largest lift is not credited
    above that of free air.
    """
    limit, angle = (GEAR, on_wheels) if on_wheels < near.stall_angle else (WING, near.stall_angle)
    cl = near.cl_max if limit == WING else near.lift(angle)
    if cl is None or cl <= 0.0:
        return None
    if abs(on_wheels - near.stall_angle) <= ANGLE_BAND:
        limit = CLOSE
    cl = min(cl, free.cl_max)
    return Touchdown(angle=angle, speed=math.sqrt(2.0 * mass * GRAVITY / (density * area * cl)), limit=limit)


def felt_from(
    clean: WingCurve, vanes: WingCurve, *, mass: float, area: float, density: float
) -> float | None:
    """Smallest wing angle from which on vanes change the speed by a knot or more [rad]; ``None``: nowhere.

    Speeds at the same angle are compared, upward from the clean wing's half of its largest lift.
    """
    low = clean.angle_of(0.5 * clean.cl_max)
    if low is None:
        return None
    for angle in (float(a) for a in vanes.angles if a >= low):
        with_them = speed_at(vanes, angle=angle, mass=mass, area=area, density=density)
        without = speed_at(clean, angle=min(angle, clean.stall_angle), mass=mass, area=area, density=density)
        if with_them is None or without is None:
            continue
        if without - with_them >= FELT:
            return angle
    return None


def below_this_attitude(
    felt: float | None,
    *,
    on_wheels: float,
    incidence: float,
    speed: float | None,
    standing: str = "on all wheels",
) -> str:
    """Say in one sentence from what attitude on vanes can be felt at all.

    Parameters
    ----------
    felt : float or None
        As `felt_from` gives it [rad].
    on_wheels, incidence : float
        Wing angle standing, and root chord line above the fuselage datum [rad].
    speed : float or None
        Calibrated, at that angle, clean [m/s].
    standing : str
        How it stands there, in words.
    """
    if felt is None:
        return (
            "At no attitude do vanes change the speed by a knot: predicted, they change nothing you can"
            " measure."
        )
    knots = "" if speed is None else f" (slower than about {express(speed, 'kt'):.0f} kt)"
    stands = format_angle(on_wheels - incidence, "deg")
    nose = format_angle(felt - incidence, "deg")
    said = (
        "Below this attitude vanes change nothing you can measure: the fuselage at"
        f" {nose} to the flight path{knots}. {standing.capitalize()} it stands at {stands}"
    )
    if on_wheels < felt:
        return (
            f"{said}, so predicted, a touchdown {standing} is as fast with vanes as without; what they add"
            " is there only aloft."
        )
    return f"{said}, above that, so a touchdown {standing} can use some of what they add."


def sees_the_spot_up_to(*, over_the_nose: float, incidence: float) -> float:
    """Largest wing angle at which the place where the path meets the ground is seen over the nose [rad].

    Notes
    -----
    The place an aircraft is flying at lies along its path, a wing angle less the incidence below the datum,
    and is hidden once that is more than the line of sight over the nose. Wind and descent make no difference
    to it.
    """
    return over_the_nose + incidence
