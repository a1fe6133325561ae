"""Factorization front by front, beside SciPy's dense solution (a general-purpose reference library)."""

import numpy as np
import pytest
from scipy import sparse

from slowflight.flow.rans.fronts import find_fronts
from slowflight.flow.rans.multifrontal import factorize, solve_with


def random_blocks(rng: np.random.Generator, n: int, b: int) -> tuple[sparse.csr_matrix, np.ndarray]:
    """An unsymmetric pattern with its diagonal, and blocks with a heavy one."""
    pattern = (rng.random((n, n)) < 4.0 / n) | np.eye(n, dtype=bool)
    graph = sparse.csr_matrix(pattern.astype(float))
    graph.sort_indices()
    blocks = rng.normal(size=(graph.nnz, b, b))
    rows = np.repeat(np.arange(n), np.diff(graph.indptr))
    blocks[rows == graph.indices] += 12.0 * np.eye(b)
    return graph, blocks


@pytest.mark.parametrize("n", [1, 2, 30, 300])
@pytest.mark.parametrize("b", [3, 4, 5])
@pytest.mark.parametrize("transposed", [False, True])
def test_answers_are_those_of_a_dense_solution(n: int, b: int, transposed: bool) -> None:
    rng = np.random.default_rng((n, b))
    graph, blocks = random_blocks(rng, n, b)
    dense = sparse.bsr_matrix((blocks, graph.indices, graph.indptr), shape=(b * n, b * n)).toarray()
    fronts = find_fronts(graph.indptr, graph.indices, rng.permutation(n).astype(np.int32))
    right = rng.normal(size=(n, b))
    found = np.empty((n, b))
    taken = right[fronts.order].ravel().astype(np.float32)
    found[fronts.order] = solve_with(factorize(fronts, blocks), taken, transposed).reshape(n, b)
    expected = np.linalg.solve(dense.T if transposed else dense, right.ravel())
    assert np.linalg.norm(found.ravel() - expected) < 1e-5 * np.linalg.norm(expected)


def test_each_cell_and_each_block_is_taken_once() -> None:
    rng = np.random.default_rng(3)
    graph, _ = random_blocks(rng, 200, 1)
    fronts = find_fronts(graph.indptr, graph.indices, rng.permutation(200).astype(np.int32))
    assert sorted(fronts.order) == list(range(200))
    assert sorted(fronts.entry) == list(range(graph.nnz))
    assert fronts.first[0] == 0
    assert fronts.first[-1] == 200
    assert 1 < len(fronts.first) - 1 < 200  # some cells go together, not all


def test_a_singular_front_is_said() -> None:
    fronts = find_fronts(np.array([0, 1]), np.array([0]), np.array([0], dtype=np.int32))
    with pytest.raises(np.linalg.LinAlgError):
        factorize(fronts, np.zeros((1, 4, 4)))
