"""Order of accuracy on a manufactured solution (Roache 2002): a field, and the sources that make it exact.

The grid is a wavy square. Pressure and velocities are second order, the turbulence variable first order, as
its advection is. Sources come from the exact field by differences of fourth order in the fluxes and complex
steps in the field, not from the code under test, except for the turbulence model's own source.
"""

import numpy as np
import pytest

from slowflight.flow.rans.mesh import FAR, Mesh, Strips, build_mesh
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.spalart_allmaras import CB2, CV1, SIGMA, source
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.turbulence import OneEquation
from slowflight.flow.solution import FloatArray

NU, WALL_DISTANCE = 0.05, 0.05
STEP = 1e-30


def exact(x: FloatArray, y: FloatArray) -> FloatArray:
    k = np.pi
    return np.stack(
        (
            0.3 * np.cos(k * x) * np.cos(k * y),
            1.0 + 0.2 * np.sin(k * x) * np.cos(k * y),
            0.3 - 0.2 * np.cos(k * x) * np.sin(k * y),
            2.0 + 0.5 * np.sin(k * x + 0.5) * np.cos(k * y),
        ),
        axis=-1,
    )


def slopes(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    by_x = exact(x + STEP * 1j, y + 0j).imag / STEP  # type: ignore[arg-type]
    return by_x, exact(x + 0j, y + STEP * 1j).imag / STEP  # type: ignore[arg-type]


def fluxes(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    p, u, v, t = np.moveaxis(exact(x, y), -1, 0)
    (_, ux, vx, tx), (_, uy, vy, ty) = (np.moveaxis(g, -1, 0) for g in slopes(x, y))
    mu = NU * (1.0 + t**4 / (t**3 + CV1**3))
    spread = NU / SIGMA * (1.0 + t)
    along = (u, u * u + p - 2.0 * mu * ux, u * v - mu * (uy + vx), u * t - spread * tx)
    across = (v, u * v - mu * (uy + vx), v * v + p - 2.0 * mu * vy, v * t - spread * ty)
    return np.stack(along, axis=-1), np.stack(across, axis=-1)


def made(x: FloatArray, y: FloatArray) -> FloatArray:
    h = 1e-3
    total = np.zeros((x.size, 4))
    for which, (dx, dy) in enumerate(((h, 0.0), (0.0, h))):
        near = fluxes(x + dx, y + dy)[which] - fluxes(x - dx, y - dy)[which]
        far = fluxes(x + 2 * dx, y + 2 * dy)[which] - fluxes(x - 2 * dx, y - 2 * dy)[which]
        total += (8.0 * near - far) / (12.0 * h)
    by_x, by_y = slopes(x, y)
    spin = np.sqrt((by_x[:, 2] - by_y[:, 1]) ** 2 + 1e-12)
    own = [source(t, s, WALL_DISTANCE, NU, 1.0) for t, s in zip(exact(x, y)[:, 3], spin, strict=True)]
    total[:, 3] -= np.array(own) + CB2 / SIGMA * NU * (by_x[:, 3] ** 2 + by_y[:, 3] ** 2)
    return total


def wavy_square(n: int) -> tuple[Mesh, FloatArray]:
    even = np.linspace(0.0, 1.0, n + 1)
    x, y = np.meshgrid(even, even, indexing="ij")
    wave = 0.08 * np.sin(np.pi * x) ** 2 * np.sin(np.pi * y) ** 2
    nodes = np.stack((x + wave, y + wave), axis=-1).reshape(-1, 2)
    ids = np.arange((n + 1) ** 2).reshape(n + 1, n + 1)
    cells = np.arange(n * n).reshape(n, n)
    quads = np.stack((ids[:-1, :-1], ids[1:, :-1], ids[1:, 1:], ids[:-1, 1:]), axis=-1).reshape(-1, 4)
    up = np.stack((ids[:-1], ids[1:]), axis=-1)
    along = np.swapaxes(np.stack((ids[:, :-1], ids[:, 1:]), axis=-1), 0, 1)
    families = [Strips(cells, up, FAR, FAR), Strips(cells.T, along, FAR, FAR)]
    mesh = build_mesh(nodes, quads, families, second_order_edges=True)
    weight = mesh.node_weight.copy()
    weight[np.unique(mesh.edge_nodes)] = 0.0  # given at boundary nodes
    return mesh._replace(node_weight=weight, distance=np.full(n * n, WALL_DISTANCE)), nodes


def errors(n: int) -> FloatArray:
    mesh, nodes = wavy_square(n)
    edge = np.unique(mesh.edge_nodes)
    at_nodes = np.zeros((len(nodes), 3))
    at_nodes[edge] = exact(nodes[edge, 0], nodes[edge, 1])[:, 1:]
    outer = exact(mesh.edge_middle[:, 0], mesh.edge_middle[:, 1])
    sources = made(mesh.center[:, 0], mesh.center[:, 1])
    pattern = sparse_pattern(mesh)
    setting = setting_on(mesh, OneEquation(), nu=NU)._replace(
        outer=outer, at_nodes=at_nodes, made=sources, sheared_edges=True
    )
    problem = Problem(mesh, pattern, setting)
    solver = DirectSolver(pattern)
    wanted = exact(mesh.center[:, 0], mesh.center[:, 1])
    q = wanted.copy()
    for _ in range(8):
        r = problem.residual(q)
        solver.factorize(problem.jacobian(q))
        q = q - solver.solve(r.ravel()).reshape(q.shape)
    assert np.linalg.norm(problem.residual(q)) < 1e-11
    return np.asarray(np.sqrt(np.sum(mesh.volume[:, None] * (q - wanted) ** 2, axis=0)))


def test_flow_is_second_order_and_turbulence_first() -> None:
    coarse, fine = errors(24), errors(48)
    order = np.log2(coarse / fine)
    assert order[:3] == pytest.approx([2.0, 2.0, 2.0], abs=0.25)
    assert 0.9 < order[3] < 1.6
