"""A steady flow at one angle, by the steps that its turbulence model needs."""

from __future__ import annotations

from collections.abc import Callable

from slowflight.flow.rans import newton, two_equation_newton
from slowflight.flow.rans.newton import TOLERANCE, Flow, Marching
from slowflight.flow.rans.turbulence import TwoEquation
from slowflight.flow.solution import FloatArray


def solve(
    marching: Marching,
    *,
    alpha: float,
    q: FloatArray,
    circulation: float = 0.0,
    first_cfl: float = 10.0,
    most_steps: int = 40,
    tolerance: float = TOLERANCE,
    renew: bool = False,
    on_step: Callable[[int, float, float], None] | None = None,
) -> Flow:
    """Solve from a first guess; parameters and result as of `newton.solve`."""
    two = isinstance(marching.problem.setting.model, TwoEquation)
    by_model = two_equation_newton.solve if two else newton.solve
    return by_model(
        marching, alpha=alpha, q=q, circulation=circulation, first_cfl=first_cfl, most_steps=most_steps,
        tolerance=tolerance, renew=renew, on_step=on_step,
    )  # fmt: skip
