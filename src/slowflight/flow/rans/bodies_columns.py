"""Columns of cells off the skins of a wing and its flap."""

from __future__ import annotations

import numpy as np

from slowflight.flow.rans.bodies_mesh import Numbered, skin_faces
from slowflight.flow.rans.mesh import Indices, Mesh
from slowflight.flow.rans.skin_columns import SkinColumns
from slowflight.flow.solution import FloatArray


def wing_columns(n: Numbered, mesh: Mesh) -> SkinColumns:
    """Those off the wing: above the flap's ring they end on it, elsewhere they run to the far boundary."""
    grid = n.grid
    wake, over, under = grid.wing_wake, grid.over_ring, grid.under_ring
    columns = len(n.near_cells)
    cells = _longer(n.near_cells, np.hstack((n.strip_cells, n.outer_cells[under:])), over)
    lines = _longer(n.near, np.hstack((n.strip[:, 1:], n.outer[under:, 1:])), over)
    mine = slice(wake, columns - wake)
    deep = np.where(np.arange(columns) < over, n.near_cells.shape[1], cells.shape[1])[mine]
    nodes: FloatArray = n.points[lines[wake : columns + 1 - wake]]
    return SkinColumns(nodes, cells[mine], deep, skin_faces(mesh, n.wing_skin), grid.cells)


def flap_columns(n: Numbered, mesh: Mesh) -> SkinColumns:
    """Those off the flap, out to the edge of its ring."""
    wake, columns = n.grid.flap_wake, len(n.ring_cells)
    cells = n.ring_cells[wake : columns - wake]
    nodes: FloatArray = n.points[n.ring[wake : columns + 1 - wake]]
    deep = np.full(len(cells), cells.shape[1])
    return SkinColumns(nodes, cells, deep, skin_faces(mesh, n.flap_skin), n.grid.cells)


def _longer(inner: Indices, outer: Indices, begin: int) -> Indices:
    """Lines of a block and, from one of them on, what lies outward; those before repeat their last."""
    more = np.repeat(inner[:, -1:], outer.shape[1], axis=1)
    more[begin:] = outer
    return np.hstack((inner, more))
