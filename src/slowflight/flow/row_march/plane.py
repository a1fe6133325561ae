"""The cross-plane a row's vortices are computed in: cells from the skin up and across one period of the row.

Cells hold speed along the skin, pressure and turbulence; their upper and lower faces hold the speed away from
the skin, their side faces the speed across (a staggered arrangement, which knows no checkerboard).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from slowflight.flow.solution import FloatArray, IndexArray


class Plane(NamedTuple):
    """Cells and the numbers kernels need of them; lengths in one unit, y from the skin, z across.

    Attributes
    ----------
    face, center, cell, gap : FloatArray
        Faces in y, shape (n+1,); centers and sizes of the cells, shape (n,); distances between
        neighboring centers, at the ends from center to face, shape (n+1,).
    ahead, behind : FloatArray
        Weights that give a value at an inner y face from cell means, by flow from below (cells j-2, j-1, j)
        and from above (j-1, j, j+1), shape (n+1, 3).
    point_ahead, point_behind : FloatArray
        The same at cell centers from values at faces (j-1, j, j+1 and j, j+1, j+2), shape (n, 3).
    dz : float
        Size of a cell across.
    cells, sides : IndexArray
        Where the neighbors of a cell and of a side face across are kept: ``cells[k + 2]``, ``sides[k + 1]``.
    sign : FloatArray
        Sign of the speed across at ``sides``: -1 where it is a mirror image.
    modes, growth : FloatArray
        Orthonormal functions across, shape (m, m), and their eigenvalues, shape (m,).
    cyclic : bool
        A full period, or half of one between planes of symmetry.
    """

    face: FloatArray
    center: FloatArray
    cell: FloatArray
    gap: FloatArray
    ahead: FloatArray
    behind: FloatArray
    point_ahead: FloatArray
    point_behind: FloatArray
    dz: float
    cells: IndexArray
    sides: IndexArray
    sign: FloatArray
    modes: FloatArray
    growth: FloatArray
    cyclic: bool


def make_plane(*, face: FloatArray, width: float, across: int, cyclic: bool) -> Plane:
    """Lay a plane out.

    Parameters
    ----------
    face : FloatArray
        Faces from the skin (0) up, increasing, shape (n+1,).
    width : float
        Of the period, or of half of it between planes of symmetry.
    across : int
        Cells across; 1 is a layer without vortices.
    cyclic : bool
        A full period.

    Returns
    -------
    Plane
    """
    n = len(face) - 1
    cell = np.diff(face)
    center = 0.5 * (face[1:] + face[:-1])
    gap = np.concatenate(([center[0]], np.diff(center), [face[-1] - center[-1]]))
    ahead, behind = np.zeros((n + 1, 3)), np.zeros((n + 1, 3))
    inner = np.arange(1, n)
    ahead[inner[1:]] = _from_means(face, inner[1:], inner[1:] - 2)
    behind[inner[:-1]] = _from_means(face, inner[:-1], inner[:-1] - 1)
    ahead[1] = 0.0, *_two(center, face, 1)
    behind[n - 1] = *_two(center, face, n - 1), 0.0
    point_ahead, point_behind = np.zeros((n, 3)), np.zeros((n, 3))
    point_ahead[1:] = _from_points(face, center[1:], np.arange(n - 1))
    point_behind[:-1] = _from_points(face, center[:-1], np.arange(n - 1))
    point_ahead[0], point_behind[n - 1] = (0.0, 0.5, 0.5), (0.5, 0.5, 0.0)
    k = np.arange(-2, across + 2)
    f = np.arange(-1, across + 2)
    if cyclic:
        cells, sides, sign = k % across, f % across, np.ones(len(f))
        angle = 2.0 * math.pi * np.outer(np.arange(across), np.arange(across)) / across
        modes = (np.cos(angle) + np.sin(angle)) / math.sqrt(across)
        growth = (2.0 * np.sin(math.pi * np.arange(across) / across)) ** 2
    else:
        cells = np.clip(np.where(k < 0, -1 - k, np.where(k >= across, 2 * across - 1 - k, k)), 0, across - 1)
        sides = np.where(f < 0, -f, np.where(f > across, 2 * across - f, f))
        sign = np.where((f < 0) | (f > across), -1.0, 1.0)
        modes = np.cos(math.pi * np.outer(np.arange(across) + 0.5, np.arange(across)) / across)
        modes /= np.sqrt((modes**2).sum(axis=0))
        growth = (2.0 * np.sin(0.5 * math.pi * np.arange(across) / across)) ** 2
    dz = width / across
    return Plane(
        face=np.ascontiguousarray(face, dtype=np.float64), center=center, cell=cell, gap=gap, ahead=ahead,
        behind=behind, point_ahead=point_ahead, point_behind=point_behind, dz=dz,
        cells=cells.astype(np.int64), sides=sides.astype(np.int64), sign=sign.astype(np.float64),
        modes=np.ascontiguousarray(modes), growth=growth / dz**2, cyclic=cyclic,
    )  # fmt: skip


def _two(center: FloatArray, face: FloatArray, j: int) -> tuple[float, float]:
    share = float((face[j] - center[j - 1]) / (center[j] - center[j - 1]))
    return 1.0 - share, share


def _from_means(face: FloatArray, at: IndexArray, first: IndexArray) -> FloatArray:
    """Weights of three cell means, from cell ``first`` on, for the value at face ``at``, shape (k, 3).

    The parabola that has these means.
    """
    edges = face[first[:, None] + np.arange(4)] - face[at][:, None]
    means = np.stack([np.diff(edges**p, axis=1) / (p * np.diff(edges, axis=1)) for p in (1, 2, 3)], axis=1)
    return np.linalg.solve(means, np.array([1.0, 0.0, 0.0])[None, :, None])[..., 0]


def _from_points(face: FloatArray, at: FloatArray, first: IndexArray) -> FloatArray:
    """Weights of three values, from face ``first`` on, for the value at a point, shape (k, 3): a parabola."""
    x = face[first[:, None] + np.arange(3)] - at[:, None]
    powers = np.stack([x**0, x, x**2], axis=1)
    return np.linalg.solve(powers, np.array([1.0, 0.0, 0.0])[None, :, None])[..., 0]


def layer_faces(
    *, first: float, growth: float, largest: float, fine_to: float, outer_growth: float, top: float
) -> FloatArray:
    """Faces that widen from the skin, stay even through the vortices, and widen again to the top.

    Parameters
    ----------
    first : float
        Height of the first cell.
    growth, outer_growth : float
        Ratio of neighboring cells near the skin and beyond ``fine_to``.
    largest : float
        Largest cell up to ``fine_to``.
    fine_to, top : float
        Where the even stretch ends, and where the plane ends.

    Returns
    -------
    FloatArray
        From 0 to ``top``, shape (n+1,).
    """
    faces, size = [0.0], first
    while faces[-1] < top:
        faces.append(faces[-1] + size)
        if faces[-1] < fine_to:
            size = max(min(size * growth, largest), min(size, largest))
        else:
            size *= outer_growth
    return np.array(faces) * (top / faces[-1])
