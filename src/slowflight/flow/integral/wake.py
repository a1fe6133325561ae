"""The wake's path at one angle, and the response of all speeds to all mass defects."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.kept import Kept
from slowflight.flow.integral.kernels import body_velocity, panel_velocities
from slowflight.flow.integral.panels import PanelSystem, tail_closing_nodes, vortex_velocity
from slowflight.flow.solution import FloatArray

WAKE_LENGTH = 1.5  # [chords]


@dataclass(frozen=True)
class WakePath:
    """Where the wake runs at one angle of attack.

    Parameters
    ----------
    alpha : float
        [rad].
    x, y, arc : FloatArray
        Nodes from the trailing edge on, and their distance from it [chords], shape (n_wake + 1,).
    """

    alpha: float
    x: FloatArray
    y: FloatArray
    arc: FloatArray


@dataclass(frozen=True)
class Coupled:
    """Outer flow at one angle of attack, ready for layers.

    Parameters
    ----------
    path : WakePath
    q0 : FloatArray
        Signed speeds without layers at body stations and, from the second one, wake stations, shape (n,).
    D : FloatArray
        Change of ``q0`` per signed mass defect at each station, shape (n, n).
    per_angle : FloatArray
        Change of ``q0`` with the angle of attack while the wake keeps its path [1/rad], shape (n,).
    """

    path: WakePath
    q0: FloatArray
    D: FloatArray
    per_angle: FloatArray


_KEPT: Kept[Coupled] = Kept()


def wake_spacing(first: float, count: int, length: float = WAKE_LENGTH) -> FloatArray:
    """Distances from the trailing edge, growing geometrically from a first step, shape (count + 1,)."""
    lo, hi = 1.0, 2.0
    for _ in range(60):
        g = 0.5 * (lo + hi)
        total = first * (g**count - 1.0) / (g - 1.0) if g > 1.0 + 1e-9 else first * count
        lo, hi = (g, hi) if total < length else (lo, g)
    return np.concatenate(([0.0], np.cumsum(first * g ** np.arange(count))))


def coupled_at(system: PanelSystem, alpha: float, *, wake_nodes: int) -> Coupled:
    """Trace the wake at an angle of attack and assemble the response matrix.

    Parameters
    ----------
    system : PanelSystem
    alpha : float
        Angle of attack [rad].
    wake_nodes : int
        Wake stations beyond the trailing edge.

    Returns
    -------
    Coupled
        Kept for the next who asks, so nobody may write into it.
    """
    shape = [system.body.x, system.body.y, np.array([float(wake_nodes)])]
    return _KEPT.get(shape, alpha, lambda: _coupled_at(system, alpha, wake_nodes))


def _coupled_at(system: PanelSystem, alpha: float, wake_nodes: int) -> Coupled:
    body = system.body
    n = body.x.size - 1
    stream = np.array([np.cos(alpha), np.sin(alpha)])
    q_body = system.unit_speed @ stream
    free = complex(stream[0], -stream[1])

    first = 0.5 * (body.arc[1] - body.arc[0] + body.arc[-1] - body.arc[-2])
    arc = wake_spacing(first, wake_nodes)
    wx, wy = np.empty(wake_nodes + 1), np.empty(wake_nodes + 1)
    wx[0], wy[0] = system.tail[0], system.tail[1]
    direction = np.array([system.tail[2], system.tail[3]])
    ends = np.array([body.x[-1], body.x[0], body.y[-1], body.y[0]])
    chain = tail_closing_nodes(system.tail, body.gap)
    for k in range(wake_nodes):
        ds = arc[k + 1] - arc[k]
        px = wx[k] + 0.5 * ds * direction[0]
        py = wy[k] + 0.5 * ds * direction[1]
        w = free + body_velocity(px, py, body.x, body.y, q_body, ends, *chain)
        speed = abs(w)
        direction = np.array([w.real / speed, -w.imag / speed])
        wx[k + 1] = wx[k] + ds * direction[0]
        wy[k + 1] = wy[k] + ds * direction[1]

    # sources on wake panels as seen at mid-panels of the body
    wake_on_body, _ = panel_velocities(wx, wy, system.middle_x, system.middle_y, 0.0)
    turn = np.exp(1j * system.angle)[:, None]
    blocked = np.zeros((n + 1, wake_nodes))
    blocked[:n] = (wake_on_body * turn).imag
    body_wake = system.inverse @ blocked

    # speeds at wake stations, along the wake
    tx, ty = np.gradient(wx)[1:], np.gradient(wy)[1:]
    size = np.hypot(tx, ty)
    along = ((tx + 1j * ty) / size)[:, None]
    vortex, source = vortex_velocity(body, system.tail, wx[1:], wy[1:])
    from_speed = (vortex * along).real
    from_source = (source * along).real
    wake_on_wake, _ = panel_velocities(wx, wy, wx[1:], wy[1:], 0.0)
    from_wake = (wake_on_wake * along).real
    length = np.diff(arc)
    for k in range(wake_nodes):
        # the two panels that meet at a station act from their middles: the log of a node on a panel end is
        # avoided
        from_wake[k, k] = 1.0 / np.pi
        if k + 1 < wake_nodes:
            from_wake[k, k + 1] = -1.0 / np.pi
    q_wake = ((free + vortex @ q_body) * along[:, 0]).real
    q_body_turned = system.unit_speed @ np.array([-stream[1], stream[0]])
    q_wake_turned = ((complex(-stream[1], -stream[0]) + vortex @ q_body_turned) * along[:, 0]).real

    # sources from mass defects
    nb = n + 1
    size_all = nb + wake_nodes
    ds = np.diff(body.arc)
    S = np.zeros((n, size_all))
    S[np.arange(n), np.arange(n)] = -1.0 / ds
    S[np.arange(n), np.arange(1, n + 1)] = 1.0 / ds
    W = np.zeros((wake_nodes, size_all))
    panel = np.arange(wake_nodes)
    W[panel, nb + panel] = 1.0 / length
    W[panel[1:], nb + panel[1:] - 1] = -1.0 / length[1:]
    W[0, 0] = 1.0 / length[0]  # the lower side's defect counts negative
    W[0, n] = -1.0 / length[0]

    D = np.empty((size_all, size_all))
    D[:nb] = system.source_speed @ S + body_wake @ W
    D[nb:] = from_speed @ D[:nb] + from_source @ S + from_wake @ W
    return Coupled(
        path=WakePath(alpha=alpha, x=wx, y=wy, arc=arc),
        q0=np.concatenate((q_body, q_wake)),
        D=D,
        per_angle=np.concatenate((q_body_turned, q_wake_turned)),
    )
