"""Velocity anywhere outside several solved bodies: stream, bound vortices, sources of layers and wakes."""

from __future__ import annotations

import numpy as np

from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies
from slowflight.flow.integral.bodies.panel_system import velocities
from slowflight.flow.integral.coupling import mass_defects
from slowflight.flow.integral.kernels import panel_velocities
from slowflight.flow.solution import ComplexArray, FloatArray


def outer_velocity(model: ElementsModel, solved: SolvedBodies, x: FloatArray, y: FloatArray) -> ComplexArray:
    """Complex velocity u - iv over flight speed at points of the outer flow.

    Parameters
    ----------
    model : ElementsModel
    solved : SolvedBodies
        A converged solution of it.
    x, y : FloatArray
        Points off the surfaces, in the main section's frame [main chords], shape (m,).

    Returns
    -------
    complex array
        Shape (m,).
    """
    w = np.full(x.shape, complex(np.cos(solved.alpha), -np.sin(solved.alpha)))
    for k, body in enumerate(model.system.bodies):
        o, wake = body.outline, solved.paths[k]
        nb = o.x.size
        state = solved.state[solved.starts[k] : solved.starts[k + 1]]
        sign = np.where(np.arange(nb) <= solved.stagnation[k], -1.0, 1.0)
        mass = mass_defects(state)
        on_body = sign * mass[:nb]
        # the wake begins with what both sides bring; the lower side's defect counts negative
        along = np.concatenate(([on_body[-1] - on_body[0]], mass[nb:]))
        vortex, source = velocities(body, x, y)
        from_wake, _ = panel_velocities(wake.x, wake.y, x, y, 0.0)
        w += vortex @ (sign * np.exp(state[:nb, 4]))
        w += source @ (np.diff(on_body) / np.diff(o.arc))
        w += from_wake @ (np.diff(along) / np.diff(wake.arc))
    return np.asarray(w)
