"""Growth of disturbances on a flat plate, by the tier's own equations."""

import numpy as np
import pytest

from slowflight.flow.integral.closure import amplification
from tests.verification.direct_march import march

REYNOLDS = 1e6
BLASIUS = 2.5911


def test_nine_is_reached_where_the_quiet_plate_turned_turbulent() -> None:
    """Re_x 2.8e6 at the lowest turbulence: Schubauer and Skramstad, NACA TR 909, 1948."""
    x = np.geomspace(1e-3, 10.0, 801)
    layer = march(x, np.ones_like(x), reynolds=REYNOLDS, theta=0.664e-3 * np.sqrt(1e-3), shape=BLASIUS)
    at = float(np.interp(9.0, layer.amplification, x)) * REYNOLDS
    assert at == pytest.approx(2.8e6, rel=0.1)


def test_critical_reynolds_number_of_the_blasius_layer() -> None:
    """Growth begins at Re_delta* 520, so Re_theta 201 (Schlichting, Boundary-Layer Theory).

    The tier's smooth onset has half its rate by 242.
    """
    growth = [(r, amplification(BLASIUS, np.log(r))[0]) for r in np.linspace(150.0, 400.0, 2501)]
    begins = next(r for r, g in growth if g > 0.0)
    half = next(r for r, g in growth if g > 0.5 * growth[-1][1])
    assert begins == pytest.approx(201.0, rel=0.03)
    assert half == pytest.approx(242.0, rel=0.03)


def test_falling_speed_destabilizes_and_rising_speed_steadies() -> None:
    """Sign only: the critical Reynolds number falls from H = 2.3 to 2.6 to 3.2 (linear theory, Mack 1977)."""

    def begins(shape: float) -> float:
        return next(
            float(r) for r in np.geomspace(10.0, 1e5, 4000) if amplification(shape, np.log(r))[0] > 0.0
        )

    assert begins(2.3) > 3.0 * begins(2.59) > 3.0 * begins(3.2)
