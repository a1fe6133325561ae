"""From a solved state of several bodies to coefficients and to each element's layers."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.integral import results
from slowflight.flow.integral.bodies.model import ElementsModel, SolvedBodies
from slowflight.flow.integral.section_flow import Solved
from slowflight.flow.solution import SurfaceLayer


@dataclass(frozen=True)
class ElementForces:
    """Forces on one element, all on the main chord and in the main section's frame.

    Parameters
    ----------
    cl, cd, cm : float
        Lift and moment about the main quarter chord from surface pressures; drag from the far end of the
        element's own wake, vanes included.
    cl_circulation : float
        Lift from circulation.
    cd_vanes : float
        The vanes' own share of ``cd`` [-].
    """

    cl: float
    cd: float
    cm: float
    cl_circulation: float
    cd_vanes: float


def as_section(model: ElementsModel, solved: SolvedBodies, k: int) -> Solved:
    """One element's part of a solution, in the shape of a section's."""
    a, b = solved.starts[k], solved.starts[k + 1]
    return Solved(
        wake=solved.paths[k],
        state=solved.state[a:b],
        stagnation=solved.stagnation[k],
        converged=solved.converged,
        residual=solved.residual,
        iterations=solved.iterations,
        told=solved.told[k],
        reynolds=solved.reynolds,
    )


def element_forces(model: ElementsModel, solved: SolvedBodies) -> tuple[ElementForces, ...]:
    """Forces on each element, see ``flow.integral.results.coefficients``.

    The drag of the parts is exact only in sum: a wake's momentum far behind belongs to no single element.
    """
    parts = []
    for k in range(len(model.sections)):
        c = results.coefficients(model.sections[k], as_section(model, solved, k))
        parts.append(ElementForces(c.cl, c.cd, c.cm, c.cl_circulation, c.cd_vanes))
    return tuple(parts)


def total(parts: tuple[ElementForces, ...]) -> ElementForces:
    """Sum over the elements."""
    return ElementForces(
        cl=sum(p.cl for p in parts),
        cd=sum(p.cd for p in parts),
        cm=sum(p.cm for p in parts),
        cl_circulation=sum(p.cl_circulation for p in parts),
        cd_vanes=sum(p.cd_vanes for p in parts),
    )


def element_layer(model: ElementsModel, solved: SolvedBodies, k: int, side: str) -> SurfaceLayer:
    """Distributions on one element's ``"upper"`` or ``"lower"`` side or in its ``"wake"``; main frame."""
    return results.surface_layer(model.sections[k], as_section(model, solved, k), side)


def in_own_chord(model: ElementsModel, layer: SurfaceLayer, k: int) -> SurfaceLayer:
    """The same distribution with places in the element's own unit chord; thicknesses stay in main chords."""
    element = model.elements.bodies[k]
    x, y = element.own(layer.x, layer.y)
    return replace(layer, x=np.asarray(x), y=np.asarray(y), arc=layer.arc / element.chord)
