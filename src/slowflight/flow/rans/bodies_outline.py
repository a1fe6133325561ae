"""What a grid about two bodies is drawn from: both skins, both wakes and the ring's edge, densely.

All in the plane unrolled about the wing's nose, where downstream of the flap is to the left and the wing's
lower side is the left half of a waved line.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from slowflight.flow.rans.grid import CLOSING_FROM, FAR_AWAY, _singular_point
from slowflight.flow.solution import ComplexArray, FloatArray
from slowflight.wing.curve import outline_curve
from slowflight.wing.elements import Element, Elements

FINE = 4001
TURNS_OVER = 0.1  # of a body's length: the ring's sides turn from the skin's normal to the wake's
UPRIGHT_AFTER = 0.3  # the ring's sides about the wake turn upright [chords]
SLOPE = 0.3  # of the ring's thickness along it
OPENS, OPENS_FROM = 0.1, 0.3  # how both wakes part behind the flap


class NotThisWayError(Exception):
    """An arrangement that cannot be drawn, in words."""


@dataclass(frozen=True)
class Attempt:
    """What is changed where a grid does not succeed.

    Parameters
    ----------
    corner : float
        Direction of the corners of the ring's front from straight ahead [rad].
    share : float
        Of the room between the bodies that the ring takes.
    thick : float
        Of the ring at most [flap chords].
    bends : float
        From a trailing edge's bisector to the flow's direction [chords].
    """

    corner: float
    share: float
    thick: float
    bends: float


@dataclass(frozen=True, eq=False)
class Drawn:
    """Dense lines, lower trailing edge first; ``plane`` unrolled, ``flat`` as flown [chords].

    Parameters
    ----------
    inside, turn : complex
        The point unrolled about, and the turn that lays the far wake level.
    wing, wing_arc : ComplexArray, FloatArray
        The wing unrolled, and length along it.
    wing_wake, wing_wake_arc : ComplexArray, FloatArray
        Its wake seen from below, from the trailing edge on.
    flap, flap_arc : ComplexArray, FloatArray
        The flap and the length along it.
    flap_wake, flap_wake_arc : ComplexArray, FloatArray
        Its wake.
    direction, thick : FloatArray
        Of the ring's sides off the flap's skin: direction unrolled [rad] and length [chords].
    above_direction, below_direction, above_thick, below_thick : FloatArray
        The same along both sides of the flap's wake.
    """

    inside: complex
    turn: complex
    wing: ComplexArray
    wing_arc: FloatArray
    wing_wake: ComplexArray
    wing_wake_arc: FloatArray
    flap: ComplexArray
    flap_arc: FloatArray
    flap_wake: ComplexArray
    flap_wake_arc: FloatArray
    direction: FloatArray
    thick: FloatArray
    above_direction: FloatArray
    below_direction: FloatArray
    above_thick: FloatArray
    below_thick: FloatArray

    def flown(self, plane: ComplexArray) -> ComplexArray:
        """From the unrolled plane to where it is."""
        return np.asarray(self.inside + plane**2 / self.turn)


def dense_skin(element: Element) -> ComplexArray:
    """A body's outline with its trailing edge closed over its last tenth, shape (FINE,)."""
    curve = outline_curve(element.section)
    points = curve.at(np.linspace(curve.knots[0], curve.knots[-1], FINE)) @ np.array([1.0, 1j])
    gap = points[-1] - points[0]
    aft = np.clip((points.real - CLOSING_FROM) / (points.real[-1] - CLOSING_FROM), 0.0, 1.0) ** 2
    upper = np.arange(points.size) > np.argmin(np.abs(points))
    points = points + np.where(upper, -0.5, 0.5) * gap * aft
    points[-1] = points[0]
    x, y = element.placed(points.real, points.imag)
    return np.asarray(x + 1j * y)


def length_along(points: ComplexArray) -> FloatArray:
    """Summed distance from the first point, shape of ``points``."""
    return np.concatenate(([0.0], np.cumsum(np.abs(np.diff(points)))))


def placed_along(places: FloatArray, arc: FloatArray, line: ComplexArray) -> ComplexArray:
    """Points at lengths along a dense line."""
    return np.asarray(np.interp(places, arc, line.real) + 1j * np.interp(places, arc, line.imag))


def _bisector(points: ComplexArray) -> float:
    """Direction in which a closed trailing edge points [rad]."""
    back = points[-1] - points[-20], points[0] - points[19]
    return float(np.angle(back[0] / abs(back[0]) + back[1] / abs(back[1])))


def _flap_wake(skin: ComplexArray, wake_angle: float, bends: float) -> ComplexArray:
    begins = _bisector(skin)
    fine = np.concatenate(([0.0], np.geomspace(1e-5, 1.3 * FAR_AWAY**2, FINE - 1)))
    heading = np.exp(1j * (wake_angle + (begins - wake_angle) * np.exp(-fine / bends)))
    path = np.concatenate(([0.0], np.cumsum(0.5 * (heading[1:] + heading[:-1]) * np.diff(fine))))
    return np.asarray(skin[-1] + path)


def _wing_wake(wing: ComplexArray, flap: ComplexArray, flap_wake: ComplexArray) -> ComplexArray:
    """The wing's wake: over the flap and its wake, in their direction after a length like the gap."""
    tail = wing[-1]
    top = int(np.argmax(flap.imag))
    nose = int(np.argmin(flap.real))
    top = max(top, nose)
    under = np.concatenate((flap[top:], flap_wake[1:]))
    x = tail.real + np.concatenate(([0.0], np.geomspace(1e-5, 1.2 * FAR_AWAY**2, FINE - 1)))
    y = np.interp(x, under.real, under.imag)
    gap = tail.imag - y[0]
    ahead = under.real[0] - tail.real
    slope = np.tan(_bisector(wing)) - (y[1] - y[0]) / (x[1] - x[0])
    least = 0.35 * float(np.min(np.abs(flap - tail)))
    room = max(gap, least)
    most = (1.0 if slope > 0.0 else 0.3) * room
    over = min(most / max(abs(slope), 1e-9), 1.0)
    away = x - tail.real
    rise = np.clip(away / max(ahead, 0.5 * room), 0.0, 1.0)
    height = gap + (room - gap) * rise * rise * (3.0 - 2.0 * rise)
    height = height + slope * over * (1.0 - np.exp(-away / over))
    behind = np.maximum(x - max(tail.real, flap[-1].real), 0.0)
    return np.asarray(x + 1j * (y + height + OPENS * behind**2 / (behind + OPENS_FROM)))


def _limited(values: FloatArray, arc: FloatArray) -> FloatArray:
    """Values lowered until they change by no more than ``SLOPE`` along the line."""
    found = values.copy()
    for k in range(1, found.size):
        found[k] = min(found[k], found[k - 1] + SLOPE * (arc[k] - arc[k - 1]))
    for k in range(found.size - 2, -1, -1):
        found[k] = min(found[k], found[k + 1] + SLOPE * (arc[k + 1] - arc[k]))
    return found


def drawn(elements: Elements, *, wake_angle: float, attempt: Attempt) -> Drawn:
    """Draw both bodies, their wakes and the ring's edge.

    Parameters
    ----------
    elements : Elements
        Two bodies.
    wake_angle : float
        Direction of both wakes far behind [rad].
    attempt : Attempt

    Returns
    -------
    Drawn
    """
    wing, flap = (dense_skin(body) for body in elements.bodies)
    nose = wing[int(np.argmin(np.abs(wing)))]
    turn, inside = complex(np.exp(-1j * wake_angle)), _singular_point(wing, complex(nose))
    behind = _flap_wake(flap, wake_angle, attempt.bends)
    over = _wing_wake(wing, flap, behind)
    flat = (wing - inside) * turn
    angle = np.unwrap(np.angle(flat))
    angle += 2.0 * np.pi * np.round(-angle[-1] / (2.0 * np.pi))
    rolled = np.sqrt(np.abs(flat)) * np.exp(0.5j * angle)

    def below(z: ComplexArray) -> ComplexArray:
        return np.asarray(-np.sqrt((z - inside) * turn))

    arc, wake_arc = length_along(flap), length_along(behind)
    chord = elements.bodies[1].chord
    most = attempt.thick * chord
    near = cKDTree(np.column_stack((np.concatenate((wing, over)).real, np.concatenate((wing, over)).imag)))

    def room(z: ComplexArray) -> FloatArray:
        return np.asarray(attempt.share * near.query(np.column_stack((z.real, z.imag)))[0])

    grown = most + 0.06 * wake_arc**2 / (wake_arc + OPENS_FROM)
    around = np.concatenate((behind[:0:-1], flap, behind[1:]))
    along = length_along(around)
    cap = np.concatenate((grown[:0:-1], np.full(flap.size, most), grown[1:]))
    upper = np.arange(around.size) >= behind.size - 1 + int(np.argmin(np.abs(flap - elements_nose(flap))))
    # nothing is in the way of the lower side
    free = np.where(upper, room(around), np.inf)
    thick = _limited(np.minimum(cap, free), along)
    rolled_flap, rolled_behind = below(flap), below(behind)
    tangent = np.gradient(rolled_flap, arc)
    direction = np.unwrap(np.angle(1j * tangent))
    direction -= 2.0 * np.pi * np.round(float(np.median(direction)) / (2.0 * np.pi))
    course = np.angle(np.gradient(rolled_behind, wake_arc))
    course = np.where(course < 0.0, course + 2.0 * np.pi, course)  # about pi: to the left
    upright = 1.0 - np.exp(-wake_arc / UPRIGHT_AFTER)
    sides = []
    for quarter, tail in ((-0.5 * np.pi, 0), (0.5 * np.pi, -1)):  # below first: up in this plane
        level = course + quarter
        wanted = 0.5 * np.pi if tail == 0 else 1.5 * np.pi
        sides.append(level + (wanted - level) * upright)
    lower, higher = sides[0], sides[1] - 2.0 * np.pi
    length = float(arc[-1])
    from_tail = np.minimum(arc, length - arc) / (TURNS_OVER * length)
    share = np.where(from_tail < 1.0, (1.0 - from_tail) ** 2 * (1.0 + 2.0 * from_tail), 0.0)
    target = np.where(arc < 0.5 * length, lower[0], higher[0])
    direction = direction + share * (target - direction)
    start, end = behind.size - 1, behind.size - 1 + flap.size
    return Drawn(
        inside, turn, rolled, length_along(wing), below(over), length_along(over), rolled_flap, arc,
        rolled_behind, wake_arc, direction, thick[start:end], higher, lower, thick[end - 1 :],
        thick[start::-1],
    )  # fmt: skip


def elements_nose(skin: ComplexArray) -> complex:
    """The point of a closed outline farthest from its trailing edge."""
    return complex(skin[int(np.argmax(np.abs(skin - skin[-1])))])
