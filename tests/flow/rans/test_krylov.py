"""Minimal residuals: the right answer, the error it says, and what a good preconditioner saves."""

import numpy as np
import pytest

from slowflight.flow.rans.krylov import minimal_residual

RNG = np.random.default_rng(3)
MATRIX = np.eye(60) + 0.5 * RNG.normal(size=(60, 60)) / np.sqrt(60.0)
RIGHT = RNG.normal(size=60)


def test_the_error_said_is_the_error_left() -> None:
    for most in (5, 15, 60):
        found = minimal_residual(lambda x: MATRIX @ x, lambda y: y, RIGHT, tolerance=1e-10, most=most)
        left = np.linalg.norm(MATRIX @ found.x - RIGHT) / np.linalg.norm(RIGHT)
        assert found.error == pytest.approx(left, rel=1e-3, abs=1e-12)
        assert found.iterations <= most
    assert found.error < 1e-10
    np.testing.assert_allclose(found.x, np.linalg.solve(MATRIX, RIGHT), atol=1e-8)


def test_no_iterate_of_as_many_steps_is_nearer() -> None:
    """Least squares over the same Krylov space give the same residual (the method's definition)."""
    found = minimal_residual(lambda x: MATRIX @ x, lambda y: y, RIGHT, tolerance=0.0, most=6)
    space = [RIGHT]
    for _ in range(5):
        space.append(MATRIX @ space[-1])
    images = MATRIX @ np.array(space).T
    weights = np.linalg.lstsq(images, RIGHT, rcond=None)[0]
    least = np.linalg.norm(images @ weights - RIGHT) / np.linalg.norm(RIGHT)
    assert found.error == pytest.approx(least, rel=1e-8)


def test_an_exact_inverse_needs_one_iteration() -> None:
    inverse = np.linalg.inv(MATRIX)
    found = minimal_residual(lambda x: MATRIX @ x, lambda y: inverse @ y, RIGHT, tolerance=1e-10, most=9)
    assert found.iterations == 1


def test_what_is_not_a_number_is_an_infinite_error() -> None:
    found = minimal_residual(lambda x: x * np.nan, lambda y: y, RIGHT, tolerance=1e-10, most=9)
    assert found.error == np.inf
    assert np.all(found.x == 0.0)
