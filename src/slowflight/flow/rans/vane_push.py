"""The push of marched rows on the cells: stresses through faces, the wake over the vanes, the swirl behind.

Stresses act through the faces between cells, so what one cell gains its neighbor loses and their sum is
nothing, whatever the grid. What is left is the drag of the vanes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.marched_stress import RowStress
from slowflight.flow.rans.mesh import Mesh
from slowflight.flow.rans.skin_columns import SkinColumns
from slowflight.flow.solution import FloatArray, IndexArray


@dataclass(frozen=True, eq=False)
class Places:
    """Where the faces and cells of a skin's columns lie from it.

    Parameters
    ----------
    faces : IndexArray
        Between two cells of the columns, shape (f,).
    arc, height : FloatArray
        Of their middles, along the outline and above the skin, shape (f,) [chords].
    along, up : FloatArray
        Unit vectors along the outline and away from it there, shape (f, 2).
    column_arc : FloatArray
        Ends of the columns of cells on the outline, shape (around + 1,).
    cell_height : FloatArray
        Lower and upper face of each cell, shape (around, across + 1).
    cell_along : FloatArray
        Shape (around, 2).
    columns : SkinColumns
    """

    faces: IndexArray
    arc: FloatArray
    height: FloatArray
    along: FloatArray
    up: FloatArray
    column_arc: FloatArray
    cell_height: FloatArray
    cell_along: FloatArray
    columns: SkinColumns


def places(columns: SkinColumns, mesh: Mesh) -> Places:
    """Measure columns out from their skin; the last faces at both trailing edges are left out."""
    arc, height = columns.line_arc, columns.line_height
    place = np.full(columns.whole, -1)
    place[columns.cells[columns.real]] = np.flatnonzero(columns.real)
    one, two = place[mesh.cells[:, 1]], place[mesh.cells[:, 2]]
    inside = np.flatnonzero((one >= 0) & (two >= 0))
    i, k = np.divmod(one[inside], columns.across)
    j, m = np.divmod(two[inside], columns.across)
    across = i == j  # between two cells of one column
    column, level = np.maximum(i, j), np.maximum(k, m)
    face_arc, face_height = (
        np.where(across, 0.5 * (v[i, level] + v[i + 1, level]), 0.5 * (v[column, k] + v[column, k + 1]))
        for v in (arc, height)
    )
    cell_along = np.diff(columns.wall, axis=0) / np.diff(columns.arc)[:, None]
    along = np.where(across[:, None], cell_along[i], columns.tangent[column])
    up = np.column_stack((-along[:, 1], along[:, 0]))
    return Places(
        inside, face_arc, face_height, along, up, columns.arc, columns.face_height, cell_along, columns
    )


def push(
    mesh: Mesh, where: Places, rows: Sequence[RowStress], *, panel_length: float, unknowns: int = 4
) -> FloatArray:
    """Sources per volume for `setting.Setting.made`, shape (n, unknowns).

    Parameters
    ----------
    mesh : Mesh
    where : Places
    rows : sequence of RowStress
        What they push is added.
    panel_length : float
        Length of the outline on whose arc the rows were placed [chords].
    unknowns : int
        Of a cell.
    """
    made = np.zeros((len(mesh.volume), unknowns))
    ratio = where.column_arc[-1] / panel_length
    for row in rows:
        if row.status != "refused":
            _through_faces(mesh, where, row, ratio, made)
        _in_cells(where, row, ratio, made)
    made /= mesh.volume[:, None]
    return made


def _through_faces(mesh: Mesh, where: Places, row: RowStress, ratio: float, made: FloatArray) -> None:
    step = 1.0 if row.upper else -1.0
    distance = step * (where.arc - ratio * row.rear)
    near = (distance > 0.0) & (where.height < row.height[-1]) & (where.height > 0.0)
    shear = _at(row, row.shear, distance[near], where.height[near])
    axial = _at(row, row.axial, distance[near], where.height[near])
    faces = where.faces[near]
    along, up = step * where.along[near], where.up[near]
    normal, length = mesh.normal[faces, :2], mesh.normal[faces, 2:]
    by_along, by_up = np.sum(normal * along, axis=1), np.sum(normal * up, axis=1)
    force = length * (along * (shear * by_up - axial * by_along)[:, None] + up * (shear * by_along)[:, None])
    for d in range(2):
        np.add.at(made[:, d + 1], mesh.cells[faces, 1], force[:, d])
        np.add.at(made[:, d + 1], mesh.cells[faces, 2], -force[:, d])


def _at(row: RowStress, values: FloatArray, distance: FloatArray, height: FloatArray) -> FloatArray:
    """Values between a march's places; from the lowest height they fall with its square to the skin."""
    y = np.concatenate(([0.0], row.height))
    table = np.concatenate((np.zeros((len(values), 1)), values), axis=1)
    d = np.clip(distance, row.distance[0], row.distance[-1])
    i = np.clip(np.searchsorted(row.distance, d) - 1, 0, len(row.distance) - 2)
    j = np.clip(np.searchsorted(y, height) - 1, 0, len(y) - 2)
    a = (d - row.distance[i]) / (row.distance[i + 1] - row.distance[i])
    b = (height - y[j]) / (y[j + 1] - y[j])
    b = np.where(j == 0, b * b, b)
    low = (1.0 - a) * table[i, j] + a * table[i + 1, j]
    high = (1.0 - a) * table[i, j + 1] + a * table[i + 1, j + 1]
    return np.asarray((1.0 - b) * low + b * high)


def _in_cells(where: Places, row: RowStress, ratio: float, made: FloatArray) -> None:
    """Take the wake out over the vanes' length and height, and what the swirl takes behind them."""
    step = 1.0 if row.upper else -1.0
    ends = step * (where.column_arc - ratio * row.rear)
    first, last = np.minimum(ends[:-1], ends[1:]), np.maximum(ends[:-1], ends[1:])
    long = ratio * abs(row.rear - row.front)
    inside = np.maximum(np.minimum(last, 0.0) - np.maximum(first, -long), 0.0) / long
    covered = np.clip(np.diff(np.minimum(where.cell_height, row.tall), axis=1), 0.0, None)
    share = covered / np.maximum(covered.sum(axis=1, keepdims=True), 1e-30)
    taken = row.sink * inside[:, None] * share
    gone = np.interp(np.maximum(last, 0.0), row.distance, row.swirl)
    gone -= np.interp(np.maximum(first, 0.0), row.distance, row.swirl)
    core = np.interp(0.5 * (first + last), row.distance, row.core)
    share = np.diff(_tent(where.cell_height / core[:, None]), axis=1)
    taken -= gone[:, None] * share / np.maximum(share.sum(axis=1, keepdims=True), 1e-30)
    pushed, real = step * taken[:, :, None] * where.cell_along[:, None], where.columns.real
    made[where.columns.cells[real], 1:3] -= pushed[real]


def _tent(over_core: FloatArray) -> FloatArray:
    """Share below a height of what grows evenly to the vortices' height and falls evenly to twice that.

    The march tells the sum over height only; its spread over height is an own choice.
    """
    z = np.clip(over_core, 0.0, 2.0)
    return np.where(z <= 1.0, 0.5 * z * z, 1.0 - 0.5 * (2.0 - z) ** 2)
