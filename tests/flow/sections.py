"""Sections and single angles that several tests solve."""

from dataclasses import replace

import numpy as np

from slowflight.flow.integral import results
from slowflight.flow.integral.results import Coefficients
from slowflight.flow.integral.section_flow import SectionModel, Solved, section_model
from slowflight.flow.integral.sweep import sweep
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section

TRIPS_4412 = (0.025, 0.103)  # of Coles and Wadcock's model


def mirrored(section: Section) -> Section:
    """Upside down."""
    return replace(section, name=f"{section.name} mirrored", x=section.x[::-1], y=-section.y[::-1])


def followed(model: SectionModel, alpha_deg: float) -> Solved:
    """One angle, reached from attached flow as a sweep does."""
    (point,) = sweep(model, [float(np.radians(alpha_deg))])
    assert point.solved is not None
    assert point.solved.converged
    assert point.how == "followed"
    return point.solved


def coefficients_at(
    name: str,
    alpha_deg: float,
    *,
    reynolds: float,
    transition: tuple[float | None, float | None] = (None, None),
    panels: int = 160,
) -> Coefficients:
    """Coefficients of a NACA section at one angle."""
    model = section_model(naca_section(name), reynolds=reynolds, transition=transition, panels=panels)
    return results.coefficients(model, followed(model, alpha_deg))
