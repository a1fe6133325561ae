"""Inviscid flow about one body by linear vortex panels, with the sources by which layers push it out.

Normal velocity is zero at mid-panels on the inner side, so the air inside is at rest and the outer tangential
speed at a node equals its vortex strength. Sources sit on the same panels: ``sigma = d(mass defect)/ds``.
Speeds at nodes and sources at mid-panels form a staggered pair, so a saw-tooth in the mass defect is seen.
The blunt trailing edge blows its own gap of air at the trailing-edge speed, and the gap is closed in the wake
over ``CLOSING`` of the chord, so that nothing singular is left there (own construction).

Source of the method: Katz and Plotkin, Low-Speed Aerodynamics, section 11.3 (linear vortices); the
simultaneous treatment of sources follows Drela and Giles, AIAA J. 25(10), 1987.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.kernels import panel_velocities
from slowflight.flow.integral.outline import Outline
from slowflight.flow.solution import ComplexArray, FloatArray

CLOSING = 0.15  # length over which the trailing-edge gap is closed in the wake [chords]
CLOSING_PER_GAP = 4.0  # but no shorter than this times the gap, where that is wide; own choice, no source


@dataclass(frozen=True)
class PanelSystem:
    """One body's inviscid response, independent of the angle of attack.

    Parameters
    ----------
    body : Outline
    unit_speed : FloatArray
        Signed node speeds (positive from lower to upper trailing edge) in a unit stream along x and along y,
        shape (n + 1, 2).
    inverse : FloatArray
        Node speeds per unit normal velocity imposed at mid-panels and on the Kutta row, shape (n + 1, n + 1).
    source_speed : FloatArray
        Node speeds per unit source on each panel, shape (n + 1, n).
    middle_x, middle_y, angle : FloatArray
        Mid-panel points and panel directions, shape (n,).
    tail : tuple of float
        Middle of the trailing edge and its bisector direction: x, y, cos, sin.
    """

    body: Outline
    unit_speed: FloatArray
    inverse: FloatArray
    source_speed: FloatArray
    middle_x: FloatArray
    middle_y: FloatArray
    angle: FloatArray
    tail: tuple[float, float, float, float]


@kernel
def closing_length(gap: float) -> float:
    """Length over which a trailing-edge gap closes behind it [chords]."""
    return max(CLOSING, CLOSING_PER_GAP * gap)


@kernel
def gap_left(distance: float, gap: float) -> float:
    """Thickness of the dead air behind a blunt trailing edge at a distance from it [chords]."""
    t = min(distance / closing_length(gap), 1.0)
    return gap * (1.0 - t) ** 2 * (1.0 + 2.0 * t)


def tail_closing_nodes(
    tail: tuple[float, float, float, float], gap: float
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Straight chain along the bisector whose sources close the gap; strengths per unit edge speed."""
    t = np.linspace(0.0, 1.0, 21) ** 1.5
    distance = closing_length(gap) * t
    shape = np.array([gap_left(d, gap) for d in distance])
    strength = np.diff(shape) / np.diff(distance)
    return tail[0] + distance * tail[2], tail[1] + distance * tail[3], strength


def vortex_velocity(
    system_body: Outline, tail: tuple[float, float, float, float], x: FloatArray, y: FloatArray
) -> tuple[ComplexArray, ComplexArray]:
    """Velocities u - iv per unit node speed (trailing-edge blowing included) and per unit panel source."""
    source, vortex = panel_velocities(system_body.x, system_body.y, x, y, np.pi)
    base_x = np.array([system_body.x[-1], system_body.x[0]])
    base_y = np.array([system_body.y[-1], system_body.y[0]])
    base, _ = panel_velocities(base_x, base_y, x, y, np.pi)
    cx, cy, strength = tail_closing_nodes(tail, system_body.gap)
    # the wake runs along this chain at first
    closing, _ = panel_velocities(cx, cy, x, y, 0.0)
    blown = base[:, 0] + closing @ strength
    vortex[:, -1] += 0.5 * blown
    vortex[:, 0] -= 0.5 * blown
    return vortex, source


def tail_of(body: Outline) -> tuple[float, float, float, float]:
    """Middle of the trailing edge and the direction in which its two sides leave."""
    dx = 0.5 * (body.x[0] - body.x[1] + body.x[-1] - body.x[-2])
    dy = 0.5 * (body.y[0] - body.y[1] + body.y[-1] - body.y[-2])
    size = np.hypot(dx, dy)
    return 0.5 * (body.x[0] + body.x[-1]), 0.5 * (body.y[0] + body.y[-1]), dx / size, dy / size


def panel_system(body: Outline) -> PanelSystem:
    """Set up and factor the panel equations of one body.

    Parameters
    ----------
    body : Outline

    Returns
    -------
    PanelSystem
    """
    n = body.x.size - 1
    mx, my = 0.5 * (body.x[1:] + body.x[:-1]), 0.5 * (body.y[1:] + body.y[:-1])
    angle = np.arctan2(np.diff(body.y), np.diff(body.x))
    tail = tail_of(body)
    vortex, source = vortex_velocity(body, tail, mx, my)
    turn = np.exp(1j * angle)[:, None]
    matrix = np.zeros((n + 1, n + 1))
    matrix[:n] = -(vortex * turn).imag
    matrix[n, 0] = matrix[n, n] = 1.0
    inverse = np.linalg.inv(matrix)
    normal = np.zeros((n + 1, 2))
    normal[:n, 0] = np.sin(angle)  # minus the normal part of a unit stream along x
    normal[:n, 1] = -np.cos(angle)
    blocked = np.zeros((n + 1, n))
    blocked[:n] = (source * turn).imag
    return PanelSystem(
        body=body,
        unit_speed=inverse @ normal,
        inverse=np.asarray(inverse, dtype=np.float64),
        source_speed=inverse @ blocked,
        middle_x=mx,
        middle_y=my,
        angle=angle,
        tail=tail,
    )
