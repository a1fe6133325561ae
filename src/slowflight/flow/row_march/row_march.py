"""The row march: what a row of vanes does to a layer, computed from the vanes' geometry.

A plane across the flow, one period of the row wide, is marched along the skin with the vanes' vortices and
wake in it. The equations are those of a slender region (change along the skin slow, all of it across):
momentum in three directions, continuity, one equation for eddy viscosity. Pressure in the plane is not fed
back to the speed along the skin except through its span mean, which holds what the swirl gives back as it
decays.

Valid up to the first place where the flow along the skin reverses anywhere across the span (under the upwash
of the vortices, well ahead of reversal of the span mean). There the march stops; what a section method needs
beyond is held, and flagged.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.errors import RangeError
from slowflight.flow.row_march import marching
from slowflight.flow.row_march.layer_profile import turbulent_profile
from slowflight.flow.row_march.run import STANDARD, MarchSettings, RowLayer, Run
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.row_march.start import Wake
from slowflight.flow.solution import FloatArray
from slowflight.sources import cite

SOURCES = cite("Wendt2001", "SpalartAllmaras", "Coles1956")

# what the vanes' circulation was fitted on (Wendt)
FITTED_HEIGHTS, FITTED_INCIDENCES_DEG, FITTED_ASPECTS = (0.12, 2.6), (8.0, 20.0), (0.6, 4.0)
# beyond these nothing is computed: the plane would not resolve it
LEAST_HEIGHT, MOST_HEIGHT = 0.03, 6.0  # over layer thickness
LEAST_PITCH, MOST_PITCH = 1.5, 40.0  # over height
WORST_RESIDUAL = 0.03  # of the momentum budget, beyond which the result is flagged
HIGHEST_PLANE = 100.0  # layer thicknesses at the row
HIGHEST_SHAPE = 2.8  # of the span mean, beyond which a march without interaction means nothing


@dataclass(frozen=True, kw_only=True)
class RowMarch:
    """What a march found; lengths in chords, speeds over flight speed, places along ``arc``.

    Numbers beyond ``valid_to`` are NaN, but for ``shear`` and ``axial``, which hold their last values there.

    Parameters
    ----------
    status : str
        ``"ran"``, ``"stopped at local reversal"`` or ``"refused"``; a refused march has no numbers. A march
        whose numbers ran away or whose layer outgrew the plane counts as stopped; the warning says which.
    arc, edge_speed : FloatArray
        As given, shape (k,).
    circulation, core_height, core_span, peak_vorticity : FloatArray
        Of one vortex: vorticity over a tenth of its peak, beyond a quarter vane height from the skin; place
        of the peak above the skin and from the plane of symmetry of the pair (from the left side of the
        period of a co-rotating row), shape (k,).
    shape_factor, clean_shape_factor : FloatArray
        Of the span-mean profile, and of the same layer without vanes [-], shape (k,).
    momentum_thickness, clean_momentum_thickness : FloatArray
        Of the span-mean profile and without vanes, shape (k,).
    momentum_loss : FloatArray
        Span mean of the momentum lost over square of edge speed (it has <u~ u~> in it), shape (k,).
    displacement_thickness : FloatArray
        Span mean, shape (k,).
    friction, friction_low, friction_high, clean_friction : FloatArray
        Friction coefficient on the local edge speed: span mean, least and most across, and without vanes,
        shape (k,).
    height : FloatArray
        Of the profiles below above the skin, shape (n,).
    shear, axial : FloatArray
        -<u~ v~> and <u~ u~> of the steady motion about the span mean, shape (k, n).
    budget_residual : FloatArray
        Momentum lost that friction, pressure and swirl do not explain, over momentum loss [-], shape (k,).
    valid_to, clean_valid_to : float
        Where the march and the one without vanes stopped.
    start_circulation : float
        Of one vane.
    wake : Wake
        Drag of the vanes as momentum thickness.
    steps : int
        Taken.
    warnings, sources : tuple of str
        Remarks, and keys of the bibliography.
    """

    status: str
    arc: FloatArray
    edge_speed: FloatArray
    circulation: FloatArray
    core_height: FloatArray
    core_span: FloatArray
    peak_vorticity: FloatArray
    shape_factor: FloatArray
    clean_shape_factor: FloatArray
    momentum_thickness: FloatArray
    clean_momentum_thickness: FloatArray
    momentum_loss: FloatArray
    displacement_thickness: FloatArray
    friction: FloatArray
    friction_low: FloatArray
    friction_high: FloatArray
    clean_friction: FloatArray
    height: FloatArray
    shear: FloatArray
    axial: FloatArray
    budget_residual: FloatArray
    valid_to: float
    clean_valid_to: float
    start_circulation: float
    wake: Wake
    steps: int
    warnings: tuple[str, ...]
    sources: tuple[str, ...]

    @property
    def shape_factor_fall(self) -> FloatArray:
        """Shape factor without vanes less that with them [-], shape (k,); NaN where either has stopped."""
        return self.clean_shape_factor - self.shape_factor


def march_row(
    *,
    row: VaneSizes,
    layer: RowLayer,
    arc: FloatArray,
    edge_speed: FloatArray,
    reynolds: float,
    curvature: FloatArray | None = None,
    settings: MarchSettings = STANDARD,
) -> RowMarch:
    """March the vortices of a row along the skin.

    Parameters
    ----------
    row : VaneSizes
        The vanes [chords]; see `vane_sizes`.
    layer : RowLayer
        The clean turbulent layer where the vanes end.
    arc : FloatArray
        Along the skin from the vanes' trailing tips, increasing [chords], shape (k,), k at least 2.
    edge_speed : FloatArray
        Of the section *with* vanes, over flight speed [-], shape (k,).
    reynolds : float
        On chord and flight speed.
    curvature : FloatArray, optional
        Of the skin, convex positive [1/chords], shape (k,); flat where left out.
    settings : MarchSettings
        How it is computed.

    Returns
    -------
    RowMarch

    Raises
    ------
    RangeError
        Where the arrays do not fit together or hold no numbers. Vanes or a layer that cannot be computed are
        not an error: the march is refused, and says why.

    Notes
    -----
    Range: vanes of 0.03 to 6 layer thicknesses; circulation (Wendt) fitted on 0.12 to 2.6, incidence 8 to
    20 deg. Not compared with a measured embedded vortex; see the documents.
    """
    arc, edge_speed = np.asarray(arc, dtype=np.float64), np.asarray(edge_speed, dtype=np.float64)
    bend = np.zeros_like(arc) if curvature is None else np.asarray(curvature, dtype=np.float64)
    _check_arrays(arc, edge_speed, bend, reynolds)
    reason = row.trouble() or out_of_range(row, layer)
    if reason:
        return _refused(arc, edge_speed, reason)
    unit, speed_unit = layer.thickness, float(edge_speed[0])
    nu = 1.0 / (reynolds * speed_unit * unit)
    sizes = row.over(unit)
    places, speeds = (arc - arc[0]) / unit, edge_speed / speed_unit
    turns = bend * unit
    try:
        turbulent_profile(
            heights=np.array([1.0]), momentum_thickness=layer.momentum_thickness / unit,
            shape_factor=layer.shape_factor, per_nu=1.0 / nu,
        )  # fmt: skip
    except RangeError as error:
        return _refused(arc, edge_speed, str(error))
    scale = sizes.height if sizes.height > 0.0 else 0.5
    # how far the layer grows without vanes decides how high the plane has to be
    probe = Run(sizes, layer, nu, places, speeds, turns, settings, top=40.0, clean=True)
    grown = np.nanmax(probe.column(marching.THICKNESS))
    top = float(np.clip(2.4 * grown, max(7.0 * scale, 4.0), 60.0))
    full = Run(sizes, layer, nu, places, speeds, turns, settings, top=top, clean=False)
    while full.code == marching.OUTGREW and top < HIGHEST_PLANE:
        top *= 1.7
        full = Run(sizes, layer, nu, places, speeds, turns, settings, top=top, clean=False)
    clean = Run(sizes, layer, nu, places, speeds, turns, settings, top=top, clean=True)
    if full.code == marching.FAILED and full.reached < 2:
        return _refused(arc, edge_speed, "the numbers ran away at once")
    return _gathered(row, layer, arc, edge_speed, unit, speed_unit, clean, full)


def _check_arrays(arc: FloatArray, speed: FloatArray, bend: FloatArray, reynolds: float) -> None:
    if arc.ndim != 1 or len(arc) < 2 or arc.shape != speed.shape or arc.shape != bend.shape:
        raise RangeError(
            where="arc, edge_speed, curvature",
            found=f"shapes {arc.shape}, {speed.shape}, {bend.shape}",
            needed="one shape (k,), k at least 2",
        )
    if not (np.isfinite(arc).all() and np.isfinite(speed).all() and np.isfinite(bend).all()):
        raise RangeError(where="arc, edge_speed, curvature", found="no number", needed="numbers")
    if (np.diff(arc) <= 0.0).any():
        raise RangeError(where="arc", found="places that do not increase", needed="increasing places")
    if (speed <= 0.0).any():
        raise RangeError(where="edge_speed", found=f"{speed.min():.3g}", needed="speeds above zero")
    if not (math.isfinite(reynolds) and reynolds > 0.0):
        raise RangeError(where="reynolds", found=str(reynolds), needed="a number above zero")


def out_of_range(row: VaneSizes, layer: RowLayer, *, tallest: float = MOST_HEIGHT) -> str:
    """Say why vanes on a layer are not computed, or nothing; ``tallest`` in layer thicknesses."""
    numbers = (layer.thickness, layer.momentum_thickness, layer.shape_factor)
    if not all(math.isfinite(x) and x > 0.0 for x in numbers):
        return "a layer without thickness"
    if not 4.0 <= layer.thickness / layer.momentum_thickness <= 20.0:
        return "a layer whose thickness is not 4 to 20 momentum thicknesses"
    if row.height == 0.0:
        return ""
    ratio = row.height / layer.thickness
    if not LEAST_HEIGHT <= ratio <= tallest:
        return f"vanes {ratio:.2g} layer thicknesses high; {LEAST_HEIGHT:g} to {tallest:g} are computed"
    if not LEAST_PITCH <= row.pitch / row.height <= MOST_PITCH:
        return (
            f"a pitch of {row.pitch / row.height:.2g} heights; {LEAST_PITCH:g} to {MOST_PITCH:g} are computed"
        )
    if row.arrangement == "counter-rotating" and not (
        0.3 * row.height <= row.trailing_gap <= row.pitch - 0.3 * row.height
    ):
        return "trailing tips less than 0.3 heights apart: such vortices cancel before they are vortices"
    return ""


def _gathered(
    row: VaneSizes, layer: RowLayer, arc: FloatArray, edge_speed: FloatArray, unit: float, speed_unit: float,
    clean: Run, full: Run,
) -> RowMarch:  # fmt: skip
    warnings = _remarks(row, layer)
    valid_to = float(arc[0] + unit * full.stopped)
    clean_valid_to = float(arc[0] + unit * clean.stopped)
    status = "ran"
    if full.code != marching.RAN:
        status = "stopped at local reversal"
        why = {
            marching.REVERSED: "the flow along the skin reverses under the upwash",
            marching.OUTGREW: "the layer outgrew its plane",
        }.get(full.code, "the numbers ran away")
        warnings.append(
            f"row march: stopped {valid_to - arc[0]:.4f} chords behind the row, {why}; held beyond"
        )
    if (full.column(marching.LEAST)[: full.reached] < 0.0).any():
        warnings.append("row march: the vanes' wake reverses the flow at the skin just behind them")
    shape = full.column(marching.DISPLACEMENT) / full.column(marching.MOMENTUM)
    if (shape[: full.reached] > HIGHEST_SHAPE).any():
        warnings.append(
            f"row march: span-mean shape factor above {HIGHEST_SHAPE}; no section method joins there"
        )
    residual = full.column(marching.RESIDUAL)
    residual[0] = 0.0
    if (np.abs(residual[: full.reached]) > WORST_RESIDUAL).any():
        worst = float(np.nanmax(np.abs(residual)))
        warnings.append(f"row march: momentum budget open by {100 * worst:.1f} %")
    if full.wake.placed < 0.95:
        warnings.append(
            f"row march: only {100 * full.wake.placed:.0f} % of the vanes' wake found room in the layer"
        )
    middle = 0.0
    if full.plane.cyclic and row.arrangement == "counter-rotating":
        middle = 0.5 * row.pitch
    speed2 = speed_unit**2
    return RowMarch(
        status=status,
        arc=arc,
        edge_speed=edge_speed,
        circulation=full.column(marching.CIRCULATION) * unit * speed_unit,
        core_height=full.column(marching.CORE_Y) * unit,
        core_span=full.column(marching.CORE_Z) * unit - middle,
        peak_vorticity=full.column(marching.PEAK) * speed_unit / unit,
        shape_factor=shape,
        clean_shape_factor=clean.column(marching.DISPLACEMENT) / clean.column(marching.MOMENTUM),
        momentum_thickness=full.column(marching.MOMENTUM) * unit,
        clean_momentum_thickness=clean.column(marching.MOMENTUM) * unit,
        momentum_loss=full.column(marching.LOSS) * unit,
        displacement_thickness=full.column(marching.DISPLACEMENT) * unit,
        friction=full.column(marching.FRICTION),
        friction_low=full.column(marching.LEAST),
        friction_high=full.column(marching.MOST),
        clean_friction=clean.column(marching.FRICTION),
        height=full.plane.center * unit,
        shear=full.shear * speed2,
        axial=full.axial * speed2,
        budget_residual=residual,
        valid_to=valid_to,
        clean_valid_to=clean_valid_to,
        start_circulation=full.strength * unit * speed_unit,
        wake=Wake(
            momentum_thickness=full.wake.momentum_thickness * unit,
            in_swirl=full.wake.in_swirl * unit,
            placed=full.wake.placed,
        ),
        steps=full.steps,
        warnings=tuple(warnings),
        sources=SOURCES,
    )


def _remarks(row: VaneSizes, layer: RowLayer) -> list[str]:
    if row.height == 0.0:
        return []
    said = []
    ratio = row.height / layer.thickness
    if not FITTED_HEIGHTS[0] <= ratio <= FITTED_HEIGHTS[1]:
        said.append(
            f"row march: vanes {ratio:.2g} layer thicknesses high, circulation was fitted on 0.12 to 2.6"
        )
    degrees = math.degrees(row.incidence)
    if not FITTED_INCIDENCES_DEG[0] <= degrees <= FITTED_INCIDENCES_DEG[1]:
        said.append(
            f"row march: incidence {degrees:.0f} deg, circulation was fitted on 8 to 20"
            + ("; vanes so steep may stall" if degrees > FITTED_INCIDENCES_DEG[1] else "")
        )
    aspect = 8.0 * row.height / (math.pi * row.length)
    if not FITTED_ASPECTS[0] <= aspect <= FITTED_ASPECTS[1]:
        said.append(
            f"row march: vanes of aspect ratio {aspect:.2g}, circulation was fitted on about 0.6 to 4"
        )
    return said


def _refused(arc: FloatArray, edge_speed: FloatArray, reason: str) -> RowMarch:
    none = np.full(arc.shape, np.nan)
    empty = np.zeros((len(arc), 0))
    return RowMarch(
        status="refused", arc=arc, edge_speed=edge_speed, circulation=none, core_height=none, core_span=none,
        peak_vorticity=none, shape_factor=none, clean_shape_factor=none, momentum_thickness=none,
        clean_momentum_thickness=none, momentum_loss=none, displacement_thickness=none, friction=none,
        friction_low=none, friction_high=none, clean_friction=none, height=np.zeros(0), shear=empty,
        axial=empty, budget_residual=none, valid_to=float(arc[0]), clean_valid_to=float(arc[0]),
        start_circulation=math.nan, wake=Wake(momentum_thickness=math.nan, in_swirl=math.nan, placed=0.0),
        steps=0, warnings=(f"row march refused: {reason}",), sources=SOURCES,
    )  # fmt: skip
