"""Where help would help: exact derivatives against the flow solved anew with dissipation added."""

from dataclasses import replace

import numpy as np
import pytest

from slowflight.flow.integral import results
from slowflight.flow.integral.mixing_problem import (
    Problem,
    backflow,
    flow_with,
    lift,
    response,
    section_problem,
)
from slowflight.flow.integral.section_flow import SectionModel, section_model
from slowflight.flow.integral.sensitivity import DOSE, DOSE_LENGTH, bump, sensitivity
from slowflight.flow.integral.sweep import sweep
from slowflight.flow.solution import FloatArray
from slowflight.wing.naca import naca_section
from tests.flow.sections import TRIPS_4412, followed

EXACT = 1e-4  # aim of the project: gradient against finite differences
STEP = 1e-6  # of D_v; differences converge with its square, checked below


def tripped(*, follows: bool = False) -> SectionModel:
    return section_model(
        naca_section("4412"), reynolds=1.52e6, transition=TRIPS_4412, speed_follows_lift=follows
    )


def differences(problem: Problem, body: str, stations: FloatArray, *, step: float = STEP) -> FloatArray:
    """Central differences of lift and backflow per dose at some stations of an upper side, shape (2, k)."""
    skin = sensitivity(problem).skin(body)
    found = np.empty((2, stations.size))
    for c, k in enumerate(stations):
        added = np.zeros(problem.base.state.shape[0])
        added[skin.index[k]] = step
        up, down = flow_with(problem, added), flow_with(problem, -added)
        assert up is not None
        assert down is not None
        dose = DOSE * DOSE_LENGTH / skin.width[k] / (2.0 * step)
        found[0, c] = dose * (lift(problem, up.state)[0] - lift(problem, down.state)[0])
        found[1, c] = dose * (backflow(problem, up)[0] - backflow(problem, down)[0])
    return found


@pytest.mark.parametrize(("alpha_deg", "follows"), [(5.0, False), (12.0, True), (15.0, False)])
def test_gradient_against_differences(alpha_deg: float, follows: bool) -> None:
    """Ten random stations; at 12 deg air is off the last 17 %, at 15 deg the last 40 %."""
    model = tripped(follows=follows)
    problem = section_problem(model, followed(model, alpha_deg))
    skin = sensitivity(problem).skin()
    # a laminar layer has no such mixing: its derivative is exactly nothing, and so is the difference
    turbulent = np.flatnonzero(skin.turbulent_share > 0.0)
    stations = np.random.default_rng(7).choice(turbulent, 10, replace=False)
    for exact, found in zip((skin.lift, skin.backflow), differences(problem, "main", stations), strict=True):
        assert np.abs(found / exact[stations] - 1.0).max() < EXACT


def test_differences_close_in_with_the_square_of_their_step() -> None:
    model = section_model(naca_section("4412"), reynolds=1.52e6)
    problem = section_problem(model, followed(model, 12.0))
    skin = sensitivity(problem).skin()
    station = np.array([int(np.argmax(skin.turbulent_share > 0.5)) + 12])
    errors = []
    for step in (3e-5, 1e-5):
        found = differences(problem, "main", station, step=step)
        errors.append(abs(found[0, 0] / skin.lift[station[0]] - 1.0))
    assert errors[0] / errors[1] == pytest.approx(9.0, rel=0.2)


def test_lift_and_system_are_those_of_the_tier() -> None:
    model = tripped()
    solved = followed(model, 12.0)
    found = sensitivity(section_problem(model, solved))
    # a sweep may keep the wake's path of an angle close by; here it is traced at the angle itself
    assert found.cl == pytest.approx(results.coefficients(model, solved).cl, rel=1e-4)
    off = results.trailing_separation(results.surface_layer(model, solved, "upper"))
    assert off is not None
    assert found.backflow == pytest.approx(1.0 - off, abs=0.03)  # along the skin, and with soft ends


@pytest.mark.parametrize("doses", [0.1, 1.0])
def test_against_brute_force(doses: float) -> None:
    """A hump of dissipation at several places, solved anew: at the angle of maximum lift.

    A tenth of a dose: within 2 % of the largest effect. A whole one: sign right wherever the effect is more
    than a tenth of the largest.
    """
    model = tripped()
    problem = section_problem(model, followed(model, 14.5))
    skin = sensitivity(problem).skin()
    predicted, found = [], []
    for at in (0.15, 0.25, 0.35, 0.45, 0.55, 0.65, 0.75):
        added = bump(skin, problem.base.state.shape[0], at=at, length=0.03, doses=doses)
        predicted.append(float(skin.lift @ (added[skin.index] * skin.width)) / (DOSE * DOSE_LENGTH))
        change = response(problem, added).lift
        assert change is not None
        found.append(change)
    told, solved = np.array(predicted), np.array(found)
    largest = np.abs(solved).max()
    if doses < 0.5:
        assert np.abs(told - solved).max() < 0.02 * largest
    clear = np.abs(solved) > 0.1 * largest
    assert clear.sum() >= 4
    assert np.all(np.sign(told[clear]) == np.sign(solved[clear]))


def test_maximum_lift_by_the_envelope_theorem() -> None:
    """The change of the maximum itself, its angle sought anew with and without a hump."""
    model = tripped()
    angles = np.arange(13.5, 15.6, 0.25)
    problems = [section_problem(model, p.solved) for p in sweep(model, list(np.radians(angles))) if p.solved]

    def maximum(values: list[float]) -> tuple[float, float]:
        fit = np.polynomial.Polynomial.fit(angles, values, 4)
        fine = np.linspace(angles[0], angles[-1], 4001)
        best = int(np.argmax(fit(fine)))
        assert 0 < best < fine.size - 1
        return float(fine[best]), float(fit(fine)[best])

    at, clean = maximum([sensitivity(p).cl for p in problems])
    there = section_problem(model, followed(model, at))
    skin = sensitivity(there).skin()
    for place in (0.25, 0.5):
        added = bump(skin, there.base.state.shape[0], at=place, length=0.04, doses=0.1)
        told = float(skin.lift @ (added[skin.index] * skin.width)) / (DOSE * DOSE_LENGTH)
        lifts = []
        for p in problems:
            helped = flow_with(p, added)
            assert helped is not None
            lifts.append(lift(p, helped.state)[0])
        assert maximum(lifts)[1] - clean == pytest.approx(told, rel=0.05)


def test_what_cannot_be_perturbed_is_refused() -> None:
    model = tripped()
    solved = followed(model, 5.0)
    with_vanes = replace(model, rows=np.zeros((1, 10)))
    for wrong in ((model, replace(solved, converged=False)), (with_vanes, solved)):
        with pytest.raises(ValueError, match="converged section without vanes"):
            section_problem(*wrong)


def test_a_laminar_layer_is_not_mixed() -> None:
    model = section_model(naca_section("0012"), reynolds=1e6)
    skin = sensitivity(section_problem(model, followed(model, 3.0))).skin()
    laminar = skin.turbulent_share == 0.0
    assert laminar.sum() > 5
    assert np.all(skin.lift[laminar] == 0.0)
