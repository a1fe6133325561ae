"""What a march hands over: its momentum is the march's own, the quick grid is near, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from slowflight.flow.row_march import marching
from slowflight.flow.row_march.handed_over import HandedOver, hand_over
from slowflight.flow.row_march.run import QUICK, STANDARD, MarchSettings, RowLayer, Run
from slowflight.flow.row_march.sizes import VaneSizes

SHAPE = 1.36
THETA = 1.0 / (3.15 + 1.72 / (SHAPE - 1.0) + SHAPE)
LAYER = RowLayer(thickness=1.0, momentum_thickness=THETA, shape_factor=SHAPE)
PAIRS = VaneSizes(height=1.0, length=2.5, pitch=6.0, trailing_gap=2.5, incidence=math.radians(16.5))
PLACES = np.concatenate(([0.0], np.geomspace(0.5, 30.0, 40)))


def handed(row: VaneSizes, *, settings: MarchSettings = QUICK, re_theta: float = 2500.0) -> HandedOver:
    return hand_over(
        row=row, layer=LAYER, distance=PLACES, edge_speed=1.0 - 0.002 * PLACES, reynolds=re_theta / THETA,
        thickest=4.0, settings=settings,
    )  # fmt: skip


def test_momentum_handed_over_closes_the_momentum_equation() -> None:
    """Exact: d theta + (H + 2) theta d ln u - C_f/2 ds is what is taken, for the march's own span mean."""
    speed = 1.0 - 0.002 * PLACES
    run = Run(
        PAIRS, LAYER, THETA / 2500.0, PLACES, speed, np.zeros_like(PLACES), STANDARD, top=8.0, clean=False
    )
    theta, friction = run.column(marching.MOMENTUM), run.column(marching.FRICTION)
    H = run.column(marching.DISPLACEMENT) / theta

    def summed(rate: np.ndarray, steps: np.ndarray) -> np.ndarray:
        return np.concatenate(([0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * steps)))

    grown = theta - theta[0] + summed((H + 2.0) * theta, np.diff(np.log(speed)))
    left = grown - summed(0.5 * friction, np.diff(PLACES))
    taken = run.column(marching.HANDED_MOMENTUM)
    assert np.abs(taken).max() > 0.1 * THETA
    assert left == pytest.approx(taken, abs=0.02 * theta.max())


def test_vortices_work_on_the_shear_of_the_mean() -> None:
    """They take momentum down to slow air: the energy that the layer lacks grows by it, most of it early."""
    found = handed(PAIRS)
    assert found.status == "ran"
    assert found.work[-1] > 0.0
    at_ten = np.interp(10.0, PLACES, found.work)
    assert at_ten > 0.5 * found.work[-1]
    assert 0.0 < found.wake < found.drag  # the swirl holds a part of the drag


def test_the_quick_grid_is_near_the_standard_one() -> None:
    quick, standard = handed(PAIRS), handed(PAIRS, settings=STANDARD)
    assert quick.work[-1] == pytest.approx(standard.work[-1], rel=0.12)
    assert quick.wake == pytest.approx(standard.wake, rel=0.03)
    assert quick.stirred.shape_factor[-1] == pytest.approx(standard.stirred.shape_factor[-1], abs=0.005)


def test_stronger_vanes_hand_over_more() -> None:
    found = [handed(replace(PAIRS, incidence=math.radians(a))).work[-1] for a in (4.0, 8.0, 16.0)]
    assert found[0] < found[1] < found[2]


@pytest.mark.parametrize(
    ("row", "re_theta", "said"),
    [
        (PAIRS, 100.0, "below which no layer is turbulent"),
        (replace(PAIRS, height=20.0, length=50.0, pitch=120.0, trailing_gap=50.0), 2500.0, "0.03 to 15"),
    ],
)
def test_vanes_that_are_not_marched_hand_over_their_drag_only(
    row: VaneSizes, re_theta: float, said: str
) -> None:
    found = handed(row, re_theta=re_theta)
    assert found.status == "refused"
    assert said in found.reason
    assert found.wake == found.drag > 0.0
    assert found.work.size == 0


def test_a_triangular_vane_has_less_drag_than_the_rectangle_about_it() -> None:
    """Half the area, and half the circulation in the model: half of both parts of the drag."""
    whole, half = handed(PAIRS).drag, handed(replace(PAIRS, strength=0.5, area=0.5)).drag
    assert half == pytest.approx(0.5 * whole, rel=0.02)
