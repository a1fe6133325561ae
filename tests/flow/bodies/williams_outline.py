"""Williams' two airfoils with smooth noses, and his flow at any place, for grids much finer than his table.

The table's outline has some ten points about the flap's nose and turns there in corners (radius 0.0009). The
62 places of the pressure table lie on a smooth curve; the cubic spline through them is taken.
"""

import numpy as np
from scipy.interpolate import CubicSpline

from slowflight.flow.integral.bodies.panel_system import BodiesSystem, bodies_system, velocities
from slowflight.flow.solution import FloatArray
from slowflight.wing.elements import Element
from tests.flow.bodies.cases import WILLIAMS, element_of, williams_pressures

NAMES = ("main", "flap")
BETWEEN = 8  # points drawn from one place of the table to the next


def smooth_element(name: str) -> Element:
    """One of both airfoils, brought to a unit chord of its own and set back in place."""
    x, y = np.array(WILLIAMS[name]["outline_x"]), np.array(WILLIAMS[name]["outline_y"])
    at_x, _ = williams_pressures(name)
    arc = np.concatenate(([0.0], np.cumsum(np.hypot(np.diff(x), np.diff(y)))))
    nose, turn = int(np.argmin(x)), int(np.argmin(at_x)) + 1
    below = np.interp(-at_x[:turn], -x[: nose + 1], arc[: nose + 1])
    above = np.interp(at_x[turn:], x[nose:], arc[nose:])
    places = np.concatenate((below, above))
    places[0], places[-1] = 0.0, arc[-1]
    knots = np.column_stack((np.interp(places, arc, x), np.interp(places, arc, y)))
    along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(knots, axis=0).T))))
    count = len(knots) - 1
    dense = np.interp(np.linspace(0.0, count, BETWEEN * count + 1), np.arange(count + 1.0), along)
    points = CubicSpline(along, knots)(dense)
    points[0] = points[-1] = knots[0]
    return element_of(name, points)


def paneled() -> BodiesSystem:
    """Both bodies, finely, their trailing edges sharp."""
    bodies = tuple(smooth_element(name) for name in NAMES)
    return bodies_system(bodies, panels=(400, 300), fairing=2e-4, least_gap=1e-5)


def circulation(system: BodiesSystem) -> float:
    """Of both together at zero angle of attack, clockwise positive."""
    total = 0.0
    for k, body in enumerate(system.bodies):
        speed = system.unit_speed[system.node_from[k] : system.node_from[k + 1], 0]
        total += float(np.sum(0.5 * (speed[1:] + speed[:-1]) * np.diff(body.outline.arc)))
    return total


def velocity_at(system: BodiesSystem, points: FloatArray) -> FloatArray:
    """Velocity at points (n, 2) at zero angle of attack, shape (n, 2)."""
    w = np.ones(len(points), dtype=complex)
    for k, body in enumerate(system.bodies):
        vortex, _ = velocities(body, points[:, 0], points[:, 1])
        w = w + vortex @ system.unit_speed[system.node_from[k] : system.node_from[k + 1], 0]
    return np.column_stack((w.real, -w.imag))
