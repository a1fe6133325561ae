"""Layers and outer flow of one or several bodies as one linear system about a state, solved either way.

For given changes of ln m, m the mass defects, the layer equations give the changes of the other unknowns:
they are marched from one trailing edge to the other and on (``x = X dln m + x0``). The condition that each
layer's edge speed is the outer flow's closes that to one dense system, the one of ``coupling``. The
transposed system is solved in the reverse order with the same factors, so that the derivatives of any number
with respect to any number of sources cost two solutions.

Source: the discrete adjoint of a coupled system is the transpose of its Jacobian, see Giles and Pierce, Flow,
Turbulence and Combustion 65, 2000, pp. 393-415 (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy.linalg import lu_factor, lu_solve
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from slowflight.flow.integral.coupling import mass_defects
from slowflight.flow.integral.elimination import LEAST_SPEED
from slowflight.flow.integral.linearized import Blocks, linearize
from slowflight.flow.solution import FloatArray

ENERGY_EQUATION = 1  # its place among the four of a station
T, H, A, N, W = range(5)  # columns of a state


@dataclass(frozen=True, kw_only=True)
class BodyFlow:
    """One body's part of the coupled flow, apart from its state.

    Parameters
    ----------
    first, stations, on_body : int
        Its first station among all, how many it has with its wake, and how many on its skin.
    arc : FloatArray
        Arc length, then distance of wake stations from the trailing edge [chords], shape (stations,).
    trips : FloatArray
        See ``carried.forced_growth``.
    gap, closing : float
        Thickness of the trailing edge and the length over which it closes [chords].
    slot : bool
        Whether it is one of several bodies, see ``full_layer``.
    """

    first: int
    stations: int
    on_body: int
    arc: FloatArray
    trips: FloatArray
    gap: float
    closing: float
    slot: bool

    @property
    def slice(self) -> slice:
        """Its stations among all."""
        return slice(self.first, self.first + self.stations)


@dataclass(frozen=True, kw_only=True)
class OuterFlow:
    """Bodies in one outer flow at one angle of attack.

    Parameters
    ----------
    bodies : tuple of BodyFlow
    q0, D : FloatArray
        Signed speeds without layers, and their change per signed mass defect, shapes (n,) and (n, n).
    lag, critical : float
        Lag constant and critical amplification factor [-].
    """

    bodies: tuple[BodyFlow, ...]
    q0: FloatArray
    D: FloatArray
    lag: float
    critical: float


@dataclass(frozen=True, kw_only=True)
class LinearSystem:
    """The equations linearized about a state.

    Parameters
    ----------
    state : FloatArray
        Shape (n, 5).
    layer_residual : FloatArray
        Of the layer equations, shape (4 n,).
    speed_residual : FloatArray
        Edge speed less the outer flow's, shape (n,).
    outer : FloatArray
        Speed of the outer flow, along the stations' own way, shape (n,).
    held : tuple of int
        Stations held at stagnation.
    layers_by_unknowns, layers_by_mass, speeds_by_unknowns : sparse
        Derivatives with respect to (t, a, N, w) of each station and to ln m, shapes (4 n, 4 n), (4 n, n) and
        (n, 4 n).
    speeds_by_mass : FloatArray
        Shape (n, n).
    by_source : sparse
        Of the layer equations with respect to D_v at each station, shape (4 n, n).
    by_reynolds : FloatArray
        With respect to ln of the Reynolds number, shape (4 n,).
    share : FloatArray
        d ln m / dh at each station, shape (n,).
    """

    state: FloatArray
    layer_residual: FloatArray
    speed_residual: FloatArray
    outer: FloatArray
    held: tuple[int, ...]
    layers_by_unknowns: Any
    layers_by_mass: Any
    speeds_by_unknowns: Any
    speeds_by_mass: FloatArray
    by_source: Any
    by_reynolds: FloatArray
    share: FloatArray

    @cached_property
    def _layers(self) -> Any:
        return splu(self.layers_by_unknowns.tocsc())

    @cached_property
    def _marched(self) -> FloatArray:
        return np.asarray(self._layers.solve(self.layers_by_mass.toarray()))

    @cached_property
    def _closed(self) -> Any:
        return lu_factor(self.speeds_by_mass - self.speeds_by_unknowns @ self._marched)

    def step(self) -> FloatArray:
        """Newton's change of all unknowns, shape (n, 5)."""
        alone = self._layers.solve(self.layer_residual)
        mass = lu_solve(self._closed, self.speeds_by_unknowns @ alone - self.speed_residual)
        others = (-alone - self._marched @ mass).reshape(-1, 4)
        change = np.empty_like(self.state)
        change[:, [T, A, N, W]] = others
        change[:, H] = (mass - others[:, 0] - others[:, 3]) / self.share
        return change

    def multipliers(self, gradient: FloatArray) -> FloatArray:
        """Solve the transposed system for one number.

        Parameters
        ----------
        gradient : FloatArray
            Its derivatives with respect to all unknowns, shape (n, 5).

        Returns
        -------
        FloatArray
            What a unit of each layer equation's residual, taken away, changes of it, shape (4 n,).
        """
        by_mass = gradient[:, H] / self.share
        by_unknowns = gradient[:, [T, A, N, W]].copy()
        by_unknowns[:, 0] -= by_mass
        by_unknowns[:, 3] -= by_mass
        alone = self._layers.solve(by_unknowns.ravel(), "T")
        speeds = lu_solve(self._closed, by_mass - self.layers_by_mass.T @ alone, trans=1)
        return np.asarray(self._layers.solve(by_unknowns.ravel() - self.speeds_by_unknowns.T @ speeds, "T"))


def linear_system(
    flow: OuterFlow, state: FloatArray, stagnation: Sequence[int], *, added: FloatArray, reynolds: float
) -> LinearSystem:
    """Linearize all equations about a state.

    Parameters
    ----------
    flow : OuterFlow
    state : FloatArray
        Shape (n, 5); N, S and the first stations are brought to what the others make them, in place.
    stagnation : sequence of int
        On each body, the panel where the flow divides.
    added : FloatArray
        D_v at all stations [-], shape (n,).
    reynolds : float
        [-].

    Returns
    -------
    LinearSystem
    """
    n = state.shape[0]
    sign = np.ones(n)
    parts: list[Blocks] = []
    for body, js in zip(flow.bodies, stagnation, strict=True):
        sign[body.first : body.first + js + 1] = -1.0
        parts.append(
            linearize(
                state[body.slice], body.arc, body.on_body, js, body.trips, added[body.slice], reynolds,
                flow.lag, flow.critical, body.gap, body.closing, body.slot,
            )
        )  # fmt: skip
    mass = mass_defects(state)
    share = np.exp(state[:, H]) / (1.0 + np.exp(state[:, H]))
    unknowns, masses, sources = (_Entries(share) for _ in range(3))
    for body, blocks in zip(flow.bodies, parts, strict=True):
        _gather(body, blocks, unknowns, masses, sources)
    speed = np.exp(state[:, W])
    outer = sign * (flow.q0 + flow.D @ (sign * mass))
    residual = speed - outer
    rows, columns, values = list(range(n)), [4 * i + 3 for i in range(n)], list(speed)
    by_mass = -sign[:, None] * flow.D * (sign * mass)[None, :]
    held = []
    for body, blocks, js in zip(flow.bodies, parts, stagnation, strict=True):
        if blocks.held < 0:
            continue
        # ln u of a station at stagnation is that of a set share of its panel's speeds
        i = body.first + blocks.held
        j = body.first + 2 * js + 1 - blocks.held
        both = speed[i] + speed[j]
        held.append(i)
        by_mass[i] = 0.0
        residual[i] = state[i, W] - np.log(LEAST_SPEED * both)
        values[i] = 1.0 - speed[i] / both
        rows.append(i)
        columns.append(4 * j + 3)
        values.append(-speed[j] / both)
    return LinearSystem(
        state=state,
        layer_residual=np.concatenate([p.R.ravel() for p in parts]),
        speed_residual=residual,
        outer=outer,
        held=tuple(held),
        layers_by_unknowns=unknowns.matrix((4 * n, 4 * n)),
        layers_by_mass=masses.matrix((4 * n, n)),
        speeds_by_unknowns=coo_matrix((values, (rows, columns)), shape=(n, 4 * n)).tocsr(),
        speeds_by_mass=by_mass,
        by_source=sources.matrix((4 * n, n)),
        by_reynolds=np.concatenate([p.by_reynolds.ravel() for p in parts]),
        share=share,
    )


class _Entries:
    """Entries of a sparse matrix, gathered block by block."""

    def __init__(self, share: FloatArray) -> None:
        self.share = share
        self.rows: list[np.ndarray] = []
        self.columns: list[np.ndarray] = []
        self.values: list[np.ndarray] = []

    def add(self, rows: np.ndarray, columns: np.ndarray, values: np.ndarray) -> None:
        """Add entries, all of one shape."""
        rows, columns, values = np.broadcast_arrays(rows, columns, values)
        self.rows.append(rows.ravel())
        self.columns.append(columns.ravel())
        self.values.append(values.ravel())

    def matrix(self, shape: tuple[int, int]) -> Any:
        """The matrix; entries at one place are summed."""
        values, rows, columns = (np.concatenate(part) for part in (self.values, self.rows, self.columns))
        keep = values != 0.0
        return coo_matrix((values[keep], (rows[keep], columns[keep])), shape=shape).tocsc()


def _gather(body: BodyFlow, blocks: Blocks, unknowns: _Entries, masses: _Entries, sources: _Entries) -> None:
    """Write one body's derivatives with ln m in place of h, which the other unknowns and ln m give."""
    count, first = body.stations, body.first
    station = np.arange(count)
    wake = body.on_body  # its first wake station has two stations upstream
    there = blocks.there.copy()
    there[wake] = 0.0
    pieces = [(station, station, blocks.here), (station, blocks.upstream, there)]
    for edge, part in ((0, blocks.from_lower), (wake - 1, blocks.from_upper)):
        pieces.append((np.array([wake]), np.array([edge]), part[None]))
    equation = np.arange(4)
    for at, of, J in pieces:
        share = unknowns.share[first + of][:, None]
        by_mass = J[:, :, H] / share
        by_others = np.stack((J[:, :, T] - by_mass, J[:, :, A], J[:, :, N], J[:, :, W] - by_mass), axis=2)
        row = 4 * (first + at)[:, None] + equation
        unknowns.add(row[:, :, None], 4 * (first + of)[:, None, None] + np.arange(4), by_others)
        masses.add(row, (first + of)[:, None], by_mass)
    row = 4 * (first + station) + ENERGY_EQUATION
    sources.add(row, first + station, blocks.source_here)
    sources.add(row, first + blocks.upstream, blocks.source_there)
