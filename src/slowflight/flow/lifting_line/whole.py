"""The whole wing, its halves not alike: roll, a roll input, a row that lacks a vane on one side."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slowflight.errors import InputError
from slowflight.flow.lifting_line import jumps
from slowflight.flow.lifting_line.agreement import Agreement, Seen, evened
from slowflight.flow.lifting_line.ground import over_ground
from slowflight.flow.lifting_line.induced import downwash_both_halves
from slowflight.flow.lifting_line.strip_curves import StripCurves, strip_curves
from slowflight.flow.lifting_line.strips import SpanCurve, Strips, stretch_of_each
from slowflight.flow.lifting_line.through_stall import (
    follow_all,
    highest_lift,
    mean_over_wing,
    on_curves,
)
from slowflight.flow.lifting_line.wing_result import BoolArray
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

SOURCES = (*jumps.SOURCES, "SwansonPriddy1945")
STRIPS_OF_A_HALF = 40
SMOOTHING = 0.2  # as for predictions of the half-wing [local chords]


@dataclass(frozen=True, eq=False, kw_only=True)
class WholeWing:
    """A wing over a range of angles, its halves free to differ; NaN where there is no answer.

    Parameters
    ----------
    angles : FloatArray
        Root chord line to flight path [rad], shape (a,).
    cl : FloatArray
        [-], shape (a,).
    rolling, yawing : FloatArray
        Moments over dynamic pressure, area and span [-], right wing down and nose right positive, shape (a,).
    y : FloatArray
        Strips, right tip first [m], shape (s,).
    local_cl, effective_angles : FloatArray
        Lift coefficient [-] and angle seen [rad] of each strip, shape (a, s).
    stalled_right, stalled_left : FloatArray
        Share of each half past its sections' maxima [-], shape (a,).
    converged : BoolArray
        Shape (a,).
    cl_max, angle_max : float or None
        Largest lift on the way [-] and its angle [rad]; ``None`` where not bracketed.
    """

    angles: FloatArray
    cl: FloatArray
    rolling: FloatArray
    yawing: FloatArray
    y: FloatArray
    local_cl: FloatArray
    effective_angles: FloatArray
    stalled_right: FloatArray
    stalled_left: FloatArray
    converged: BoolArray
    cl_max: float | None
    angle_max: float | None


def whole_wing(
    wing: Wing,
    *,
    right: Sequence[SpanCurve],
    left: Sequence[SpanCurve] | None = None,
    angles: FloatArray,
    points: int = STRIPS_OF_A_HALF,
    smoothing: float = SMOOTHING,
    roll_rate: float = 0.0,
    sideslip: float = 0.0,
    dihedral: float = 0.0,
    ground_height: float | None = None,
    mended: Callable[[FloatArray, list[tuple[SpanCurve, float]]], list[tuple[SpanCurve, float]]]
    | None = None,
) -> WholeWing:
    """Compute a wing whose halves may differ over a range of angles.

    Parameters
    ----------
    wing : Wing
        Straight and unswept.
    right, left : sequence of SpanCurve
        Section curves from the centerline to each tip; the left half is like the right by default.
    angles : FloatArray
        Wing angles [rad], shape (a,).
    points : int
        Strips on each half, the centerline's counted on both [-].
    smoothing : float
        Length over which the loss of lift is evened out [local chords].
    roll_rate : float
        Rate of roll times half the span over the speed [rad], right wing down positive.
    sideslip, dihedral : float
        Air from the right positive; rise of each half [rad]. On the half that is met first the angle of
        attack grows by their product.
    ground_height : float, optional
        Of the quarter-chord at the centerline over level ground [m].
    mended : callable, optional
        Takes the strips' places [m] and, for each strip, its stretch and the share of the outer curve, and
        returns these with single strips changed.

    Returns
    -------
    WholeWing

    Raises
    ------
    InputError
        Where the stretches do not cover a half or the sections share no attached range.

    Notes
    -----
    As `wing_lift`, without its loading alike on both halves; ends of flaps corrected after NACA TR 1090
    (``jumps``). Lifting-line theory damps roll too much: for an elliptic wing of aspect ratio 6, surface
    theory gives 13 % less (``SwansonPriddy1945``). Moments from a roll input are too large likewise. Past the
    stall the two halves may stall apart even where they are alike, which this answer does not show: it
    follows the one that is alike on both.
    """
    strips = strips_of_both(wing, points=points)
    if ground_height is not None:
        strips = replace(strips, air=over_ground(strips, height=ground_height, dihedral=dihedral))
    tilt = roll_rate * strips.y / wing.semi_span + sideslip * dihedral * np.sign(strips.y)
    strips = replace(strips, washout=strips.washout - tilt)
    curves = curves_of_both(wing, strips, right, left, mended=mended)
    return whole_wing_of_strips(strips, curves, angles, smoothing=smoothing)


def strips_of_both(wing: Wing, *, points: int) -> Strips:
    """Cut both halves of a wing into strips, right tip first."""
    m = 2 * points - 1
    turn = np.arange(1, m + 1) * np.pi / (m + 1)
    y = 0.5 * wing.span * np.cos(turn)
    y[points - 1] = 0.0
    return Strips(
        span=wing.span,
        area=wing.area,
        turn=turn,
        y=y,
        chord=np.array([wing.chord_at(float(place)) for place in y]),
        washout=np.array([wing.washout_at(float(place)) for place in y]),
        share=np.sin(turn) * np.pi / (2.0 * (m + 1)),
        air=downwash_both_halves(points),
        both_halves=True,
    )


def curves_of_both(
    wing: Wing,
    strips: Strips,
    right: Sequence[SpanCurve],
    left: Sequence[SpanCurve] | None = None,
    *,
    mended: Callable[[FloatArray, list[tuple[SpanCurve, float]]], list[tuple[SpanCurve, float]]]
    | None = None,
) -> StripCurves:
    """Give each strip of both halves its curve; parameters and errors as `whole_wing`."""
    n = (strips.y.size + 1) // 2
    on_right = stretch_of_each(right, y=strips.y[:n], semi_span=wing.semi_span)
    on_left = stretch_of_each(right if left is None else left, y=-strips.y[n:], semi_span=wing.semi_span)
    each = [*on_right, *on_left]
    if mended is not None:
        each = mended(strips.y, each)
    jumped = jumps.corrected(strips, jumps.jumps_between(right, left))
    return replace(strip_curves(each), jumped=jumped)


def whole_wing_of_strips(
    strips: Strips, curves: StripCurves, angles: FloatArray, *, smoothing: float = SMOOTHING
) -> WholeWing:
    """As `whole_wing`, for strips of any planform."""
    system = evened(strips, curves, length=smoothing)
    followed = follow_all(
        system, np.asarray(angles, dtype=np.float64), allowed=lambda seen: on_curves(strips, curves, seen)
    )
    if not followed.path:
        raise InputError(
            where="section curves", found="no angle at which all sections fly attached",
            needed="curves that share a range between their lowest angle and their maximum",
        )  # fmt: skip
    top = highest_lift(system, followed.path)
    found = [followed.found.get(float(angle)) for angle in angles]
    told = [_told(system, seen) for seen in found]
    cl, rolling, yawing, stalled_right, stalled_left = np.array([one[:5] for one in told]).T
    return WholeWing(
        angles=np.asarray(angles, dtype=np.float64),
        cl=cl,
        rolling=rolling,
        yawing=yawing,
        y=strips.y,
        local_cl=np.array([one[5] for one in told]),
        effective_angles=np.array([one[6] for one in told]),
        stalled_right=stalled_right,
        stalled_left=stalled_left,
        converged=np.array([seen is not None for seen in found], dtype=np.bool_),
        cl_max=None if top is None else top[1],
        angle_max=None if top is None else top[0],
    )


def _told(
    system: Agreement, seen: Seen | None
) -> tuple[float, float, float, float, float, FloatArray, FloatArray]:
    strips, curves = system.strips, system.curves
    if seen is None:
        nothing = np.full(strips.y.size, np.nan)
        return (np.nan, np.nan, np.nan, np.nan, np.nan, nothing, nothing)
    local = system.local_lift(seen.angles)
    induced = system.induced_angle(local)
    drag = local * induced + curves.drag.at(seen.angles)[0]
    arm = strips.y / strips.span
    past = np.where(seen.angles > curves.peak_angle, 2.0 * strips.share, 0.0)
    return (
        mean_over_wing(strips, local),
        -mean_over_wing(strips, local * arm),
        mean_over_wing(strips, drag * arm),
        float(np.sum(past[strips.y > 0.0])),
        float(np.sum(past[strips.y < 0.0])),
        local,
        seen.angles + system.spread @ seen.angles,
    )
