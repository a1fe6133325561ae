"""The wing whose sections all have one straight lift curve: what linear lifting-line theory says."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.flow.lifting_line.agreement import air_of
from slowflight.flow.lifting_line.strips import Strips, strips_of
from slowflight.flow.solution import FloatArray
from slowflight.wing.planform import Wing

SOURCES = ("Glauert1926", "Multhopp1938")


@dataclass(frozen=True, eq=False, kw_only=True)
class LinearLift:
    """Basic figures of a wing in attached flow.

    Parameters
    ----------
    slope : float
        Of wing lift against wing angle [1/rad].
    lift_at_zero : float
        Wing lift where the root is at its angle of no lift [-]; zero without washout.
    span_efficiency : float
        ``CL^2 / (pi AR CDi)`` of the loading by wing angle alone, washout left out [-].
    largest_local : float
        Largest local lift coefficient over the wing's, of the same loading [-].
    largest_at : float
        Where that is, from the centerline [m].
    y, induced_angle, local_cl : FloatArray
        Strips from the tip to the centerline [m]; induced angle [rad] and local lift [-] per radian of wing
        angle, shape (s,).
    """

    slope: float
    lift_at_zero: float
    span_efficiency: float
    largest_local: float
    largest_at: float
    y: FloatArray
    induced_angle: FloatArray
    local_cl: FloatArray


def linear_lift(wing: Wing, *, section_slope: float = 2.0 * math.pi, points: int = 64) -> LinearLift:
    """Compute a wing's lift with one section slope all along.

    Parameters
    ----------
    wing : Wing
        Its washout is used; its sections' zero-lift angles are taken as alike.
    section_slope : float
        [1/rad].
    points : int
        Strips on the half-span [-].

    Returns
    -------
    LinearLift

    Notes
    -----
    Glauert's equation at Multhopp's points. Straight, unswept wings of aspect ratio above about 4.
    """
    return linear_lift_of_strips(strips_of(wing, points=points), section_slope=section_slope)


def linear_lift_of_strips(strips: Strips, *, section_slope: float) -> LinearLift:
    """As `linear_lift`, for strips of any planform."""
    air = air_of(strips)
    per_lift = strips.chord / (2.0 * strips.span)
    # what each strip sees for one radian at the wing, and for the washout
    system = np.eye(strips.y.size) + air * (per_lift * section_slope)[None, :]
    seen = np.linalg.solve(system, np.column_stack([np.ones_like(strips.y), -strips.washout]))
    local, washed = section_slope * seen.T
    to_wing = strips.share * strips.chord * strips.span / strips.area
    slope = float(to_wing @ local)
    induced = air @ (per_lift * local)
    aspect_ratio = strips.span**2 / strips.area
    largest = int(np.argmax(local))
    return LinearLift(
        slope=slope,
        lift_at_zero=float(to_wing @ washed),
        span_efficiency=slope**2 / (math.pi * aspect_ratio * float(to_wing @ (local * induced))),
        largest_local=float(local[largest]) / slope,
        largest_at=float(strips.y[largest]),
        y=strips.y,
        induced_angle=induced,
        local_cl=local,
    )
