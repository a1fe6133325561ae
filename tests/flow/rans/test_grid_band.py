"""Bands from three grids: exact laws, and the bands published beside a flat plate's friction."""

import pytest

from slowflight.errors import RangeError
from slowflight.flow.rans.grid_band import grid_band


@pytest.mark.parametrize("order", [0.7, 1.0, 1.6, 2.0])
@pytest.mark.parametrize("sizes", [(4.0, 2.0, 1.0), (3.0, 2.0, 1.5), (2.0, 1.5, 1.0)])
def test_a_pure_law_gives_its_order_and_limit(order: float, sizes: tuple[float, float, float]) -> None:
    coarse, middle, fine = (0.5 - 0.03 * h**order for h in sizes)
    found = grid_band((coarse, middle, fine), sizes=sizes)
    assert found.order == pytest.approx(order, rel=1e-6)
    assert found.extrapolated == pytest.approx(0.5, abs=1e-9)
    assert found.band == pytest.approx(1.25 * abs(0.5 - fine), rel=1e-6)


# NASA Turbulence Modeling Resource, flat plate, model of Spalart and Allmaras, Mach 0.2: friction at x = 0.97
# by two of its solvers on 137 x 97, 273 x 193 and 545 x 385 nodes, with the order and band published for each
@pytest.mark.parametrize(
    ("values", "order", "percent"),
    [
        ((0.0027111517, 0.0027067375, 0.0027056215), 2.0, 0.017),
        ((0.002702154, 0.0027044847, 0.0027054047), 1.3, 0.028),
    ],
)
def test_published_bands_are_found_again(
    values: tuple[float, float, float], order: float, percent: float
) -> None:
    found = grid_band(values, sizes=(4.0, 2.0, 1.0))
    assert found.order == pytest.approx(order, abs=0.05)
    assert 100.0 * found.band / values[2] == pytest.approx(percent, abs=0.0005)


def test_an_order_above_the_schemes_own_is_not_believed() -> None:
    coarse, middle, fine = (1.0 + 0.01 * h**4 for h in (4.0, 2.0, 1.0))
    found = grid_band((coarse, middle, fine), sizes=(4.0, 2.0, 1.0))
    assert found.order == pytest.approx(4.0, rel=1e-6)
    assert found.band == pytest.approx(1.25 * abs(middle - fine) / 3.0)


@pytest.mark.parametrize("values", [(1.0, 1.2, 1.1), (1.0, 1.1, 1.2), (1.0, 1.1, 1.3)])
def test_what_does_not_converge_has_three_times_its_range(values: tuple[float, float, float]) -> None:
    found = grid_band(values, sizes=(4.0, 2.0, 1.0))
    assert found.extrapolated is None
    assert found.band == pytest.approx(3.0 * (max(values) - min(values)))


def test_grids_too_close_are_refused() -> None:
    with pytest.raises(RangeError, match=r"1\.3 at least"):
        grid_band((1.0, 1.1, 1.12), sizes=(1.2, 1.1, 1.0))
