"""Turbulent flat plate: the tier's own equations against the Karman-Schoenherr line (see the case file)."""

from pathlib import Path

import numpy as np
import pytest

from tests.verification.case_files import case_rows
from tests.verification.direct_march import march

CASES = case_rows(Path(__file__).parent / "cases" / "karman_schoenherr.csv")
REYNOLDS = 1e6


def test_friction_from_1000_to_15000() -> None:
    x = np.geomspace(0.05, 40.0, 401)
    layer = march(
        x,
        np.ones_like(x),
        reynolds=REYNOLDS,
        theta=300.0 / REYNOLDS,
        shape=1.5,
        amplification=20.0,
        critical=9.0,
    )
    assert layer.momentum_reynolds[0] < 1000.0
    assert layer.momentum_reynolds[-1] > 15000.0
    for case in CASES:
        at = float(case["momentum_reynolds"])
        found = float(np.interp(at, layer.momentum_reynolds, layer.friction))
        assert found == pytest.approx(float(case["friction"]), rel=0.05)
    # the plate's momentum balance, exact: theta grows by half the friction
    grown = np.trapezoid(0.5 * layer.friction, x)
    assert layer.theta[-1] - layer.theta[0] == pytest.approx(grown, rel=0.002)


def test_where_the_march_starts_is_forgotten() -> None:
    x = np.geomspace(0.05, 40.0, 401)
    ends = []
    for shape, shear in ((1.4, 0.02), (1.9, 0.08)):
        layer = march(
            x, np.ones_like(x), reynolds=REYNOLDS, theta=300.0 / REYNOLDS, shape=shape, shear=shear,
            amplification=20.0, critical=9.0,
        )  # fmt: skip
        ends.append(float(np.interp(5000.0, layer.momentum_reynolds, layer.friction)))
    assert ends[0] == pytest.approx(ends[1], rel=0.002)
