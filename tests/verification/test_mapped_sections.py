"""Outer flow about Joukowski and Karman-Trefftz sections, exact (source in the case file's header)."""

from pathlib import Path

import numpy as np
import pytest

from slowflight.flow.integral.outline import FAIRING, LEAST_GAP, outline
from slowflight.flow.integral.panels import PanelSystem, panel_system
from slowflight.flow.solution import FloatArray
from tests.verification.case_files import case_rows
from tests.verification.exact_bodies import MappedSection, arc_of, mapped_section

CASES = case_rows(Path(__file__).parent / "cases" / "karman_trefftz.csv")


def section_of(case: dict[str, str]) -> MappedSection:
    center = complex(float(case["center_x"]), float(case["center_y"]))
    return mapped_section(center=center, power=float(case["power"]))


def panels_of(
    section: MappedSection, panels: int, *, fairing: float = FAIRING, least_gap: float = LEAST_GAP
) -> PanelSystem:
    return panel_system(outline(section.x, section.y, panels=panels, fairing=fairing, least_gap=least_gap))


def speeds(system: PanelSystem, alpha_deg: float) -> FloatArray:
    alpha = np.radians(alpha_deg)
    return np.asarray(system.unit_speed @ [np.cos(alpha), np.sin(alpha)], dtype=np.float64)


def lift(system: PanelSystem, alpha_deg: float) -> float:
    """Lift coefficient from circulation."""
    q = speeds(system, alpha_deg)
    return float(np.sum((q[1:] + q[:-1]) * np.diff(system.body.arc)))


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['section']} {c['alpha_deg']} deg")
def test_lift_and_pressures_at_200_panels(case: dict[str, str]) -> None:
    section = section_of(case)
    alpha_deg, exact_lift = float(case["alpha_deg"]), float(case["lift"])
    assert section.chord == pytest.approx(float(case["chord"]), rel=5e-6)  # the map is the case file's
    system = panels_of(section, 200)
    assert lift(system, alpha_deg) == pytest.approx(exact_lift, rel=0.005, abs=1e-6)

    pressure = 1.0 - speeds(system, alpha_deg) ** 2
    least = float(case["least_pressure"])
    assert pressure.min() == pytest.approx(least, rel=0.01)
    exact = 1.0 - section.speed(np.radians(alpha_deg)) ** 2
    assert exact.min() == pytest.approx(least, rel=1e-3)
    # the last twentieth of chord is drawn with a trailing edge of some thickness, which moves its pressures
    nodes = system.body
    along = nodes.arc / nodes.arc[-1]
    exact_along = arc_of(section.x, section.y)
    expected = np.interp(along, exact_along[1:-1] / exact_along[-1], exact)
    worst = float(np.max(np.abs(pressure - expected)[nodes.x < 0.95]))
    assert worst < max(0.012, 0.002 * abs(least))  # of the dynamic pressure; interpolation included


@pytest.mark.parametrize("name", ["KT10", "KT20"])
def test_lift_converges_to_the_sharp_trailing_edge(name: str) -> None:
    """With next to no fairing the error falls to less than 0.55 with each doubling.

    First order, by the trailing-edge condition.
    """
    case = next(c for c in CASES if c["section"] == name and c["alpha_deg"] == "8")
    section = section_of(case)
    errors = [
        lift(panels_of(section, n, fairing=1e-4, least_gap=2e-5), 8.0) / float(case["lift"]) - 1.0
        for n in (50, 100, 200, 400)
    ]
    ratios = np.abs(errors[1:]) / np.abs(errors[:-1])
    assert np.all(ratios < 0.55)
    assert abs(errors[-1]) < 1e-3


@pytest.mark.parametrize("name", ["J0", "J1", "KT10", "KT20"])
def test_the_tiers_own_trailing_edge_settles_as_panels_are_doubled(name: str) -> None:
    case = next(c for c in CASES if c["section"] == name and c["alpha_deg"] == "8")
    section = section_of(case)
    lifts = [lift(panels_of(section, n), 8.0) for n in (100, 200, 400)]
    steps = np.abs(np.diff(lifts))
    assert steps[1] < 0.65 * steps[0]
    assert steps[1] < 0.002 * lifts[-1]
