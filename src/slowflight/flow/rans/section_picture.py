"""A flow laid on an even grid for a picture, with the map of where a push on the air raises lift."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

from slowflight.flow.rans.adjoint import adjoints
from slowflight.flow.rans.given_flow import GivenFlow
from slowflight.flow.rans.grid import Grid
from slowflight.flow.rans.newton import Marching
from slowflight.flow.rans.objectives import LIFT
from slowflight.flow.rans.prolong import split
from slowflight.flow.solution import FloatArray
from slowflight.wing.section import Section

DENSER = 8  # columns drawn for each of the grid's
BEYOND = 2.0  # cells farther outside the picture than this are left out [chords]


def laid_out(
    here: Marching, grid: Grid, found: GivenFlow, section: Section, *, x: FloatArray, y: FloatArray
) -> dict[str, FloatArray]:
    """Velocity, pressure coefficient and the lift that a push along the air would bring, on an even grid.

    Parameters
    ----------
    here : Marching
        The problem with what was given.
    grid : Grid
    found : GivenFlow
    section : Section
    x, y : FloatArray
        Along and across the chord [chords], shapes (nx,) and (ny,).

    Returns
    -------
    dict
        ``u``, ``v``, ``pressure`` and ``push`` (change of the lift coefficient per force on the air along
        its own course, over twice the dynamic pressure and the chord, at that place), shape (ny, nx); NaN
        inside the section.
    """
    flow, mesh = found.flow, here.problem.mesh
    (adjoint,) = adjoints(here, flow, (LIFT,))
    velocity = flow.q[:, 1:3]
    speed = np.maximum(np.hypot(*velocity.T), 1e-9)
    push = np.sum(adjoint.by_source[:, 1:3] * velocity, axis=1) / speed
    values = np.column_stack((velocity, 2.0 * flow.q[:, 0], push))
    body, wake = (
        np.concatenate(parts, axis=-1)
        for parts in zip(split(mesh.center, grid), split(values, grid), strict=True)
    )
    # the air at rest on the skin closes the gap between the first cells and it
    skin = np.zeros((grid.size.around, 1, body.shape[2]))
    skin[:, 0, :2] = 0.5 * (grid.body[1:, 0] + grid.body[:-1, 0])
    skin[:, 0, 4] = body[:, 0, 4]
    body = np.concatenate((skin, body), axis=1)
    points = np.concatenate([_denser(block).reshape(-1, 6) for block in (body, wake)])
    near = (points[:, 0] > x[0] - BEYOND) & (points[:, 0] < x[-1] + BEYOND)
    near &= (points[:, 1] > y[0] - BEYOND) & (points[:, 1] < y[-1] + BEYOND)
    points = points[near]
    across, up = np.meshgrid(x, y)
    laid = LinearNDInterpolator(Delaunay(points[:, :2], qhull_options="QJ"), points[:, 2:])(across, up)
    laid[_inside(section, across, up)] = np.nan
    return dict(zip(("u", "v", "pressure", "push"), np.moveaxis(laid, -1, 0), strict=True))


def _denser(block: FloatArray) -> FloatArray:
    """Columns between the columns: triangles between far-apart columns would cut through the layer."""
    last = len(block) - 1
    at = np.linspace(0.0, last, DENSER * last + 1)
    low = np.minimum(at.astype(int), last - 1)
    share = (at - low)[:, None, None]
    return np.asarray((1.0 - share) * block[low] + share * block[low + 1])


def _inside(section: Section, x: FloatArray, y: FloatArray) -> FloatArray:
    """Whether points lie inside the outline: how often a ray to the right crosses it."""
    crossings = np.zeros(x.shape, dtype=np.int64)
    ends_x, ends_y = np.roll(section.x, -1), np.roll(section.y, -1)
    for ax, ay, bx, by in zip(section.x, section.y, ends_x, ends_y, strict=True):
        if ay == by:
            continue
        spans = (ay > y) != (by > y)
        crossings += spans & (x < ax + (y - ay) / (by - ay) * (bx - ax))
    return np.asarray(crossings % 2 == 1)
