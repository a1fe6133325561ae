"""Order of accuracy on manufactured solutions (Roache 2002): a field, and the sources that make it exact.

The grid is a wavy square. Pressure and velocities are second order, the turbulence variable first order, as
its advection is. Sources come from the exact field by differences of fourth order in the fluxes and complex
steps in the field, not from the code under test, except for the turbulence models' own closures and sources.
"""

from collections.abc import Callable

import numpy as np
import pytest

from slowflight.flow.rans import shear_stress
from slowflight.flow.rans.mesh import FAR, Mesh, Strips, build_mesh
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.spalart_allmaras import CB2, CV1, SIGMA, source
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.turbulence import Model, OneEquation, TwoEquation
from slowflight.flow.solution import FloatArray

NU, WALL_DISTANCE = 0.05, 0.05
TWO_DISTANCE = 2.0  # the two-equation model's blending is between its ends there, and its cross term on
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


def divergence(
    of: Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]], x: FloatArray, y: FloatArray
) -> FloatArray:
    h = 1e-3
    total = np.zeros_like(of(x, y)[0])
    for which, (dx, dy) in enumerate(((h, 0.0), (0.0, h))):
        near = of(x + dx, y + dy)[which] - of(x - dx, y - dy)[which]
        far = of(x + 2 * dx, y + 2 * dy)[which] - of(x - 2 * dx, y - 2 * dy)[which]
        total += (8.0 * near - far) / (12.0 * h)
    return total


def made(x: FloatArray, y: FloatArray) -> FloatArray:
    total = divergence(fluxes, x, y)
    by_x, by_y = slopes(x, y)
    spin = np.sqrt((by_x[:, 2] - by_y[:, 1]) ** 2 + 1e-12)
    own = [source(t, s, WALL_DISTANCE, NU, 1.0) for t, s in zip(exact(x, y)[:, 3], spin, strict=True)]
    total[:, 3] -= np.array(own) + CB2 / SIGMA * NU * (by_x[:, 3] ** 2 + by_y[:, 3] ** 2)
    return total


def exact_two(x: FloatArray, y: FloatArray) -> FloatArray:
    """As `exact`, with k over the molecular viscosity and ln omega."""
    k = np.pi
    one = exact(x, y)
    omega = np.log(10.0) + 0.3 * np.sin(k * y + 0.2) * np.cos(k * x) + 0.3 * np.sin(k * x + 0.5)
    return np.concatenate((one, omega[..., None]), axis=-1)


def slopes_two(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    by_x = exact_two(x + STEP * 1j, y + 0j).imag / STEP  # type: ignore[arg-type]
    return by_x, exact_two(x + 0j, y + STEP * 1j).imag / STEP  # type: ignore[arg-type]


def invariants(x: FloatArray, y: FloatArray) -> FloatArray:
    """Vorticity, square of strain, cross product of the gradients of k / nu and ln omega; shape (n, 3)."""
    (_, ux, vx, kx, wx), (_, uy, vy, ky, wy) = (np.moveaxis(g, -1, 0) for g in slopes_two(x, y))
    spin = np.sqrt((vx - uy) ** 2 + 1e-12)
    strain = 2.0 * (ux * ux + vy * vy) + (uy + vx) ** 2
    return np.stack((spin, strain, kx * wx + ky * wy), axis=-1)


def turbulence_two(x: FloatArray, y: FloatArray) -> FloatArray:
    """K over the molecular viscosity and ln omega over its asymptote, shape (n, 2)."""
    left = np.log(shear_stress.wall_omega(TWO_DISTANCE, NU))
    return np.asarray(exact_two(x, y)[:, 3:] - [0.0, left], dtype=float)


def closures_two(x: FloatArray, y: FloatArray) -> FloatArray:
    found = np.zeros((x.size, 4))
    for out, t, (spin, _, cross) in zip(found, turbulence_two(x, y), invariants(x, y), strict=True):
        shear_stress.closure(t, spin, cross, TWO_DISTANCE, NU, out)
    return found


def fluxes_two(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    p, u, v, k, w = np.moveaxis(exact_two(x, y), -1, 0)
    (_, ux, vx, kx, wx), (_, uy, vy, ky, wy) = (np.moveaxis(g, -1, 0) for g in slopes_two(x, y))
    eddy, by_k, by_w, _ = np.moveaxis(closures_two(x, y), -1, 0)
    mu = NU * (1.0 + eddy)
    shear = mu * (uy + vx)
    along = (u, u * u + p - 2.0 * mu * ux, u * v - shear, u * k - by_k * kx, u * w - by_w * wx)
    across = (v, u * v - shear, v * v + p - 2.0 * mu * vy, v * k - by_k * ky, v * w - by_w * wy)
    return np.stack(along, axis=-1), np.stack(across, axis=-1)


def made_two(x: FloatArray, y: FloatArray) -> FloatArray:
    total = divergence(fluxes_two, x, y)
    by_x, by_y = slopes_two(x, y)
    wall = np.zeros(2)
    for i, (t, (spin, strain, cross)) in enumerate(zip(turbulence_two(x, y), invariants(x, y), strict=True)):
        shear_stress.sources(
            t, spin, strain, cross, 0.0, 0.0, TWO_DISTANCE, NU, 1.0,
            shear_stress.AMBIENT_K, shear_stress.AMBIENT_OMEGA, wall,
        )  # fmt: skip
        total[i, 3:] -= wall
    # div(D grad omega) / omega = div(D grad ln omega) + D |grad ln omega|^2, and the cross term
    _, _, by_w, cross_factor = np.moveaxis(closures_two(x, y), -1, 0)
    total[:, 4] -= by_w * (by_x[:, 4] ** 2 + by_y[:, 4] ** 2) + cross_factor * invariants(x, y)[:, 2]
    return total


def wavy_square(n: int, distance: float) -> tuple[Mesh, FloatArray]:
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
    return mesh._replace(node_weight=weight, distance=np.full(n * n, distance)), nodes


def errors(n: int, model: Model) -> FloatArray:
    """Of pressure, velocities and turbulence, roots of mean squares."""
    two = isinstance(model, TwoEquation)
    mesh, nodes = wavy_square(n, TWO_DISTANCE if two else WALL_DISTANCE)
    left = np.log(shear_stress.wall_omega(TWO_DISTANCE, NU)) if two else 0.0

    def field(x: FloatArray, y: FloatArray) -> FloatArray:
        found = exact_two(x, y) if two else exact(x, y)
        if two:
            found[:, 4] -= left
        return found

    edge = np.unique(mesh.edge_nodes)
    at_nodes = np.zeros((len(nodes), 4 if two else 3))
    at_nodes[edge] = field(nodes[edge, 0], nodes[edge, 1])[:, 1:]
    sources = (made_two if two else made)(mesh.center[:, 0], mesh.center[:, 1])
    pattern = sparse_pattern(mesh)
    setting = setting_on(mesh, model, nu=NU)._replace(
        outer=field(mesh.edge_middle[:, 0], mesh.edge_middle[:, 1]),
        at_nodes=at_nodes,
        made=sources,
        sheared_edges=True,
    )
    problem = Problem(mesh, pattern, setting)
    solver = DirectSolver(pattern)
    wanted = field(mesh.center[:, 0], mesh.center[:, 1])
    q = wanted.copy()
    for _ in range(8):
        r = problem.residual(q)
        solver.factorize(problem.jacobian(q))
        q = q - solver.solve(r.ravel()).reshape(q.shape)
    assert np.linalg.norm(problem.residual(q)) < 1e-11
    return np.asarray(np.sqrt(np.sum(mesh.volume[:, None] * (q - wanted) ** 2, axis=0)))


def test_flow_is_second_order_and_turbulence_first() -> None:
    coarse, fine = errors(24, OneEquation()), errors(48, OneEquation())
    order = np.log2(coarse / fine)
    assert order[:3] == pytest.approx([2.0, 2.0, 2.0], abs=0.25)
    assert 0.9 < order[3] < 1.6


def test_orders_with_the_two_equation_model() -> None:
    """K and omega come up to first order from below."""
    coarse, middle, fine = (errors(n, TwoEquation()) for n in (12, 24, 48))
    before, order = np.log2(coarse / middle), np.log2(middle / fine)
    assert order[:3] == pytest.approx([2.0, 2.0, 2.0], abs=0.25)
    assert np.all((order[3:] > 0.85) & (order[3:] < 1.6)), order
    assert np.all(order[3:] > before[3:])


def test_the_two_equation_model_s_field_is_between_its_layers() -> None:
    """Or neither its blending nor its cross term would have been tried."""
    even = np.linspace(0.05, 0.95, 10)
    x, y = (part.ravel() for part in np.meshgrid(even, even))
    factor = closures_two(x, y)[:, 3]
    omega = np.exp(exact_two(x, y)[:, 4])
    blending = 1.0 - factor * omega / (2.0 * shear_stress.SIGMA_W2 * NU)
    assert np.min(blending) < 0.3
    assert np.ptp(blending) > 0.05
    cross = factor * invariants(x, y)[:, 2]
    assert np.max(np.abs(cross)) > 1e-3
