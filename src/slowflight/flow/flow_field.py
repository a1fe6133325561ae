"""Velocities around a section, for pictures: the outer flow pushed out by the layers, and these."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.spatial import cKDTree

from slowflight.errors import Unconverged
from slowflight.flow.integral import results
from slowflight.flow.integral.bodies.marched_elements import with_marched_rows as elements_marched
from slowflight.flow.integral.bodies.model import elements_model
from slowflight.flow.integral.bodies.outer_velocity import outer_velocity as elements_velocity
from slowflight.flow.integral.bodies.results import as_section, element_forces, element_layer, total
from slowflight.flow.integral.bodies.sweep import sweep_elements
from slowflight.flow.integral.marched_rows import PRINTED, Marching
from slowflight.flow.integral.marched_section import with_marched_rows
from slowflight.flow.integral.outer_velocity import outer_velocity
from slowflight.flow.integral.outline import Outline
from slowflight.flow.integral.section_flow import SectionModel, Solved, section_model
from slowflight.flow.integral.sweep import START, sweep
from slowflight.flow.solution import ComplexArray, FloatArray
from slowflight.wing.elements import Elements
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow

STEP = math.radians(1.0)
REVERSED_WAKE = 3.5  # shape factor above which air at the middle of a wake stands or runs back


@dataclass(frozen=True)
class FlowField:
    """Velocities on a grid in the section's own axes, the stream coming in at the angle of attack.

    Parameters
    ----------
    alpha_deg, reynolds : float
        Angle of attack [deg] and Reynolds number [-].
    x, y : FloatArray
        Grid lines [chords], shapes (nx,) and (ny,).
    u, v : FloatArray
        Velocity over flight speed [-], shape (ny, nx); NaN inside the section.
    slow : bool array
        True where the air has let go: within the displacement thickness of a layer reversed at the wall, or
        of a wake that has not closed yet, shape (ny, nx).
    outline_x, outline_y : FloatArray
        The section [chords].
    cl, cd : float
        Coefficients of the same solution [-].
    separation_upper : float or None
        As in ``FlowPoint``.
    flap_outline_x, flap_outline_y : FloatArray or None
        A flap that is an airfoil of its own [chords].
    """

    alpha_deg: float
    reynolds: float
    x: FloatArray
    y: FloatArray
    u: FloatArray
    v: FloatArray
    slow: npt.NDArray[np.bool_]
    outline_x: FloatArray
    outline_y: FloatArray
    cl: float
    cd: float
    separation_upper: float | None
    flap_outline_x: FloatArray | None = None
    flap_outline_y: FloatArray | None = None


def flow_field(
    section: Section,
    *,
    reynolds: float,
    alpha_deg: float,
    x: FloatArray,
    y: FloatArray,
    transition: tuple[float | None, float | None] = (None, None),
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    speed_follows_lift: bool = False,
    marching: Marching = PRINTED,
    marched_over_deg: Sequence[float] = (),
) -> FlowField:
    """Compute the velocities around a section at one angle, followed up from attached flow.

    Inside a layer the outer velocity is multiplied by a power-law profile of the layer's own shape factor:
    good for a picture, not for a measurement.

    Parameters
    ----------
    section : Section
    reynolds, transition, critical_amplification, vane_rows, chord_m, speed_follows_lift
        As for ``lift_curve``.
    alpha_deg : float
        Angle of attack [deg].
    x, y : FloatArray
        Grid lines [chords].
    marching : Marching
        How rows of vanes are marched.
    marched_over_deg : sequence of float
        Angles over which they are [deg]: those of a lift curve for the same numbers as in it. Empty for the
        way up to ``alpha_deg``.

    Returns
    -------
    FlowField

    Raises
    ------
    Unconverged
        Where the angle has no answer that was followed up from attached flow.

    Notes
    -----
    A profile (n / delta)^((H - 1) / 2) has the shape factor H: textbook relation of the power law.
    """
    model = section_model(
        section, reynolds=reynolds, transition=transition, critical_amplification=critical_amplification,
        vane_rows=vane_rows, chord_m=chord_m, speed_follows_lift=speed_follows_lift,
    )  # fmt: skip
    model, begin = with_marched_rows(model, _marched_over(marched_over_deg, alpha_deg), marching)
    last = sweep(model, _way_to(alpha_deg), begin=begin)[-1]
    solved = last.solved
    if solved is None or last.how != "followed":
        raise Unconverged(f"{section.name}: no converged flow at {alpha_deg:g} deg to draw")
    return _drawn(model, solved, x, y)


def elements_flow_field(
    elements: Elements,
    *,
    reynolds: float,
    alpha_deg: float,
    x: FloatArray,
    y: FloatArray,
    transition: tuple[float | None, float | None] = (None, None),
    flap_transition: tuple[float | None, float | None] = (None, None),
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    speed_follows_lift: bool = False,
    marching: Marching = PRINTED,
    marched_over_deg: Sequence[float] = (),
) -> FlowField:
    """Compute the velocities around a section and a flap that is an airfoil of its own.

    Parameters
    ----------
    elements : Elements
    reynolds, transition, flap_transition, critical_amplification, vane_rows, chord_m, speed_follows_lift
        As for ``elements_lift_curve``.
    alpha_deg, x, y, marching, marched_over_deg
        As for ``flow_field``, in the main section's frame.

    Returns
    -------
    FlowField
        Coefficients on the main chord; separation on the main section.

    Raises
    ------
    Unconverged
        Where the angle has no answer that was followed up from attached flow.
    """
    model = elements_model(
        elements, reynolds=reynolds, transition=transition, flap_transition=flap_transition,
        critical_amplification=critical_amplification, vane_rows=vane_rows, chord_m=chord_m,
        speed_follows_lift=speed_follows_lift,
    )  # fmt: skip
    model, begin = elements_marched(model, _marched_over(marched_over_deg, alpha_deg), marching)
    last = sweep_elements(model, _way_to(alpha_deg), begin=begin)[-1]
    solved = last.solved
    if solved is None or last.how != "followed":
        raise Unconverged(f"{elements.name}: no converged flow at {alpha_deg:g} deg to draw")
    points = _points(x, y)
    w = elements_velocity(model, solved, points[:, 0], points[:, 1])
    share, slow = np.ones(w.size), np.zeros(w.size, dtype=np.bool_)
    inside = np.zeros(w.size, dtype=np.bool_)
    for k, (one, body) in enumerate(zip(model.sections, model.system.bodies, strict=True)):
        its_share, its_slow = _in_layers(one, as_section(model, solved, k), points)
        share, slow = np.minimum(share, its_share), slow | its_slow
        inside |= _inside(points, np.column_stack((body.outline.x, body.outline.y)))
    numbers = total(element_forces(model, solved))
    outlines = [body.outline for body in model.system.bodies]
    return _field(
        w * share, slow, inside, x=x, y=y, alpha=solved.alpha, reynolds=solved.reynolds, outline=outlines[0],
        cl=numbers.cl, cd=numbers.cd,
        separation=results.trailing_separation(element_layer(model, solved, 0, "upper")),
        flap=outlines[1] if len(outlines) > 1 else None,
    )  # fmt: skip


def _marched_over(angles_deg: Sequence[float], alpha_deg: float) -> list[float]:
    """Angles over which rows of vanes are marched [rad]."""
    return [math.radians(a) for a in angles_deg] or _way_to(alpha_deg)


def _way_to(alpha_deg: float) -> list[float]:
    """Angles from where a sweep begins up or down to one [rad]."""
    target = math.radians(alpha_deg)
    steps = max(1, math.ceil(abs(target - START) / STEP))
    return [START + (target - START) * k / steps for k in range(1, steps + 1)]


def _points(x: FloatArray, y: FloatArray) -> FloatArray:
    gx, gy = np.meshgrid(x, y)
    return np.column_stack((gx.ravel(), gy.ravel()))


def _field(
    w: ComplexArray,
    slow: npt.NDArray[np.bool_],
    inside: npt.NDArray[np.bool_],
    *,
    x: FloatArray,
    y: FloatArray,
    alpha: float,
    reynolds: float,
    outline: Outline,
    cl: float,
    cd: float,
    separation: float | None,
    flap: Outline | None = None,
) -> FlowField:
    shape = (y.size, x.size)
    w = np.where(inside, complex(np.nan, np.nan), w)
    return FlowField(
        alpha_deg=math.degrees(alpha),
        reynolds=reynolds,
        x=x,
        y=y,
        u=w.real.reshape(shape),
        v=-w.imag.reshape(shape),
        slow=(slow & ~inside).reshape(shape),
        outline_x=outline.x,
        outline_y=outline.y,
        cl=cl,
        cd=cd,
        separation_upper=separation,
        flap_outline_x=None if flap is None else flap.x,
        flap_outline_y=None if flap is None else flap.y,
    )


def _drawn(model: SectionModel, solved: Solved, x: FloatArray, y: FloatArray) -> FlowField:
    points = _points(x, y)
    body = model.system.body
    share, slow = _in_layers(model, solved, points)
    w = outer_velocity(model, solved, points[:, 0], points[:, 1]) * share
    inside = _inside(points, np.column_stack((body.x, body.y)))
    numbers = results.coefficients(model, solved)
    return _field(
        w, slow, inside, x=x, y=y, alpha=solved.alpha, reynolds=solved.reynolds, outline=body,
        cl=numbers.cl, cd=numbers.cd,
        separation=results.trailing_separation(results.surface_layer(model, solved, "upper")),
    )  # fmt: skip


def _in_layers(
    model: SectionModel, solved: Solved, points: FloatArray
) -> tuple[FloatArray, npt.NDArray[np.bool_]]:
    """Share of the outer speed left at each point, and whether the air there has let go."""
    share = np.ones(points.shape[0])
    slow = np.zeros(points.shape[0], dtype=np.bool_)
    ends: list[float] = []
    for side in ("upper", "lower", "wake"):
        layer = results.surface_layer(model, solved, side)
        h = layer.shape_factor
        reversed_here = (layer.friction_coefficient < 0.0).astype(np.float64)
        displaced = layer.displacement_thickness
        if side == "wake":
            reversed_here = (h > REVERSED_WAKE).astype(np.float64)
            above = ends[0] / (ends[0] + ends[1])  # the wake keeps the share of each side it began with
        else:
            ends.append(float(displaced[-1]))
            above = 1.0
        place, distance, over = _nearest(layer.x, layer.y, points)
        count = np.arange(layer.x.size, dtype=np.float64)
        # a wake's displacement is split between its two sides as it left the trailing edge
        part = np.where(over, above, 1.0 - above) if side == "wake" else np.ones_like(distance)
        shape = np.interp(place, count, h)
        thin = np.maximum(np.interp(place, count, displaced) * part, 1e-9)
        # delta of a power-law profile: displacement thickness times (H + 1) / (H - 1)
        thickness = thin * (shape + 1.0) / (shape - 1.0)
        filled = np.minimum(np.maximum(distance, 1e-9) / thickness, 1.0) ** (0.5 * (shape - 1.0))
        mine = (distance < thickness) & (over if side == "upper" else ~over if side == "lower" else True)
        # A point beyond the ends of a line is not beside it.
        mine &= (place >= 0.0) & (place <= layer.x.size - 1)
        share = np.where(mine, np.minimum(share, filled), share)
        slow |= mine & (np.interp(place, count, reversed_here) > 0.5) & (distance < thin)
    return share, slow


def _nearest(
    x: FloatArray, y: FloatArray, points: FloatArray
) -> tuple[FloatArray, FloatArray, npt.NDArray[np.bool_]]:
    """Place along a line of stations (a fractional index), distance from it, and whether above it."""
    _, station = cKDTree(np.column_stack((x, y))).query(points)
    tx, ty = np.gradient(x), np.gradient(y)
    size = np.hypot(tx, ty)
    dx, dy = points[:, 0] - x[station], points[:, 1] - y[station]
    across = (dy * tx[station] - dx * ty[station]) / size[station]
    along = (dx * tx[station] + dy * ty[station]) / size[station] ** 2
    return station + along, np.abs(across), across > 0.0


def _inside(points: FloatArray, outline: FloatArray) -> npt.NDArray[np.bool_]:
    """Whether points lie inside a closed polygon, by counting crossings of a ray."""
    px, py = points[:, 0][:, None], points[:, 1][:, None]
    ax, ay = outline[:, 0][None, :], outline[:, 1][None, :]
    bx, by = np.roll(ax, -1, axis=1), np.roll(ay, -1, axis=1)
    spans = (ay > py) != (by > py)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = ax + (py - ay) * (bx - ax) / (by - ay)
    hits = np.sum(spans & (px < crossing), axis=1)
    return np.asarray(hits % 2 == 1)
