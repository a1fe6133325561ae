"""A flat plate in the minutes tier: mesh, boundaries, friction."""

from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.rans.forces import wall_weights
from slowflight.flow.rans.mesh import FAR, SLIP, WALL, Mesh, Strips, build_mesh
from slowflight.flow.rans.newton import Flow, Marching, uniform_state
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.spacing import geometric, spread, wanted_spacing
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.steady import solve
from slowflight.flow.rans.turbulence import Model, OneEquation, TwoEquation, free_stream
from slowflight.flow.rans.two_equation_newton import from_one_equation, turbulence_alone
from slowflight.flow.solution import FloatArray

ONE = OneEquation()
REYNOLDS = 5e6  # per unit of length
AHEAD, LENGTH, HEIGHT = 0.33, 2.0, 1.0
STATION = 0.970084
FIRST = 5e-6  # height of the first cells on a grid of 48 rows


@dataclass(frozen=True, eq=False)
class PlateMarching(Marching):
    """Outer states do not hang on angle or lift; what leaves is as it is inside."""

    def at(self, alpha: float, circulation: float) -> Problem:
        return self.problem


def plate_mesh(columns: int, rows: int) -> tuple[Mesh, int]:
    """Mesh and the number of columns ahead of the plate."""
    ahead = columns // 6
    before = geometric(np.array([0.004 * 72 / columns]), np.array([AHEAD]), ahead)[0]
    even = np.linspace(0.0, LENGTH, 4001)
    wanted = wanted_spacing(
        even, features=np.array([0.0]), finest=np.array([0.004]), growth=0.12, coarsest=0.08
    )
    on = spread(LENGTH, wanted=wanted, count=columns - ahead)
    x = np.concatenate((-before[:0:-1], on))
    y = geometric(np.array([FIRST * 48 / rows]), np.array([HEIGHT]), rows)[0]
    nodes = np.stack(np.meshgrid(x, y, indexing="ij"), axis=-1)
    ids = np.arange(nodes.shape[0] * nodes.shape[1]).reshape(nodes.shape[:2])
    cells = np.arange(columns * rows, dtype=np.int32).reshape(columns, rows)
    quads = np.stack((ids[:-1, :-1], ids[1:, :-1], ids[1:, 1:], ids[:-1, 1:]), axis=-1).reshape(-1, 4)
    up = np.stack((ids[:-1], ids[1:]), axis=-1).astype(np.int32)
    along = np.swapaxes(np.stack((ids[:, :-1], ids[:, 1:]), axis=-1), 0, 1).astype(np.int32)
    families = [
        Strips(cells[ahead:], up[ahead:], WALL, FAR),
        Strips(cells[:ahead], up[:ahead], SLIP, FAR),
        Strips(np.ascontiguousarray(cells.T), np.ascontiguousarray(along), FAR, FAR),
    ]
    return build_mesh(nodes.reshape(-1, 2), quads.astype(np.int32), families), ahead


def plate_marching(mesh: Mesh, model: Model) -> PlateMarching:
    nu = 1.0 / REYNOLDS
    free = free_stream(model, nu)
    outer = np.tile([0.0, 1.0, 0.0, *free], (len(mesh.edge_cells), 1))
    outer[mesh.edge_kind != FAR] = 0.0
    setting = setting_on(mesh, model, nu=nu)._replace(outer=outer)
    pattern = sparse_pattern(mesh)
    return PlateMarching(Problem(mesh, pattern, setting), DirectSolver(pattern), free, vortex=False)


def solve_plate(
    mesh: Mesh,
    start: FloatArray | None,
    *,
    model: Model = ONE,
    tolerance: float = 1e-10,
) -> Flow:
    here = plate_marching(mesh, model)
    leaving = (mesh.edge_kind == FAR) & (mesh.edge_middle[:, 0] > LENGTH - 1e-9)
    if start is None and isinstance(model, TwoEquation):
        one = solve_plate(mesh, None)
        start = turbulence_alone(here.problem, here, from_one_equation(here.problem, one.q))
    q = uniform_state(here, alpha=0.0) if start is None else start
    cfl = 5.0 if start is None else 50.0
    for _ in range(3):  # what is outside the end follows what is inside
        flow = solve(here, alpha=0.0, q=q, first_cfl=cfl, most_steps=120, tolerance=tolerance)
        outer = here.problem.setting.outer.copy()
        outer[leaving, 1:] = flow.q[mesh.edge_cells[leaving, 0], 1:]
        problem = replace(here.problem, setting=here.problem.setting._replace(outer=outer))
        here = PlateMarching(problem, here.solver, here.turbulence, vortex=False)
        q, cfl = flow.q, 1e4
    return flow


def friction(mesh: Mesh, flow: Flow) -> float:
    """Friction coefficient at the station."""
    here = plate_marching(mesh, OneEquation() if flow.q.shape[1] == 4 else TwoEquation())
    wall = mesh.edge_kind == WALL
    _, weights = wall_weights(here.problem)
    force = np.einsum("wkv,wkv->w", weights[:, 0], flow.q[mesh.edge_cells[wall]])
    coefficient = 2.0 * force / mesh.edge_normal[wall, 2]
    return float(np.interp(STATION, mesh.edge_middle[wall, 0], coefficient))


def resampled(q: FloatArray, source: tuple[int, int], target: tuple[int, int]) -> FloatArray:
    """A state between plate meshes, line by line in the mesh's own directions."""
    from scipy.interpolate import RegularGridInterpolator

    values = q.reshape(*source, q.shape[1])
    places = [(np.arange(n) + 0.5) / n for n in source]
    wanted = np.meshgrid(*((np.arange(n) + 0.5) / n for n in target), indexing="ij")
    found = RegularGridInterpolator(places, values, bounds_error=False, fill_value=None)(
        np.stack(wanted, axis=-1)
    )
    return np.asarray(found.reshape(-1, q.shape[1]))
