"""Outer flow about a circular cylinder, exact: 2 sin(phi) with lift and with sources."""

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
import pytest

from slowflight.flow.integral.panels import panel_system
from slowflight.flow.solution import FloatArray
from tests.verification.exact_bodies import circle

BoolArray = npt.NDArray[np.bool_]
SLIT = 1e-8  # where the outline is open [rad]: the panels need a trailing edge of some thickness


def even(panels: int) -> FloatArray:
    return np.linspace(SLIT, 2.0 * np.pi - SLIT, panels + 1)


def uneven(panels: int) -> FloatArray:
    t = np.linspace(0.0, 1.0, panels + 1)
    clustered = 2.0 * np.pi * (t - 0.05 * np.sin(2.0 * np.pi * t) - 0.02 * np.sin(6.0 * np.pi * t))
    return SLIT + clustered * (1.0 - SLIT / np.pi)


def worst_error(turn: FloatArray, alpha: float) -> float:
    """Largest error of the node speeds against 2 sin(phi), with the lift that keeps the rear point at rest.

    The nodes next to the slit are left out: on uneven panels they are of first order, since a smooth rear end
    has no edge at which the flow could be told to leave.
    """
    speed = panel_system(circle(turn)).unit_speed @ [np.cos(alpha), np.sin(alpha)]
    exact = 2.0 * (np.sin(alpha) - np.sin(turn + alpha))
    return float(np.max(np.abs(speed - exact)[away_from_slit(turn)]))


@pytest.mark.parametrize("spacing", [even, uneven])
@pytest.mark.parametrize("alpha_deg", [0.0, 10.0])
def test_node_speeds_converge_at_second_order_or_better(
    spacing: Callable[[int], FloatArray], alpha_deg: float
) -> None:
    errors = [worst_error(spacing(n), np.radians(alpha_deg)) for n in (40, 80, 160, 320)]
    orders = np.log2(np.array(errors[:-1]) / errors[1:])
    assert errors[2] < 5e-3
    assert np.all(orders > 1.8), orders


def away_from_slit(turn: FloatArray) -> BoolArray:
    return (turn > 0.3) & (turn < 2.0 * np.pi - 0.3)


@pytest.mark.parametrize("kind", ["even", "cosine"])
def test_sources_on_the_skin_make_their_exact_speeds(kind: str) -> None:
    """Even blowing makes no speed along the skin; blowing cos(theta) makes sin(theta).

    First order: sources are constant on each panel. A closed smooth body leaves speeds at its slit loosely
    determined, so the nodes next to it are left out.
    """
    errors = []
    for n in (40, 80, 160, 320):
        turn = even(n)
        middle = 0.5 * (turn[1:] + turn[:-1])
        blown = np.ones(n) if kind == "even" else np.cos(middle)
        exact = np.zeros(n + 1) if kind == "even" else np.sin(turn)  # node speeds count clockwise
        miss = np.abs(panel_system(circle(turn)).source_speed @ blown - exact)
        errors.append(float(np.max(miss[away_from_slit(turn)])))
    assert errors[-1] < 0.03
    assert np.all(np.log2(np.array(errors[:-1]) / errors[1:]) > 0.9), errors
