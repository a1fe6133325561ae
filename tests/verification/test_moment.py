"""Sign, size and center of the moment: exact pressures of mapped sections, and thin-airfoil theory."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from slowflight.flow.integral import results
from slowflight.flow.integral.outline import outline
from slowflight.flow.integral.panels import panel_system
from slowflight.flow.integral.results import Coefficients
from slowflight.flow.integral.section_flow import SectionModel, Solved, dividing_panel, section_model
from slowflight.flow.integral.wake import coupled_at
from slowflight.flow.solution import FloatArray
from slowflight.wing.naca import naca_section
from tests.verification.case_files import case_rows
from tests.verification.exact_bodies import MappedSection, mapped_section

CASES = case_rows(Path(__file__).parent / "cases" / "karman_trefftz.csv")


def without_layers(model: SectionModel, alpha: float) -> Coefficients:
    """Lift and moment of the potential flow, by the routine that integrates the tier's own pressures."""
    coupled = coupled_at(model.system, alpha, wake_nodes=model.wake_nodes)
    state = np.zeros((coupled.q0.size, 5))
    state[:, 4] = np.log(np.maximum(np.abs(coupled.q0), 1e-9))
    solved = Solved(
        wake=coupled.path,
        state=state,
        stagnation=dividing_panel(model, coupled.q0),
        converged=True,
        residual=0.0,
        iterations=0,
        told=np.zeros((0, 6)),
        reynolds=model.reynolds,
    )
    return results.coefficients(model, solved)


def exact_moment(section: MappedSection, alpha: float) -> float:
    """Moment about x = 1/4, nose up positive, from the exact pressures.

    Pressure p pushes an element d(x, y), the body on its right, with p (dy, -dx); its moment counted from
    the x axis towards the y axis is x F_y - y F_x, and nose up is the other way round.
    """
    pressure = 1.0 - section.speed(alpha) ** 2
    # stagnation at a trailing edge with an angle, the neighbor's pressure at a cusp
    pressure = np.concatenate((pressure[:1], pressure, pressure[-1:]))
    middle = 0.5 * (pressure[1:] + pressure[:-1])
    x, y = 0.5 * (section.x[1:] + section.x[:-1]), 0.5 * (section.y[1:] + section.y[:-1])
    force_x, force_y = middle * np.diff(section.y), -middle * np.diff(section.x)
    return -float(np.sum((x - 0.25) * force_y - y * force_x))


@pytest.mark.parametrize("case", CASES, ids=lambda c: f"{c['section']} {c['alpha_deg']} deg")
def test_moment_of_mapped_sections(case: dict[str, str]) -> None:
    """Potential flow about Joukowski and Karman-Trefftz sections (source in the case file's header)."""
    section = mapped_section(
        center=complex(float(case["center_x"]), float(case["center_y"])),
        power=float(case["power"]),
        points=3201,
    )
    alpha = float(np.radians(float(case["alpha_deg"])))
    system = panel_system(outline(section.x, section.y, panels=200))
    any_section = section_model(naca_section("0012"), reynolds=1e6)  # without rows and trips
    model = replace(any_section, system=system)
    found = without_layers(model, alpha)
    assert found.cm == pytest.approx(exact_moment(section, alpha), abs=0.002)
    assert found.cl == pytest.approx(float(case["lift"]), rel=0.01, abs=1e-4)


def camber_slope(camber: float, place: float, x: FloatArray) -> FloatArray:
    """Slope of a four-digit camber line (NACA Report 460)."""
    ahead = x < place
    return np.where(ahead, camber / place**2, camber / (1.0 - place) ** 2) * 2.0 * (place - x)


@pytest.mark.parametrize("digits", ["2406", "4406", "6306"])
def test_moment_of_a_thin_cambered_section(digits: str) -> None:
    """pi/4 (A2 - A1) about the quarter chord at any angle, with Glauert's coefficients of the camber line.

    Glauert, The Elements of Aerofoil and Airscrew Theory, 1926, chapter 7; Katz and Plotkin, Low-Speed
    Aerodynamics, chapter 5. For NACA 4412's camber line that is -0.106. Thickness of 6 % may do 12 %.
    """
    turn = (np.arange(20000) + 0.5) * np.pi / 20000
    slope = camber_slope(0.01 * int(digits[0]), 0.1 * int(digits[1]), 0.5 * (1.0 - np.cos(turn)))
    first, second = (2.0 * float(np.mean(slope * np.cos(n * turn))) for n in (1, 2))
    theory = 0.25 * np.pi * (second - first)
    assert theory < -0.03
    model = section_model(naca_section(digits), reynolds=1e6)
    for alpha_deg in (0.0, 3.0, 6.0):
        found = without_layers(model, float(np.radians(alpha_deg)))
        assert found.cm == pytest.approx(theory, rel=0.12)
