"""Inviscid flow about several bodies by linear vortex panels, with one Kutta condition for each.

As in ``panels``, whose kernels these are: normal velocity is zero at mid-panels on the inner side of every
body, so that the air inside each is at rest and the outer speed at a node is its vortex strength.

Source of the method: Katz and Plotkin, Low-Speed Aerodynamics, section 11.3; for several bodies the equations
of each are written under each other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.kernels import panel_velocities
from slowflight.flow.integral.outline import FAIRING, LEAST_GAP, Outline, outline
from slowflight.flow.integral.panels import CLOSING, gap_left, tail_of
from slowflight.flow.solution import ComplexArray, FloatArray
from slowflight.wing.elements import Element

CLOSING_STEPS = 20
# of the way along a trailing edge's bisector to the next body, how much its gap may use to close
_FREE_WAY = 0.5


@dataclass(frozen=True)
class Body:
    """One body's panels in the common frame.

    Parameters
    ----------
    outline : Outline
        Nodes in the main section's frame, gap and arc in main chords.
    chord : float
        [main chords].
    nose : int
        Node at its nose.
    tail : tuple of float
        Middle of the trailing edge and its bisector direction: x, y, cos, sin.
    closing_length : float
        Length over which the gap of its trailing edge closes behind it [main chords].
    closing_x, closing_y : FloatArray
        Chain behind the trailing edge along which its gap is closed, shape (CLOSING_STEPS + 1,).
    closing : FloatArray
        Source strength of the chain per unit edge speed, shape (CLOSING_STEPS,).
    """

    outline: Outline
    chord: float
    nose: int
    tail: tuple[float, float, float, float]
    closing_length: float
    closing_x: FloatArray
    closing_y: FloatArray
    closing: FloatArray


@dataclass(frozen=True)
class BodiesSystem:
    """The inviscid response of several bodies, independent of the angle of attack.

    Parameters
    ----------
    bodies : tuple of Body
    node_from, panel_from : tuple of int
        Where the nodes and panels of each body begin in the arrays below, and their count at the end.
    unit_speed : FloatArray
        Signed node speeds (positive from lower to upper trailing edge) in a unit stream along x and along y,
        shape (nodes, 2).
    inverse : FloatArray
        Node speeds per unit normal velocity imposed at mid-panels, shape (nodes, panels).
    source_speed : FloatArray
        Node speeds per unit source on each panel, shape (nodes, panels).
    middle_x, middle_y, angle : FloatArray
        Mid-panel points and panel directions, shape (panels,).
    """

    bodies: tuple[Body, ...]
    node_from: tuple[int, ...]
    panel_from: tuple[int, ...]
    unit_speed: FloatArray
    inverse: FloatArray
    source_speed: FloatArray
    middle_x: FloatArray
    middle_y: FloatArray
    angle: FloatArray


def body_of(
    element: Element, *, panels: int, fairing: float = FAIRING, least_gap: float = LEAST_GAP
) -> tuple[Outline, int]:
    """Panel nodes of one element in the common frame, and its nose node.

    Parameters
    ----------
    element : Element
    panels : int
    fairing, least_gap : float
        Of its trailing edge [its own chords].
    """
    own = outline(element.section.x, element.section.y, panels=panels, fairing=fairing, least_gap=least_gap)
    x, y = element.placed(own.x, own.y)
    scale = element.chord
    return Outline(x=x, y=y, arc=scale * own.arc, gap=scale * own.gap), int(np.argmin(own.x))


def _closing_chain(
    tail: tuple[float, float, float, float], gap: float, length: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Straight chain along the bisector whose sources close the gap; strengths per unit edge speed."""
    t = np.linspace(0.0, 1.0, CLOSING_STEPS + 1) ** 1.5
    distance = length * t
    shape = np.array([gap_left(CLOSING * d, gap) for d in t])
    strength = np.diff(shape) / np.diff(distance)
    return tail[0] + distance * tail[2], tail[1] + distance * tail[3], strength


def _free_way(tail: tuple[float, float, float, float], others: list[Outline]) -> float:
    """How far a straight line from the trailing edge runs before it comes near another body."""
    free = np.inf
    for other in others:
        dx, dy = other.x - tail[0], other.y - tail[1]
        ahead, beside = dx * tail[2] + dy * tail[3], np.abs(dy * tail[2] - dx * tail[3])
        near = ahead[(ahead > 0.0) & (beside < 0.25 * ahead)]
        if near.size:
            free = min(free, float(near.min()))
    return free


def velocities(body: Body, x: FloatArray, y: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """Velocities u - iv per unit node speed (trailing-edge blowing included) and per unit panel source."""
    o = body.outline
    source, vortex = panel_velocities(o.x, o.y, x, y, np.pi)
    base, _ = panel_velocities(np.array([o.x[-1], o.x[0]]), np.array([o.y[-1], o.y[0]]), x, y, np.pi)
    # the wake runs along this chain at first
    closing, _ = panel_velocities(body.closing_x, body.closing_y, x, y, 0.0)
    blown = base[:, 0] + closing @ body.closing
    vortex[:, -1] += 0.5 * blown
    vortex[:, 0] -= 0.5 * blown
    return vortex, source


def bodies_system(
    elements: tuple[Element, ...],
    *,
    panels: tuple[int, ...],
    fairing: float = FAIRING,
    least_gap: float = LEAST_GAP,
) -> BodiesSystem:
    """Panel several elements and factor their equations.

    Parameters
    ----------
    elements : tuple of Element
    panels : tuple of int
        On each.
    fairing, least_gap : float
        Of every trailing edge [its own chords].

    Returns
    -------
    BodiesSystem
    """
    drawn = [
        body_of(e, panels=n, fairing=fairing, least_gap=least_gap)
        for e, n in zip(elements, panels, strict=True)
    ]
    bodies = []
    for k, (o, nose) in enumerate(drawn):
        tail = tail_of(o)
        others = [other for j, (other, _) in enumerate(drawn) if j != k]
        length = min(CLOSING * elements[k].chord, _FREE_WAY * _free_way(tail, others))
        chain = _closing_chain(tail, o.gap, length)
        bodies.append(Body(o, elements[k].chord, nose, tail, length, *chain))
    node_from = tuple(int(v) for v in np.cumsum([0, *(n + 1 for n in panels)]))
    panel_from = tuple(int(v) for v in np.cumsum([0, *panels]))
    mx = np.concatenate([0.5 * (b.outline.x[1:] + b.outline.x[:-1]) for b in bodies])
    my = np.concatenate([0.5 * (b.outline.y[1:] + b.outline.y[:-1]) for b in bodies])
    angle = np.concatenate([np.arctan2(np.diff(b.outline.y), np.diff(b.outline.x)) for b in bodies])
    turn = np.exp(1j * angle)[:, None]
    count, nodes = panel_from[-1], node_from[-1]
    # the Kutta rows stand last, one for each body
    matrix = np.zeros((nodes, nodes))
    blocked = np.zeros((nodes, count))
    for k, body in enumerate(bodies):
        vortex, source = velocities(body, mx, my)
        first, last = node_from[k], node_from[k + 1] - 1
        matrix[:count, first : last + 1] = -(vortex * turn).imag
        blocked[:count, panel_from[k] : panel_from[k + 1]] = (source * turn).imag
        matrix[count + k, first] = matrix[count + k, last] = 1.0
    inverse = np.asarray(np.linalg.inv(matrix), dtype=np.float64)
    normal = np.zeros((nodes, 2))
    normal[:count, 0] = np.sin(angle)  # minus the normal part of a unit stream along x
    normal[:count, 1] = -np.cos(angle)
    return BodiesSystem(
        bodies=tuple(bodies),
        node_from=node_from,
        panel_from=panel_from,
        unit_speed=inverse @ normal,
        inverse=np.ascontiguousarray(inverse[:, :count]),
        source_speed=inverse @ blocked,
        middle_x=mx,
        middle_y=my,
        angle=angle,
    )
