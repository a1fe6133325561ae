"""A flow laid on an even grid for a picture, with the map of where a push on the air raises lift."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt
from scipy.interpolate import LinearNDInterpolator
from scipy.spatial import Delaunay

from slowflight.flow.rans.adjoint import adjoints
from slowflight.flow.rans.given_flow import GivenFlow
from slowflight.flow.rans.gridded import Gridded
from slowflight.flow.rans.newton import Marching
from slowflight.flow.rans.objectives import LIFT
from slowflight.flow.solution import FloatArray

DENSER = 8  # columns drawn for each of the grid's
BEYOND = 2.0  # cells farther outside the picture than this are left out [chords]


def laid_out(
    body: Gridded,
    here: Marching,
    found: GivenFlow,
    outlines: Sequence[tuple[FloatArray, FloatArray]],
    *,
    x: FloatArray,
    y: FloatArray,
) -> dict[str, FloatArray]:
    """Velocity, pressure coefficient and the lift that a push along the air would bring, on an even grid.

    Parameters
    ----------
    body : Gridded
    here : Marching
        The problem with what was given.
    found : GivenFlow
    outlines : sequence of (FloatArray, FloatArray)
        Of each section [chords].
    x, y : FloatArray
        Along and across the chord [chords], shapes (nx,) and (ny,).

    Returns
    -------
    dict
        ``u``, ``v``, ``pressure`` and ``push`` (change of the lift coefficient per force on the air along
        its own course, over twice the dynamic pressure and the chord, at that place), shape (ny, nx); NaN
        inside the sections.
    """
    flow, mesh = found.flow, here.problem.mesh
    (adjoint,) = adjoints(here, flow, (LIFT,))
    velocity = flow.q[:, 1:3]
    speed = np.maximum(np.hypot(*velocity.T), 1e-9)
    push = np.sum(adjoint.by_source[:, 1:3] * velocity, axis=1) / speed
    values = np.column_stack((velocity, 2.0 * flow.q[:, 0], push))
    placed = np.concatenate((mesh.center, values), axis=1)
    clouds = [_denser(block).reshape(-1, 6) for block in body.blocks(placed)]
    # the air at rest on the skin closes the gap between the first cells and it
    for skin in body.skins:
        resting = values[skin.cells[:, 0]].copy()
        resting[:, :2] = 0.0
        resting[:, 3] = 0.0
        middle = 0.5 * (skin.wall[1:] + skin.wall[:-1])
        clouds.append(_denser(np.concatenate((middle, resting), axis=1)[:, None]).reshape(-1, 6))
    points = np.concatenate(clouds)
    near = (points[:, 0] > x[0] - BEYOND) & (points[:, 0] < x[-1] + BEYOND)
    near &= (points[:, 1] > y[0] - BEYOND) & (points[:, 1] < y[-1] + BEYOND)
    points = points[near]
    across, up = np.meshgrid(x, y)
    laid = LinearNDInterpolator(Delaunay(points[:, :2], qhull_options="QJ"), points[:, 2:])(across, up)
    for outline in outlines:
        laid[_inside(*outline, across, up)] = np.nan
    return dict(zip(("u", "v", "pressure", "push"), np.moveaxis(laid, -1, 0), strict=True))


def _denser(block: FloatArray) -> FloatArray:
    """Columns between the columns: triangles between far-apart columns would cut through the layer."""
    last = len(block) - 1
    at = np.linspace(0.0, last, DENSER * last + 1)
    low = np.minimum(at.astype(int), last - 1)
    share = (at - low)[:, None, None]
    return np.asarray((1.0 - share) * block[low] + share * block[low + 1])


def _inside(
    outline_x: FloatArray, outline_y: FloatArray, x: FloatArray, y: FloatArray
) -> npt.NDArray[np.bool_]:
    """Whether points lie inside an outline: how often a ray to the right crosses it."""
    crossings = np.zeros(x.shape, dtype=np.int64)
    ends_x, ends_y = np.roll(outline_x, -1), np.roll(outline_y, -1)
    for ax, ay, bx, by in zip(outline_x, outline_y, ends_x, ends_y, strict=True):
        if ay == by:
            continue
        spans = (ay > y) != (by > y)
        crossings += spans & (x < ax + (y - ay) / (by - ay) * (bx - ax))
    return np.asarray(crossings % 2 == 1)
