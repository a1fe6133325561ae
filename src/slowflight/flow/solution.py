"""One frozen result shape that every tier fills.

Angles are in degrees here because a result is what people and files read; lengths are fractions of the
reference chord, speeds fractions of the flight speed. A quantity that could not be computed is ``None``,
never NaN, so that a result written as JSON stays JSON.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]
IndexArray = npt.NDArray[np.int64]


@dataclass(frozen=True)
class SurfaceLayer:
    """The boundary layer on one side of one element (or in its wake), from stagnation downstream.

    Parameters
    ----------
    side : str
        ``"upper"``, ``"lower"`` or ``"wake"``.
    arc : FloatArray
        Arc length from the stagnation point [chords], shape (n,).
    x, y : FloatArray
        Position in the section's own axes [chords], shape (n,).
    pressure_coefficient, edge_speed : FloatArray
        Pressure coefficient and edge speed over flight speed [-], shape (n,).
    displacement_thickness, momentum_thickness : FloatArray
        [chords], shape (n,).
    shape_factor, friction_coefficient : FloatArray
        Shape factor and skin friction over the dynamic pressure of the flight speed [-], shape (n,).
    turbulent_share : FloatArray
        0 where laminar, 1 where turbulent [-], shape (n,).
    """

    side: str
    arc: FloatArray
    x: FloatArray
    y: FloatArray
    pressure_coefficient: FloatArray
    edge_speed: FloatArray
    displacement_thickness: FloatArray
    momentum_thickness: FloatArray
    shape_factor: FloatArray
    friction_coefficient: FloatArray
    turbulent_share: FloatArray


@dataclass(frozen=True)
class SurfaceSummary:
    """Where transition ends the laminar run and where the flow is reversed, on one side.

    Parameters
    ----------
    transition : float or None
        Chordwise station of transition [fraction of chord], ``None`` where the side stays laminar.
    separated : tuple of (float, float)
        Stretches of reversed wall flow, from and to [fraction of chord].
    bubbles : tuple of (float, float)
        Those of them in which air separates while laminar and comes back on.
    """

    transition: float | None
    separated: tuple[tuple[float, float], ...] = ()
    bubbles: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True)
class Stall:
    """How a section stalls.

    Parameters
    ----------
    kind : str
        ``"from the trailing edge"``, ``"from the nose"``, ``"thin-section"`` or ``"mixed"``.
    reason : str
        What says so.
    abrupt : bool
        Whether lift drops at once.
    vane_gain_counts : bool
        False where vanes on the upper skin can do nothing against what ends lift: no gain may be credited.
    """

    kind: str
    reason: str
    abrupt: bool
    vane_gain_counts: bool


@dataclass(frozen=True)
class ElementSummary:
    """Upper and lower side of one element (main, flap, ...)."""

    name: str
    upper: SurfaceSummary
    lower: SurfaceSummary


@dataclass(frozen=True)
class VaneEffect:
    """What one row of vanes meets and does at one angle of attack.

    Parameters
    ----------
    layer_thickness : float
        Of the layer just ahead of the row [chords].
    edge_speed : float
        There, over flight speed [-]; 0 where the row stands ahead of the stagnation point and is left out.
    circulation : float
        One vane sheds, over edge speed and chord [-].
    help_left : float
        Share of its circulation that still mixes: 1 in attached air, 0 where the air has let go or the
        stagnation point has come close [-].
    trip : float
        0 where the vanes leave a laminar layer alone, 1 where they surely make it turbulent [-].
    """

    layer_thickness: float
    edge_speed: float
    circulation: float
    help_left: float
    trip: float


@dataclass(frozen=True)
class ModelAnswer:
    """What another turbulence model gives at an angle; how far apart both are is part of the error.

    Parameters
    ----------
    cl, cd, cm : float or None
        As of a point [-].
    separation_upper : float or None
        As of a point [fraction of chord].
    converged : bool
    """

    cl: float | None
    cd: float | None
    cm: float | None
    separation_upper: float | None
    converged: bool


@dataclass(frozen=True)
class FlowPoint:
    """The flow at one angle of attack.

    Parameters
    ----------
    alpha_deg : float
        Angle of attack [deg].
    cl, cd, cm : float or None
        Lift, drag and quarter-chord moment (nose up positive) coefficients [-]; ``cd`` includes the vanes.
    cd_vanes : float or None
        Estimate of the vanes' own share of ``cd`` [-]: good to about a third in attached flow, worth little
        where the air separates.
    converged : bool
        True where the residual fell below the tier's tolerance.
    residual : float or None
        Largest residual of the last iteration, as the tier defines it [-].
    steady, amplitude : bool, float or None
        False and half the swing of the lift coefficient where only an average exists.
    extrapolated : bool
        True beyond the range in which the tier is valid.
    separation_upper : float or None
        First sustained reversal on the main element's upper side that reaches its trailing edge
        [fraction of chord], else ``None``.
    elements : tuple of ElementSummary
        Main element first.
    warnings : tuple of str
        What the reader has to know about this point.
    seconds : float
        Wall-clock time spent on this point [s].
    layers : mapping of str to tuple of SurfaceLayer
        Distributions by element name; empty where the point failed.
    reynolds : float or None
        It was computed at [-].
    vane_effects : tuple of VaneEffect
        In the order of the rows.
    blended : bool
        True where no flow was computed and lift and drag are carried on from the last answer.
    stalled_cl : float or None
        Lift of the stalled branch at the same angle, where there are two answers [-].
    two_equation : ModelAnswer or None
        By the two-equation turbulence model, where both were asked for.
    """

    alpha_deg: float
    cl: float | None
    cd: float | None
    cd_vanes: float | None
    cm: float | None
    converged: bool
    residual: float | None
    steady: bool
    amplitude: float | None
    extrapolated: bool
    separation_upper: float | None
    elements: tuple[ElementSummary, ...]
    warnings: tuple[str, ...]
    seconds: float
    layers: Mapping[str, tuple[SurfaceLayer, ...]] = field(default_factory=dict, repr=False)
    reynolds: float | None = None
    vane_effects: tuple[VaneEffect, ...] = ()
    blended: bool = False
    stalled_cl: float | None = None
    two_equation: ModelAnswer | None = None


@dataclass(frozen=True)
class LiftCurve:
    """A sweep of angles by one tier.

    Parameters
    ----------
    airfoil : str
        Name of the section.
    reynolds : float
        Reynolds number on the reference chord [-].
    tier : str
        ``"integral"``, ``"rans"`` or ``"slab"``.
    reference : mapping
        What the coefficients refer to (chord, moment center, surface state, transition), as shown to the
        owner.
    points : tuple of FlowPoint
        In the order asked for.
    cl_max, alpha_cl_max_deg : float or None
        By a parabola on the branch followed up from attached flow; ``None`` when the sweep does not bracket
        it.
    sources : tuple of str
        Keys into the bibliography: what this run used.
    warnings : tuple of str
        What the reader has to know about the whole sweep.
    version : str
        Version of slowflight that computed it.
    stall : Stall or None
        How it stalls; ``None`` where no maximum is bracketed or the tier does not say.
    """

    airfoil: str
    reynolds: float
    tier: str
    reference: Mapping[str, Any]
    points: tuple[FlowPoint, ...]
    cl_max: float | None
    alpha_cl_max_deg: float | None
    sources: tuple[str, ...]
    warnings: tuple[str, ...]
    version: str
    stall: Stall | None = None
