"""Laminar layers that are known exactly: the Falkner-Skan family, Blasius, and Thwaites' cylinder."""

from pathlib import Path

import numpy as np
import pytest

from slowflight.flow.integral.elimination import STAGNATION_SHAPE, STAGNATION_THICKNESS
from slowflight.flow.integral.thwaites import SEPARATION, quadrature_step, shape_factor, shear
from tests.verification.case_files import case_rows
from tests.verification.direct_march import march

CASES = case_rows(Path(__file__).parent / "cases" / "falkner_skan.csv")
REYNOLDS = 1e6


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"beta {c['beta']}")
def test_falkner_skan(case: dict[str, str]) -> None:
    """The tier's own equations on u = x^m over three decades of x."""
    exact = {name: float(case[name]) for name in ("shape_factor", "momentum_thickness", "friction")}
    x = np.geomspace(1e-3, 1.0, 301)
    speed = x ** float(case["m"])
    scale = np.sqrt(REYNOLDS * speed * x)
    start = exact["momentum_thickness"] * x[0] / scale[0]
    layer = march(x, speed, reynolds=REYNOLDS, theta=start, shape=exact["shape_factor"])
    found = {
        "shape_factor": layer.shape[-1],
        "momentum_thickness": layer.theta[-1] / x[-1] * scale[-1],
        "friction": layer.friction[-1] * scale[-1],
    }
    for name, short in (
        ("shape_factor", "shape"),
        ("momentum_thickness", "thickness"),
        ("friction", "friction"),
    ):
        error = 100.0 * (found[name] / exact[name] - 1.0)
        known = float(case[f"known_{short}"])
        assert abs(error - known) < 0.3 + 0.1 * abs(known), f"{name}: {error:+.2f} %, known {known:+.1f} %"


def test_march_converges_at_second_order() -> None:
    """Blasius thickness against the march's own limit: the trapezoidal rule's order."""
    found = []
    for steps in (50, 100, 200, 800):
        x = np.geomspace(1e-2, 1.0, steps + 1)
        layer = march(x, np.ones_like(x), reynolds=REYNOLDS, theta=0.664e-4, shape=2.5904)
        found.append(layer.theta[-1])
    errors = np.abs(np.array(found[:-1]) - found[-1])
    assert np.all(np.log2(errors[:-1] / errors[1:]) > 1.8)


def test_the_closures_own_stagnation_layer() -> None:
    """Exact for the similar layer of beta = 1: theta^2 (du/ds) / nu = 0.0854646, H = 2.2162."""
    # the closure's error in theta there is -0.7 %, so -1.4 % in its square
    assert pytest.approx(0.0854646, rel=0.016) == STAGNATION_THICKNESS
    assert pytest.approx(2.2162, rel=0.012) == STAGNATION_SHAPE
    # and it is where the march on u = x ends by itself
    x = np.geomspace(1e-3, 1.0, 301)
    layer = march(x, x, reynolds=REYNOLDS, theta=0.3 / np.sqrt(REYNOLDS), shape=2.3)
    assert layer.theta[-1] ** 2 * REYNOLDS == pytest.approx(STAGNATION_THICKNESS, rel=1e-3)
    assert layer.shape[-1] == pytest.approx(STAGNATION_SHAPE, abs=1e-3)


def test_thwaites_on_a_flat_plate() -> None:
    """Blasius: theta = 0.66411 x / sqrt(Re_x); Thwaites' constants give 1.0 % more."""
    theta = np.sqrt(quadrature_step(0.0, 1.0, 1.0, 1.0, REYNOLDS))
    assert theta * np.sqrt(REYNOLDS) == pytest.approx(0.66411, rel=0.012)
    assert shape_factor(0.0) == pytest.approx(2.5911, rel=0.01)
    assert shear(0.0) == pytest.approx(0.2205, rel=0.005)  # theta tau / (mu u) = 0.4696^2


def test_thwaites_separation_on_a_circular_cylinder() -> None:
    """Speed 2 sin(phi): lambda reaches -0.09 at 103.1 deg (White, Viscous Fluid Flow)."""
    phi = np.radians(np.linspace(0.0, 110.0, 2201))
    speed, gradient = 2.0 * np.sin(phi), 2.0 * np.cos(phi)
    grown = 0.0
    before = 0.075
    for k in range(1, phi.size):
        grown = quadrature_step(grown, speed[k - 1], speed[k], phi[k] - phi[k - 1], 1.0)
        pressure = grown / speed[k] ** 6 * gradient[k]
        if k == 1:
            assert pressure == pytest.approx(0.075, rel=1e-3)  # Thwaites' stagnation point
        if pressure < SEPARATION:
            part = (before - SEPARATION) / (before - pressure)
            at = np.degrees(phi[k - 1] + part * (phi[k] - phi[k - 1]))
            break
        before = pressure
    assert at == pytest.approx(103.1, abs=0.3)


@pytest.mark.parametrize(
    "case", [c for c in CASES if float(c["beta"]) > -0.16], ids=lambda c: f"beta {c['beta']}"
)
def test_thwaites_correlations_on_the_similar_layers(case: dict[str, str]) -> None:
    """H within 6 %, the friction parameter within 0.03, at each layer's own lambda.

    Nearer to separation the one-parameter method parts from the similar layers, which separate at lambda
    -0.068 and not at -0.09, so the rows beyond beta -0.16 say nothing about these formulas.
    """
    m, thickness = float(case["m"]), float(case["momentum_thickness"])
    lam = m * thickness**2
    assert shape_factor(lam) == pytest.approx(float(case["shape_factor"]), rel=0.06)
    assert shear(lam) == pytest.approx(0.5 * float(case["friction"]) * thickness, abs=0.03)
