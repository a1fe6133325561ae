"""Air without friction in the minutes tier: nothing sticks to the skin, nothing is turbulent."""

from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.rans.far_field import outer_state
from slowflight.flow.rans.mesh import Indices, Mesh
from slowflight.flow.rans.newton import Marching
from slowflight.flow.rans.pattern import sparse_pattern
from slowflight.flow.rans.problem import Problem
from slowflight.flow.rans.setting import setting_on
from slowflight.flow.rans.sparse_direct import DirectSolver
from slowflight.flow.rans.turbulence import FLOW, OneEquation
from slowflight.flow.solution import FloatArray


@dataclass(frozen=True, eq=False)
class SlipMarching(Marching):
    """The far-field vortex has a given circulation."""

    given: float = 0.0

    def at(self, alpha: float, circulation: float) -> Problem:
        outer = outer_state(
            self.problem.mesh, alpha=alpha, circulation=self.given, turbulence=self.turbulence
        )
        return replace(self.problem, setting=self.problem.setting._replace(outer=outer))


def slip_marching(mesh: Mesh, *, circulation: float) -> SlipMarching:
    """On a mesh whose skins are of the kind ``SLIP``; the turbulence variable stays zero everywhere."""
    setting = setting_on(mesh, OneEquation(), nu=1e-14)._replace(share=np.zeros(len(mesh.volume)))
    pattern = sparse_pattern(mesh)
    return SlipMarching(
        Problem(mesh, pattern, setting), DirectSolver(pattern), (0.0,), vortex=False, given=circulation
    )


def without_friction(velocity: FloatArray) -> FloatArray:
    """State of shape (n, unknowns) with velocities (n, 2) and pressure from constant total pressure."""
    q = np.zeros((len(velocity), FLOW + 1))
    q[:, 1:FLOW] = velocity
    q[:, 0] = 0.5 * (1.0 - np.sum(velocity**2, axis=1))
    return q


def face_pressures(mesh: Mesh, faces: Indices, q: FloatArray) -> FloatArray:
    """Pressure coefficients on boundary faces, extrapolated as the fluxes have it."""
    return np.asarray(2.0 * np.einsum("wk,wk->w", mesh.edge_value[faces], q[mesh.edge_cells[faces], 0]))
