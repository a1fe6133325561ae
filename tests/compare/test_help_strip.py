"""The strip that says where mixing would help: classes by bands, places in millimeters, dots solved anew."""

import json
from dataclasses import replace
from functools import cache
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from slowflight.compare.help_strip import (
    HALF_WIDTH,
    HELPS,
    HURTS,
    LAMINAR,
    NO_MATTER,
    help_strip,
    row_effect,
)
from slowflight.flow.integral.at_maximum import section_at_maximum
from slowflight.flow.integral.mixing_problem import Problem, response
from slowflight.flow.integral.results import coefficients
from slowflight.flow.integral.section_flow import LAG, section_model
from slowflight.flow.integral.sensitivity import bump, sensitivity
from slowflight.flow.integral.sweep import sweep
from slowflight.sources import bibliography
from slowflight.wing.naca import naca_section
from tests.flow.sections import TRIPS_4412


@cache
def at_maximum(lag: float = LAG) -> Problem:
    model = section_model(naca_section("4412"), reynolds=1.52e6, transition=TRIPS_4412, lag=lag)
    found = section_at_maximum(model)
    assert found is not None
    return found


@cache
def strip(*, variants: bool) -> dict[str, Any]:
    others = {"lag constant 4.6": at_maximum(4.6), "lag constant 8": None} if variants else {}
    return help_strip(setting="flaps up", chord_m=1.4, base=at_maximum(), variants=others)


def test_the_maximum_is_one() -> None:
    """Lift a quarter of a degree either side is no larger."""
    problem = at_maximum()
    top = sensitivity(problem).cl
    model = section_model(naca_section("4412"), reynolds=1.52e6, transition=TRIPS_4412)
    away = np.radians(0.25)
    for point in sweep(model, [problem.alpha - away, problem.alpha + away]):
        assert point.solved is not None
        assert coefficients(model, point.solved).cl <= top + 1e-5


def test_places_run_along_the_skin_in_millimeters() -> None:
    places = strip(variants=True)["places"]
    skin, chord = np.array(places["along_skin_mm"]), np.array(places["along_chord_mm"])
    assert np.allclose(np.diff(skin), 14.0)  # 1 % of 1.4 m
    assert skin[0] == pytest.approx(1400.0 * HALF_WIDTH)
    assert np.all(np.diff(chord) > 0.0)
    assert np.all(chord <= skin)  # the way along the skin is never the shorter one
    assert chord[-1] < 1400.0


def test_kinds_follow_effect_and_band() -> None:
    told = strip(variants=True)["places"]
    for kind, low, high in zip(told["kind"], told["low"], told["high"], strict=True):
        if kind == HELPS:
            assert low > 0.0
        elif kind == HURTS:
            assert high < 0.0
        elif kind == NO_MATTER:
            assert low <= 0.0 <= high
    assert {HELPS, HURTS, NO_MATTER, LAMINAR} >= set(told["kind"])
    assert HELPS in told["kind"]


def test_a_variant_that_differs_widens_the_band_and_one_without_answer_is_said() -> None:
    alone, told = strip(variants=False), strip(variants=True)
    wide = np.array(told["places"]["high"]) - np.array(told["places"]["low"])
    assert np.allclose(
        np.array(alone["places"]["high"]) - alone["places"]["low"], 2.0 * alone["band"]["least"]
    )
    assert np.all(wide >= 2.0 * told["band"]["least"] - 1e-12)
    assert wide.max() > 4.0 * told["band"]["least"]
    assert told["band"]["variants"]["lag constant 8"] is None
    assert "no variant" in alone["band"]["why"][1]


def test_stretches_cover_the_places_in_order() -> None:
    told = strip(variants=True)
    ends = [(s["from_skin_mm"], s["to_skin_mm"]) for s in told["stretches"]]
    assert all(a[1] == pytest.approx(b[0]) for a, b in pairwise(ends))
    kinds = [s["kind"] for s in told["stretches"]]
    assert all(a != b for a, b in pairwise(kinds))
    for s in told["stretches"]:
        inside = [
            kind
            for kind, at in zip(told["places"]["kind"], told["places"]["along_skin_mm"], strict=True)
            if s["from_skin_mm"] < at < s["to_skin_mm"]
        ]
        assert set(inside) == {s["kind"]}


def test_dots_solved_anew_have_the_sign_of_the_strip() -> None:
    told = strip(variants=True)
    solved = [c for c in told["checks"] if c["resolved"] is not None]
    assert len(solved) >= 5
    clear = [c for c in solved if abs(c["resolved"]) > 4.0 * told["band"]["least"]]
    assert len(clear) >= 3
    assert all(c["resolved"] * c["predicted"] > 0.0 for c in clear)


def test_a_row_is_the_sum_of_its_doses() -> None:
    """A faint row, its dissipation known, against the flow solved anew with it."""
    problem = at_maximum()
    skin = sensitivity(problem).skin()
    distance = np.array([0.0, 0.01, 0.15, 0.3])
    dissipation = 1e-5 * np.array([0.0, 1.0, 0.6, 0.0])
    told = row_effect(skin, front=0.35, distance=distance, dissipation=dissipation)
    added = np.zeros(problem.base.state.shape[0])
    added[skin.index] = np.interp(skin.along - 0.35, distance, dissipation, left=0.0, right=0.0)
    solved = response(problem, added).lift
    assert solved == pytest.approx(told, rel=0.05)


def test_it_is_plain_data_with_cautions_and_known_sources() -> None:
    told = strip(variants=True)
    assert json.loads(json.dumps(told, allow_nan=False)) == told
    assert told["status"] == "predicted, uncalibrated"
    assert any("not where vanes should stand" in c for c in told["cautions"])
    assert any("stalls kill" in c for c in told["cautions"])
    assert set(told["sources"]) <= set(bibliography())


def test_a_check_without_answer_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("slowflight.flow.integral.mixing_problem.with_mixing", _fails)
    problem = at_maximum()
    skin = sensitivity(problem).skin()
    added = bump(skin, problem.base.state.shape[0], at=0.5, length=0.02, doses=1.0)
    assert response(problem, added).lift is None


def _fails(_flow: object, base: Any, _added: object, *, reynolds: float) -> Any:
    return replace(base, reynolds=reynolds, converged=False)
