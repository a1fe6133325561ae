"""One section at one angle of attack: what is fixed, the first guess, and the solution."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral import vanes
from slowflight.flow.integral.coupling import CONVERGED, NO_COMMON_SPEED, CoupledFlow, Newton
from slowflight.flow.integral.handed import Handed, nothing_yet
from slowflight.flow.integral.outline import outline
from slowflight.flow.integral.panels import CLOSING, PanelSystem, panel_system
from slowflight.flow.integral.start import march_guess
from slowflight.flow.integral.wake import Coupled, WakePath, coupled_at
from slowflight.flow.row_march.sizes import VaneSizes, vane_sizes
from slowflight.flow.solution import FloatArray
from slowflight.wing.flap import at_setting
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow, vane_trailing_station

PANELS = 160
WAKE_PER_PANEL = 0.225  # wake stations per body panel
TOLERANCE = 1e-7
MOST_ITERATIONS = 50
FOLLOWING_ITERATIONS = 25  # of a step from a solution close by
# Below this lift coefficient the speed of steady flight is held: the owner flies no faster than its limits.
LEAST_LIFT = 0.2

# Lag constant, see docs 'What the seconds tier was set by': set on the calibrating cases only.
LAG = 5.0

SHAPE_AREA = {"rectangular": 1.0, "trapezoidal": 0.75, "triangular": 0.5, "ogival": 2.0 / 3.0}
"""Area of a vane over that of a rectangular one of like height and length. Its circulation is taken in the
same proportion (own estimate, no source; part of what is marked uncalibrated)."""


@dataclass(frozen=True, kw_only=True)
class SectionModel:
    """A section made ready for any angle of attack.

    Parameters
    ----------
    system : PanelSystem
    reynolds : float
        On chord and flight speed [-]; where the speed follows the lift, that at a lift coefficient of 1.
    critical : float
        Critical amplification factor [-].
    trips : FloatArray
        Rows of side, place on the arc and N added; the last lines belong to the rows of vanes, shape (k, 3).
    rows : FloatArray
        Rows of vanes for ``vanes.act``, shape (m, vanes.COLUMNS).
    sizes : tuple of VaneSizes
        The same vanes for the row march [chords].
    handed : Handed
        What the march handed over.
    lag : float
        Lag constant of the shear equation [-].
    wake_nodes : int
    speed_follows_lift : bool
        Whether the Reynolds number goes with the root of the lift coefficient, as in steady flight.
    flap_angle : float
        Deflection of a plain flap [rad].
    with_flap_at : callable or None
        Makes the model with that flap at another angle [rad], stations corresponding one to one.
    """

    system: PanelSystem
    reynolds: float
    critical: float
    trips: FloatArray
    rows: FloatArray
    sizes: tuple[VaneSizes, ...]
    handed: Handed
    lag: float = LAG
    wake_nodes: int = round(WAKE_PER_PANEL * PANELS)
    speed_follows_lift: bool = False
    flap_angle: float = 0.0
    with_flap_at: Callable[[float], SectionModel] | None = None

    def reynolds_at(self, lift: float) -> float:
        """Reynolds number of steady flight at a lift coefficient [-]."""
        return self.reynolds / math.sqrt(max(lift, LEAST_LIFT)) if self.speed_follows_lift else self.reynolds

    def laid(self, alpha: float) -> tuple[FloatArray, FloatArray]:
        """Rows and their tables for ``vanes.act`` at an angle of attack [rad]."""
        wakes, tables = self.handed.at(alpha)
        rows = self.rows.copy()
        rows[:, vanes.WAKE : vanes.DRAG + 1] = wakes
        return rows, tables

    @property
    def body_stations(self) -> int:
        """Number of stations on the body."""
        return self.system.body.x.size


@dataclass(frozen=True)
class Solved:
    """A converged (or not) state at one angle.

    Parameters
    ----------
    wake : WakePath
        The angle and the wake's path it was solved with.
    state : FloatArray
        Unknowns t, h, a, N, w at all stations, shape (n, 5).
    stagnation : int
        Panel where the flow divides.
    converged : bool
    residual : float
        Largest residual of the last iteration [-].
    iterations : int
    told : FloatArray
        What the rows of vanes did, see ``vanes.act``, shape (m, TOLD).
    reynolds : float
        It was solved at [-].
    common_speed : bool
        False where layers and outer flow agree, but not at the speed of steady flight at the lift found.
    """

    wake: WakePath
    state: FloatArray
    stagnation: int
    converged: bool
    residual: float
    iterations: int
    told: FloatArray
    reynolds: float
    common_speed: bool = True

    @property
    def alpha(self) -> float:
        """Angle of attack [rad]."""
        return self.wake.alpha


def arc_at(system: PanelSystem, station: float, side: int) -> float:
    """Place on the body's arc [chords] of a chordwise station on side 0 (lower) or 1 (upper)."""
    body = system.body
    nose = int(np.argmin(body.x))
    if side == 0:
        return float(np.interp(station, body.x[: nose + 1][::-1], body.arc[: nose + 1][::-1]))
    return float(np.interp(station, body.x[nose:], body.arc[nose:]))


def _vane_line(row: VaneRow, section: Section, system: PanelSystem, chord_m: float) -> FloatArray:
    side = 1 if row.surface == "upper" else 0
    tips = vane_trailing_station(row, section, chord_m)
    line = np.zeros(vanes.COLUMNS)
    line[vanes.SIDE] = side
    line[vanes.FRONT] = arc_at(system, row.station, side)
    line[vanes.REAR] = arc_at(system, tips.station, side)
    line[vanes.HEIGHT] = row.height / chord_m
    line[vanes.LENGTH] = row.length / chord_m
    line[vanes.PITCH] = row.pitch / chord_m
    line[vanes.PER_PITCH] = 2.0 if row.arrangement == "counter-rotating" else 1.0
    line[vanes.INCIDENCE] = row.incidence
    line[vanes.STRENGTH] = SHAPE_AREA[row.shape]
    return line


def section_model(
    section: Section,
    *,
    reynolds: float,
    transition: tuple[float | None, float | None] = (None, None),
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    panels: int = PANELS,
    lag: float = LAG,
    speed_follows_lift: bool = False,
) -> SectionModel:
    """Panel a section and place its trips and vanes.

    Parameters
    ----------
    section : Section
    reynolds : float
        On chord and flight speed [-].
    transition : tuple of (float or None, float or None)
        Upper and lower station where transition is forced [fraction of chord]; ``None`` leaves it free.
    critical_amplification : float
        Critical amplification factor [-].
    vane_rows : sequence of VaneRow
        Act together.
    chord_m : float or None
        Needed with vanes [m].
    panels : int
        On the body.
    lag : float
        Lag constant [-].
    speed_follows_lift : bool
        Whether ``reynolds`` is that at a lift coefficient of 1 and falls with its root.

    Returns
    -------
    SectionModel
    """
    system = panel_system(outline(section.x, section.y, panels=panels))
    added = critical_amplification + 3.0
    trips = [
        (float(side), arc_at(system, station, side), added)
        for side, station in ((0, transition[1]), (1, transition[0]))
        if station is not None
    ]
    lines, sizes = [], []
    for row in vane_rows:
        if chord_m is None:
            raise ValueError("vane rows need chord_m")
        lines.append(_vane_line(row, section, system, chord_m))
        trips.append((0.0, 0.0, 0.0))
        area = SHAPE_AREA[row.shape]
        sizes.append(vane_sizes(row, chord_m=chord_m, strength=area, area=area))

    def with_flap_at(angle: float) -> SectionModel:
        return section_model(
            at_setting(section, angle=angle),
            reynolds=reynolds,
            transition=transition,
            critical_amplification=critical_amplification,
            vane_rows=vane_rows,
            chord_m=chord_m,
            panels=panels,
            lag=lag,
            speed_follows_lift=speed_follows_lift,
        )

    turned = section.flap
    return SectionModel(
        system=system,
        reynolds=reynolds,
        critical=critical_amplification,
        trips=np.array(trips, dtype=np.float64).reshape(-1, 3),
        rows=np.array(lines, dtype=np.float64).reshape(-1, vanes.COLUMNS),
        sizes=tuple(sizes),
        handed=nothing_yet(len(lines)),
        lag=lag,
        wake_nodes=round(WAKE_PER_PANEL * panels),
        speed_follows_lift=speed_follows_lift,
        flap_angle=0.0 if turned is None else turned.angle,
        with_flap_at=None if turned is None or turned.unturned is None else with_flap_at,
    )


def dividing_panel(model: SectionModel, speed: FloatArray) -> int:
    """First node of the panel near the nose where the signed node speeds change sign."""
    nb = model.body_stations
    changes = np.nonzero((speed[: nb - 1] < 0.0) & (speed[1:nb] >= 0.0))[0]
    nose = int(np.argmin(model.system.body.x))
    if changes.size == 0:
        return nose
    return int(changes[np.argmin(np.abs(changes - nose))])


def first_guess(model: SectionModel, coupled: Coupled, reynolds: float) -> tuple[FloatArray, int]:
    """Layers marched on the speeds of the flow without layers."""
    body = model.system.body
    nb, q = model.body_stations, coupled.q0
    state = np.zeros((nb + model.wake_nodes, 5))
    js = dividing_panel(model, q)
    gradient = (q[js + 1] - q[js]) / (body.arc[js + 1] - body.arc[js])
    divide = body.arc[js] - q[js] / gradient
    for side, order in ((0, np.arange(js, -1, -1)), (1, np.arange(js + 1, nb))):
        sign = 1.0 if side == 1 else -1.0
        march_guess(
            state, order.astype(np.int64), sign * (body.arc[order] - divide), sign * q[order],
            reynolds, model.critical, model.trips, side, divide, gradient,
        )  # fmt: skip
    lower, upper = np.exp(state[0, 0]), np.exp(state[nb - 1, 0])
    both = lower + upper
    shape = (lower * np.exp(state[0, 1]) + upper * np.exp(state[nb - 1, 1])) / both
    along = np.linspace(0.0, 1.0, model.wake_nodes)
    state[nb:, 0] = np.log(both * (1.0 - 0.3 * along))
    state[nb:, 1] = np.log(shape * np.exp(-2.0 * along) + 0.05)
    state[nb:, 2] = np.log(0.05)
    state[nb:, 3] = model.critical + 10.0
    state[nb:, 4] = np.log(np.maximum(q[nb:], 0.3))
    return state, js


def solve(
    model: SectionModel,
    alpha: float,
    *,
    near: Solved | None = None,
    coupled: Coupled | None = None,
    most_iterations: int = MOST_ITERATIONS,
    reynolds: float | None = None,
    lift_of: Callable[[Solved], float] | None = None,
) -> Solved:
    """Solve one angle of attack.

    Parameters
    ----------
    model : SectionModel
    alpha : float
        [rad].
    near : Solved or None
        A solution at a nearby angle to start from; ``None`` starts afresh.
    coupled : Coupled or None
        The outer flow at this angle where it is already known.
    most_iterations : int
        At one Reynolds number.
    reynolds : float or None
        In place of the model's [-].
    lift_of : callable or None
        Gives the lift coefficient of a state: the Reynolds number then becomes that of the lift found.

    Returns
    -------
    Solved
        Look at ``converged``.
    """
    if reynolds is None:
        reynolds = model.reynolds
    if coupled is None:
        coupled = coupled_at(model.system, alpha, wake_nodes=model.wake_nodes)
    if near is None:
        state, js = first_guess(model, coupled, reynolds)
    else:
        state, js = near.state.copy(), near.stagnation
    newton = section_newton(model, coupled, state, js)

    def as_solved(status: int, reynolds: float) -> Solved:
        return Solved(
            wake=coupled.path,
            state=state,
            stagnation=int(newton.stagnation[0]),
            converged=status == CONVERGED,
            residual=newton.history[-1],
            iterations=len(newton.history),
            told=newton.told,
            reynolds=reynolds,
            common_speed=status != NO_COMMON_SPEED,
        )

    if lift_of is None:
        status = newton.converge(reynolds=reynolds, tolerance=TOLERANCE, most=most_iterations)
        return as_solved(status, reynolds)

    def wanted(reynolds: float) -> float:
        return model.reynolds_at(lift_of(as_solved(CONVERGED, reynolds)))

    return as_solved(
        *newton.converge_at_own_speed(wanted, reynolds=reynolds, tolerance=TOLERANCE, most=most_iterations)
    )


def section_newton(model: SectionModel, coupled: Coupled, state: FloatArray, stagnation: int) -> Newton:
    """Newton's method for a section at the angle of an outer flow, from a state that it changes in place."""
    rows, tables = model.laid(coupled.path.alpha)
    n, nb = state.shape[0], model.body_stations
    flow = CoupledFlow(
        arc=np.concatenate((model.system.body.arc, coupled.path.arc[1:])),
        starts=np.array([0, n], dtype=np.int64),
        n_body=np.array([nb], dtype=np.int64),
        q0=coupled.q0,
        D=coupled.D,
        gaps=np.array([model.system.body.gap]),
        closing=np.array([CLOSING]),
        trips=model.trips.copy(),
        rows_of_vanes=rows,
        tables=tables,
        trip_from=np.array([0, model.trips.shape[0]], dtype=np.int64),
        row_from=np.array([0, rows.shape[0]], dtype=np.int64),
        lag=model.lag,
        critical=model.critical,
        slot=False,
    )
    return Newton(flow, state, np.array([stagnation], dtype=np.int64))
