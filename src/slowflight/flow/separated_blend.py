"""Past the last answer: a section whose upper side has let go, carried on as a plate with dead air behind it.

A plate at an angle a to the stream with air at rest behind it has the normal force coefficient
2 pi sin a / (4 + pi sin a) where the dead air has the pressure of the stream (Rayleigh 1876; Lamb 1932,
section 77). Real dead air sucks, which raises the force by a factor that goes with its pressure. That factor
is taken from the last answer itself, so the blend begins there, and is held for the drag. Lift is not let
rise above that of the last answer: computed branches of fully separated air still fall there or stay level
(own choice, on the safe side). The plate lies from the nose to the aftmost trailing edge. No computation of
the flow stands behind these values.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from slowflight.flow.solution import FlowPoint

SOURCES = ("Rayleigh1876", "Lamb1932")
FARTHEST = 10.0  # past the last answer [deg], own choice
HIGHEST = 30.0  # angle of attack [deg], own choice: beyond, no wing is flown on purpose
OFF_FROM = 0.5  # the air must have let go from ahead of this, through the trailing edge [chords], own choice
FACTOR = (1.0, 3.5)  # dead air from the pressure of the stream to 2.5 dynamic pressures below, own choice


def plate_normal_force(angle: float) -> float:
    """Normal force coefficient of a plate with dead air at the stream's pressure behind it.

    Parameters
    ----------
    angle : float
        To the stream [rad], 0 to pi/2.

    Returns
    -------
    float
        0.880 for a plate square to the stream.
    """
    return 2.0 * math.pi * math.sin(angle) / (4.0 + math.pi * math.sin(angle))


def _last_answer(points: Sequence[FlowPoint]) -> FlowPoint | None:
    """The last answered point, if lift has been larger before and its upper side has let go."""
    answered = [p for p in points if p.converged]
    if not answered:
        return None
    last = max(answered, key=lambda p: p.alpha_deg)
    off = last.separation_upper
    gone = off is not None and off <= OFF_FROM
    most = max(p.cl or 0.0 for p in answered)
    return last if gone and (last.cl or 0.0) < most else None


def with_blend(points: Sequence[FlowPoint], *, tail: tuple[float, float]) -> list[FlowPoint]:
    """Fill angles past the last answer from the plate, marked extrapolated and blended.

    Parameters
    ----------
    points : sequence of FlowPoint
    tail : tuple of float
        Place of the aftmost trailing edge in the section's axes, x and y [chords].

    Returns
    -------
    list of FlowPoint
        What cannot be filled stays without an answer and says why.
    """
    last = _last_answer(points)
    if last is None or last.cl is None or last.cd is None:
        return list(points)
    tilt = -math.atan2(tail[1], tail[0])
    begin = math.radians(last.alpha_deg) + tilt
    if not 0.0 < begin < 0.5 * math.pi:
        return list(points)
    normal = plate_normal_force(begin)
    factor = last.cl / (normal * math.cos(begin))
    suction = factor / math.hypot(*tail)  # the plate is as long as section and flap together
    drag = last.cd / (normal * math.sin(begin))
    filled = []
    for p in points:
        if p.converged or p.alpha_deg <= last.alpha_deg:
            filled.append(p)
            continue
        angle = math.radians(p.alpha_deg) + tilt
        if not FACTOR[0] <= suction <= FACTOR[1]:
            why = "no blend either: lift of the last answer is not that of a plate with dead air behind it"
            filled.append(replace(p, warnings=(*p.warnings, why)))
        elif p.alpha_deg > min(last.alpha_deg + FARTHEST, HIGHEST):
            why = f"no blend either: more than {FARTHEST:g} degrees past the last answer, or past {HIGHEST:g}"
            filled.append(replace(p, warnings=(*p.warnings, why)))
        else:
            force = plate_normal_force(angle)
            said = (
                f"blended: not computed, but carried on from the answer at {last.alpha_deg:g} deg as a plate"
                f" with dead air behind it ({suction:.2f} times its free-streamline force there; lift no"
                " higher than there)"
            )
            filled.append(
                replace(
                    p,
                    cl=min(last.cl, factor * force * math.cos(angle)),
                    cd=drag * force * math.sin(angle),
                    extrapolated=True,
                    blended=True,
                    warnings=(said, *p.warnings),
                )
            )
    return filled
