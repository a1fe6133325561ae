"""The paths of all wakes at one angle, and the response of all speeds to all mass defects.

The wake of the main element runs on over the flap as a free layer of its own along the streamline of the flow
without layers. It pushes the flap's outer flow out and is sped up and slowed down by the flap, but the two
layers are kept apart: they do not mix, however near they come.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.bodies.panel_system import BodiesSystem, velocities
from slowflight.flow.integral.kernels import body_velocity, panel_velocities
from slowflight.flow.integral.wake import WAKE_LENGTH, WakePath, wake_spacing
from slowflight.flow.solution import FloatArray

OVER_FLAP = 0.015  # longest step of a wake beside another body [main chords]


@dataclass(frozen=True)
class CoupledBodies:
    """Outer flow at one angle of attack, ready for layers.

    Stations run through the nodes of the first body, its wake from the second station on, the nodes of the
    second body, its wake.

    Parameters
    ----------
    alpha : float
        [rad].
    paths : tuple of WakePath
        One for each body.
    starts : IndexArray
        First station of each body, and the count of all, shape (bodies + 1,).
    q0 : FloatArray
        Signed speeds without layers, shape (n,).
    D : FloatArray
        Change of ``q0`` per signed mass defect at each station, shape (n, n).
    per_angle : FloatArray
        Change of ``q0`` with the angle of attack while the wakes keep their paths [1/rad], shape (n,).
    """

    alpha: float
    paths: tuple[WakePath, ...]
    starts: tuple[int, ...]
    q0: FloatArray
    D: FloatArray
    per_angle: FloatArray


def wake_steps(system: BodiesSystem, wake_nodes: tuple[int, ...]) -> tuple[FloatArray, ...]:
    """Distances of each wake's stations from its trailing edge.

    They grow geometrically, as those of a single section do. Beside a body that lies further aft steps are
    held short, so that a station there sees that body's panels one by one.
    """
    tails = [body.tail for body in system.bodies]
    arcs = []
    for k, body in enumerate(system.bodies):
        arc = body.outline.arc
        first = 0.5 * (arc[1] - arc[0] + arc[-1] - arc[-2])
        further = [np.hypot(t[0] - tails[k][0], t[1] - tails[k][1]) for t in tails if t[0] > tails[k][0]]
        count = wake_nodes[k]
        if not further:
            arcs.append(wake_spacing(float(first), count))
            continue
        beside = 1.1 * float(max(further))
        step = min(OVER_FLAP, float(max(further)) / 10.0)
        short = [0.0]
        size = float(first)
        while short[-1] < beside and len(short) < count - 8:
            short.append(short[-1] + size)
            size = min(1.25 * size, step)
        rest = wake_spacing(step, count + 1 - len(short), WAKE_LENGTH - short[-1])
        arcs.append(np.concatenate((short, short[-1] + rest[1:])))
    return tuple(arcs)


def _traced(
    system: BodiesSystem, k: int, arc: FloatArray, q_body: FloatArray, free: complex
) -> tuple[FloatArray, FloatArray]:
    """Follow the streamline from a trailing edge."""
    count = arc.size - 1
    x, y = np.empty(count + 1), np.empty(count + 1)
    tail = system.bodies[k].tail
    x[0], y[0] = tail[0], tail[1]
    dx, dy = tail[2], tail[3]
    parts = []
    for j, body in enumerate(system.bodies):
        o = body.outline
        ends = np.array([o.x[-1], o.x[0], o.y[-1], o.y[0]])
        gamma = q_body[system.node_from[j] : system.node_from[j + 1]]
        parts.append((o.x, o.y, gamma, ends, body.closing_x, body.closing_y, body.closing))
    for i in range(count):
        ds = arc[i + 1] - arc[i]
        px, py = x[i] + 0.5 * ds * dx, y[i] + 0.5 * ds * dy
        w = free + sum(body_velocity(px, py, *part) for part in parts)
        size = abs(w)
        dx, dy = w.real / size, -w.imag / size
        x[i + 1], y[i + 1] = x[i] + ds * dx, y[i] + ds * dy
    return x, y


def coupled_bodies(system: BodiesSystem, alpha: float, *, arcs: tuple[FloatArray, ...]) -> CoupledBodies:
    """Trace the wakes at an angle of attack and assemble the response matrix.

    Parameters
    ----------
    system : BodiesSystem
    alpha : float
        Angle of attack [rad].
    arcs : tuple of FloatArray
        Distances of each wake's stations from its trailing edge, see ``wake_steps``.
    """
    bodies = system.bodies
    kinds = range(len(bodies))
    free = complex(np.cos(alpha), -np.sin(alpha))
    q_body = system.unit_speed @ np.array([free.real, -free.imag])
    lines = [_traced(system, k, arcs[k], q_body, free) for k in kinds]
    wakes = [arc.size - 1 for arc in arcs]
    nodes = [body.outline.x.size for body in bodies]
    starts = tuple(int(v) for v in np.cumsum([0, *(a + b for a, b in zip(nodes, wakes, strict=True))]))
    n, n_panels, n_nodes = starts[-1], system.panel_from[-1], system.node_from[-1]
    wake_from = [int(v) for v in np.cumsum([0, *wakes])]

    # sources of mass defects, on the panels of bodies and of wakes
    S, W = np.zeros((n_panels, n)), np.zeros((wake_from[-1], n))
    for k in kinds:
        at, p, m = starts[k], system.panel_from[k], nodes[k] - 1
        ds = np.diff(bodies[k].outline.arc)
        panel = np.arange(m)
        S[p + panel, at + panel] = -1.0 / ds
        S[p + panel, at + panel + 1] = 1.0 / ds
        w, length = wake_from[k], np.diff(arcs[k])
        panel = np.arange(wakes[k])
        W[w + panel, at + m + 1 + panel] = 1.0 / length
        W[w + panel[1:], at + m + panel[1:]] = -1.0 / length[1:]
        W[w, at] = 1.0 / length[0]  # the lower side's defect counts negative
        W[w, at + m] = -1.0 / length[0]

    # all wakes' sources as the mid-panels of all bodies see them
    turn = np.exp(1j * system.angle)[:, None]
    blocked = np.empty((n_panels, wake_from[-1]))
    for k in kinds:
        seen, _ = panel_velocities(*lines[k], system.middle_x, system.middle_y, 0.0)
        blocked[:, wake_from[k] : wake_from[k + 1]] = (seen * turn).imag
    on_nodes = system.source_speed @ S + (system.inverse @ blocked) @ W

    D, q0, per_angle = np.empty((n, n)), np.empty(n), np.empty(n)
    turned = complex(free.imag, -free.real)  # change of the stream with the angle
    q_turned = system.unit_speed @ np.array([turned.real, -turned.imag])
    for k in kinds:
        own = slice(starts[k], starts[k] + nodes[k])
        D[own] = on_nodes[system.node_from[k] : system.node_from[k + 1]]
        q0[own] = q_body[system.node_from[k] : system.node_from[k + 1]]
        per_angle[own] = q_turned[system.node_from[k] : system.node_from[k + 1]]
    for k in kinds:
        x, y = lines[k]
        tx, ty = np.gradient(x)[1:], np.gradient(y)[1:]
        along = ((tx + 1j * ty) / np.hypot(tx, ty))[:, None]
        from_speed, from_source = np.empty((wakes[k], n_nodes)), np.empty((wakes[k], n_panels))
        for j in kinds:
            vortex, source = velocities(bodies[j], x[1:], y[1:])
            from_speed[:, system.node_from[j] : system.node_from[j + 1]] = (vortex * along).real
            from_source[:, system.panel_from[j] : system.panel_from[j + 1]] = (source * along).real
        from_wake = np.empty((wakes[k], wake_from[-1]))
        for j in kinds:
            seen, _ = panel_velocities(*lines[j], x[1:], y[1:], 0.0)
            from_wake[:, wake_from[j] : wake_from[j + 1]] = (seen * along).real
        station = np.arange(wakes[k])
        # the two panels that meet at a station act from their middles: the log of a node on a panel end is
        # avoided
        from_wake[station, wake_from[k] + station] = 1.0 / np.pi
        from_wake[station[:-1], wake_from[k] + station[:-1] + 1] = -1.0 / np.pi
        own = slice(starts[k] + nodes[k], starts[k + 1])
        D[own] = from_speed @ on_nodes + from_source @ S + from_wake @ W
        q0[own] = (free * along[:, 0]).real + from_speed @ q_body
        per_angle[own] = (turned * along[:, 0]).real + from_speed @ q_turned
    return CoupledBodies(
        alpha=alpha,
        paths=tuple(WakePath(alpha, *lines[k], arcs[k]) for k in kinds),
        starts=starts,
        q0=q0,
        D=D,
        per_angle=per_angle,
    )
