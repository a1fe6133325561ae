"""Lift and drag of a wing through stall, from the curves of its sections."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from slowflight import units
from slowflight.errors import InputError
from slowflight.flow.lifting_line import induced, jumps, section_curve
from slowflight.flow.lifting_line.agreement import Agreement, Seen, evened, has_rivals, plain
from slowflight.flow.lifting_line.followed import attached, first_at_peak
from slowflight.flow.lifting_line.ground import SOURCES as GROUND_SOURCES
from slowflight.flow.lifting_line.ground import over_ground
from slowflight.flow.lifting_line.strip_curves import StripCurves, strip_curves
from slowflight.flow.lifting_line.strips import SpanCurve, Strips, stretch_of_each, strips_of
from slowflight.flow.lifting_line.through_stall import (
    FARTHEST_ANGLE,
    ThroughStall,
    extended,
    follow_all,
    held,
    highest_lift,
    mean_over_wing,
    on_curves,
    wing_lift_of,
)
from slowflight.flow.lifting_line.wing_result import WingLift
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

SOURCES = ("SivellsNeely1947", *induced.SOURCES, *section_curve.SOURCES)
FEWEST_STRIPS = 8
# Lengths over which the loss of lift is evened out, tried in this order until the wing's lift is followed
# through its maximum [local chords]. Ours: on the sections tried, doubling the first moves the maximum of a
# wing alike all along by less than 1 %; the last is long enough to hide where stall starts.
SMOOTHING = (0.1, 0.2, 0.4, 0.8)


def wing_lift(
    wing: Wing,
    *,
    curve_at: Sequence[SpanCurve],
    angles: FloatArray,
    points: int = 64,
    smoothing: float | None = None,
    ground_height: float | None = None,
    dihedral: float = 0.0,
) -> WingLift:
    """Compute a wing's lift and drag over a range of angles, and its maximum lift in two ways.

    Parameters
    ----------
    wing : Wing
        Straight and unswept. Its washout turns the sections; its incidence on the fuselage plays no part.
    curve_at : sequence of SpanCurve
        Section curves of each stretch from the centerline to the tip; a row of vanes over part of the span is
        a stretch of its own.
    angles : FloatArray
        Wing angles, between the root's chord line and the flight path [rad], any order, shape (a,).
    points : int
        Strips on the half-span [-], at least 8.
    smoothing : float, optional
        Length over which the loss of lift by separation is evened out along the span [local chords], 0 to 1;
        by default the first of 0.1, 0.2, 0.4 and 0.8 with which lift is followed through its maximum. Wings
        to be compared should have the same.
    ground_height : float, optional
        Of the quarter-chord at the centerline over level ground [m]; without it the wing flies free of it.
    dihedral : float
        By which each half rises outward [rad]; it counts in the height above the ground.

    Returns
    -------
    WingLift

    Raises
    ------
    InputError
        Where the stretches do not cover the half-span, an angle is not finite or beyond 60 degrees, there are
        too few strips, or the curves have no attached range in common.

    Notes
    -----
    Method: nonlinear lifting line of Sivells and Neely (1947) on Multhopp's points, solved by Newton's method
    in steps of 0.25 degrees at most. Departures from the paper: symmetric loading only; where section curves
    fall, theory alone has many answers, and the one given evens out the loss of lift along the span
    (``agreement.evened``). The maximum by the first strip to reach its section's maximum is of the theory
    without that. At ends of flaps and rows the induced angle is corrected for its jump, as NACA TR 1090
    (``SivellsWestrick1952``) does, here from the exact loading of a jump (``jumps``).

    Valid for aspect ratios above about 4, one wing: no fuselage, struts or propeller; induced angles are
    taken as small. Past maximum lift the flow along the span is three-dimensional and the answer a
    trend.
    """
    wanted = np.asarray(angles, dtype=np.float64)
    if wanted.ndim != 1 or not np.all(np.isfinite(wanted)) or np.any(np.abs(wanted) > FARTHEST_ANGLE):
        raise InputError(
            where="wing angles", found="one that is not finite or beyond 60 degrees",
            needed="a row of angles in radians from -60 to 60 degrees",
        )  # fmt: skip
    if smoothing is not None and not 0.0 <= smoothing <= 1.0:
        raise InputError(where="smoothing", found=f"{smoothing:g}", needed="0 to 1 local chords")
    if points < FEWEST_STRIPS:
        raise InputError(
            where="strips on the half-span", found=str(points), needed=f"{FEWEST_STRIPS} or more"
        )
    strips = strips_of(wing, points=points)
    curves = strip_curves(stretch_of_each(curve_at, y=strips.y, semi_span=wing.semi_span))
    found = jumps.jumps_between(curve_at)
    more: tuple[str, ...] = ()
    if found:
        curves, more = replace(curves, jumped=jumps.corrected(strips, found)), jumps.SOURCES
    if ground_height is not None:
        strips = replace(strips, air=over_ground(strips, height=ground_height, dihedral=dihedral))
        more += GROUND_SOURCES
    lift = wing_lift_of_strips(strips, curves, wanted, smoothing=smoothing)
    return replace(lift, sources=(*lift.sources, *more))


def wing_lift_of_strips(
    strips: Strips, curves: StripCurves, angles: FloatArray, *, smoothing: float | None = None
) -> WingLift:
    """As `wing_lift`, for strips of any planform."""
    rising = plain(strips, curves.never_falling())
    start = attached(rising)
    if start is None:
        raise InputError(
            where="section curves", found="no angle at which all sections fly attached",
            needed="curves that share a range between their lowest angle and their maximum",
            fix="compute the sections from lower angles on",
        )  # fmt: skip

    def allowed(seen: Seen) -> bool:
        return on_curves(strips, curves, seen)

    first = first_at_peak(rising, start, allowed=allowed)
    for length in SMOOTHING if smoothing is None else (smoothing,):
        system = evened(strips, curves, length=length)
        followed = follow_all(system, angles, allowed=allowed)
        top = highest_lift(system, followed.path)
        if top is not None or followed.settled:
            break
    warnings = _warnings(strips, curves, angles, followed, first, top, length)
    return WingLift(
        angles=angles,
        y=strips.y,
        **_coefficients(system, [followed.found.get(float(angle)) for angle in angles]),
        beyond_curves=np.array([float(angle) in followed.beyond for angle in angles], dtype=np.bool_),
        cl_max_first_station=None if first is None else wing_lift_of(rising, first[0]),
        angle_first_station=None if first is None else first[0].wing_angle,
        y_first_station=None if first is None else float(strips.y[first[1]]),
        cl_max_continued=None if top is None else top[1],
        angle_continued=None if top is None else top[0],
        smoothing=length,
        warnings=warnings,
        sources=SOURCES,
    )


def _coefficients(system: Agreement, answers: Sequence[Seen | None]) -> dict[str, Any]:
    """What a ``WingLift`` holds for each angle, by field."""
    strips, curves = system.strips, system.curves
    shape = (len(answers), strips.y.size)
    seen, local = np.full(shape, np.nan), np.full(shape, np.nan)
    lift, induced_drag, profile_drag = (np.full(len(answers), np.nan) for _ in range(3))
    stalled, drawn_on, past_end = (np.full(len(answers), np.nan) for _ in range(3))
    several = np.zeros(len(answers), dtype=np.bool_)
    for k, answer in enumerate(answers):
        if answer is None:
            continue
        seen[k] = answer.angles + system.spread @ answer.angles
        local[k] = system.local_lift(answer.angles)
        lift[k] = mean_over_wing(strips, local[k])
        induced_drag[k] = mean_over_wing(strips, local[k] * system.induced_angle(local[k]))
        profile_drag[k] = mean_over_wing(strips, curves.drag.at(answer.angles)[0])
        stalled[k] = min(float(np.sum(strips.share[answer.angles > curves.peak_angle])), 1.0)
        drawn_on[k] = extended(strips, curves, answer)
        past_end[k] = held(strips, curves, answer)
        several[k] = has_rivals(strips, curves.lift.at(answer.angles)[1])
    return {
        "cl": lift,
        "cd_induced": induced_drag,
        "cd_profile": profile_drag,
        "effective_angles": seen,
        "local_cl": local,
        "stalled_share": stalled,
        "extended_share": drawn_on,
        "held_share": past_end,
        "several_answers": several,
        "converged": np.array([answer is not None for answer in answers], dtype=np.bool_),
    }


def _warnings(
    strips: Strips,
    curves: StripCurves,
    angles: FloatArray,
    followed: ThroughStall,
    first: tuple[Seen, int] | None,
    top: tuple[float, float] | None,
    length: float,
) -> tuple[str, ...]:
    found = []
    if first is None:
        found.append(
            "no strip reaches the maximum of its section within the section curves: "
            "maximum lift by the first strip is not yet predicted"
        )
    if top is None:
        found.append(
            "lift of the wing is not followed through its maximum within the section curves: "
            "maximum lift of the whole wing is not yet predicted"
        )
    if length > SMOOTHING[0]:
        found.append(
            f"stall so abrupt that the loss of lift had to be evened out over {length:.1f} chords along the "
            "span: where it starts and how it spreads is less sure, and so is maximum lift"
        )
    beyond = sorted(followed.beyond)
    if beyond:
        found.append(
            f"no answer at {len(beyond)} of {angles.size} wing angles "
            f"({_degrees(beyond[0])} to {_degrees(beyond[-1])}): "
            "too much of the span would be beyond the ends of its section curves"
        )
    lost = [float(a) for a in angles if float(a) not in followed.found and float(a) not in followed.beyond]
    if lost:
        found.append(
            f"no answer at {len(lost)} of {angles.size} wing angles "
            f"({_degrees(min(lost))} to {_degrees(max(lost))}): the strips do not settle"
        )
    answers = [*followed.found.values(), *([] if first is None else [first[0]])]
    drawn_on = max((extended(strips, curves, seen) for seen in answers), default=0.0)
    if drawn_on > 0.0:
        found.append(
            f"next to the tip, over {100.0 * drawn_on:.1f} % of the semi-span at most, section curves were "
            "drawn on straight below their lowest angle"
        )
    if top is not None:
        # the step of the path next to the maximum, for the maximum itself lies between steps
        highest = min(followed.path, key=lambda seen: abs(seen.wing_angle - top[0]))
        deep = held(strips, curves, highest)
        if deep > 0.0:
            found.append(
                f"at maximum lift {100.0 * deep:.0f} % of the semi-span is stalled beyond the end of its "
                "section curve; its lift was held as it is there"
            )
    return tuple(found)


def _degrees(angle: float) -> str:
    return units.format_angle(angle, "deg")
