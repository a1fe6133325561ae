"""Velocity anywhere outside a solved section: stream, bound vortices, and the sources of layers and wake."""

from __future__ import annotations

import numpy as np

from slowflight.flow.integral.coupling import mass_defects
from slowflight.flow.integral.kernels import panel_velocities
from slowflight.flow.integral.panels import vortex_velocity
from slowflight.flow.integral.section_flow import SectionModel, Solved
from slowflight.flow.solution import ComplexArray, FloatArray


def outer_velocity(model: SectionModel, solved: Solved, x: FloatArray, y: FloatArray) -> ComplexArray:
    """Complex velocity u - iv over flight speed at points of the outer flow.

    Parameters
    ----------
    model : SectionModel
    solved : Solved
        A converged solution of it.
    x, y : FloatArray
        Points off the surface, in the section's own axes [chords], shape (m,).

    Returns
    -------
    complex array
        Shape (m,).
    """
    body, wake = model.system.body, solved.wake
    nb = model.body_stations
    speed = np.exp(solved.state[:, 4])
    signed = np.where(np.arange(nb) <= solved.stagnation, -speed[:nb], speed[:nb])
    mass = mass_defects(solved.state)
    on_body = np.where(np.arange(nb) <= solved.stagnation, -mass[:nb], mass[:nb])
    body_source = np.diff(on_body) / np.diff(body.arc)
    # the wake begins with what both sides bring; the lower side's defect counts negative
    along = np.concatenate(([on_body[-1] - on_body[0]], mass[nb:]))
    wake_source = np.diff(along) / np.diff(wake.arc)
    vortex, source = vortex_velocity(body, model.system.tail, x, y)
    from_wake, _ = panel_velocities(wake.x, wake.y, x, y, 0.0)
    free = complex(np.cos(solved.alpha), -np.sin(solved.alpha))
    return np.asarray(free + vortex @ signed + source @ body_source + from_wake @ wake_source)
