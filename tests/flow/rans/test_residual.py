"""The residual and its Jacobian, with either turbulence model."""

import numpy as np
import pytest

from slowflight.flow.rans.grid import GridSize, section_grid
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.turbulence import FLOW, Model, OneEquation, TwoEquation, free_stream
from slowflight.flow.solution import FloatArray
from slowflight.wing.naca import naca_section

NU = 5e-7


@pytest.fixture(scope="module", params=[OneEquation(), TwoEquation()], ids=["one", "two"])
def problem(request: pytest.FixtureRequest) -> Problem:
    model: Model = request.param
    mesh = section_grid(naca_section("naca4412"), reynolds=2e6, family=GridSize(22, 8, 12, 4)).mesh()
    setting = setting_on(mesh, model, nu=NU)
    outer = np.tile(even(model), (len(mesh.edge_cells), 1))
    outer[mesh.edge_kind == 1] = 0.0
    return Problem(mesh, sparse_pattern(mesh), setting._replace(outer=outer))


def even(model: Model) -> FloatArray:
    return np.array([0.01, 0.98, 0.2, *free_stream(model, NU)])


def test_uniform_flow_away_from_walls_is_in_balance(problem: Problem) -> None:
    mesh = problem.mesh
    q = np.tile(even(problem.setting.model), (len(mesh.volume), 1))
    r = problem.residual(q)[:, :FLOW]
    touched = np.zeros(len(q), dtype=bool)
    near = np.unique(mesh.edge_cells[mesh.edge_kind == 1])
    touched[near] = True
    for _ in range(2):  # wall values reach two cells into the flow
        faces = np.any(touched[mesh.cells[:, 1:3]], axis=1)
        touched[mesh.cells[faces][:, 1:3].ravel()] = True
    assert np.max(np.abs(r[~touched])) < 1e-11
    assert np.max(np.abs(r[touched])) > 1e-3


def test_jacobian_is_the_derivative(problem: Problem) -> None:
    """Against complex steps of the whole residual, at a random state with negative turbulence in places."""
    rng = np.random.default_rng(1)
    q, d = rng.normal(size=(2, len(problem.mesh.volume), problem.unknowns))
    q[:, 3] *= 30.0
    d[:, 3] *= 30.0
    assert np.any(q[:, 3] < 0.0)
    matrix = problem.jacobian(q)
    exact = problem.residual(q + 1e-30j * d).imag / 1e-30
    scale = (abs(matrix) @ np.abs(d.ravel())).reshape(q.shape)
    assert np.max(np.abs((matrix @ d.ravel()).reshape(q.shape) - exact) / scale) < 1e-12
