"""Where the blocks of the Jacobian stand."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from slowflight.flow.rans.mesh import Indices, Mesh

SLOTS = 12  # cells a face sees: four along its line, four about each of its nodes


class Pattern(NamedTuple):
    """Where the blocks of the Jacobian stand.

    Parameters
    ----------
    starts, columns : Indices
        Block rows as in a compressed sparse matrix.
    face : Indices
        Place of the block of (row cell 1 or 2, column cell) per face, shape (f, 2, 12), -1 for none.
    cell : Indices
        Place of the blocks of a cell's gradient, shape (n, 5).
    edge : Indices
        Place of the blocks of a boundary face, shape (b, 2).
    """

    starts: Indices
    columns: Indices
    face: Indices
    cell: Indices
    edge: Indices


def sparse_pattern(mesh: Mesh) -> Pattern:
    """Find which cell depends on which."""
    n = len(mesh.volume)
    around = mesh.node_cells[mesh.nodes].reshape(-1, 8)
    used = mesh.node_weight[mesh.nodes].reshape(-1, 8) != 0.0
    columns = np.hstack((mesh.cells, np.where(used, around, -1))).astype(np.int64)
    rows = mesh.cells[:, 1:3].astype(np.int64)
    keys = [
        np.where(columns[:, None, :] >= 0, rows[:, :, None] * n + columns[:, None, :], -1).ravel(),
        np.where(mesh.slope_cells >= 0, np.arange(n)[:, None] * n + mesh.slope_cells, -1).ravel(),
        (mesh.edge_cells[:, :1].astype(np.int64) * n + mesh.edge_cells).ravel(),
    ]
    found, place = np.unique(np.concatenate(keys), return_inverse=True)
    if found[0] < 0:
        found, place = found[1:], place - 1
    face, cell, edge = np.split(place.astype(np.int32), np.cumsum([k.size for k in keys])[:-1])
    starts = np.searchsorted(found, np.arange(n + 1) * n).astype(np.int32)
    return Pattern(
        starts,
        (found % n).astype(np.int32),
        face.reshape(-1, 2, SLOTS),
        cell.reshape(-1, 5),
        edge.reshape(-1, 2),
    )
