"""Several elements at one angle of attack: what is fixed, the first guess, and the solution."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.integral.bodies.panel_system import BodiesSystem, bodies_system
from slowflight.flow.integral.bodies.wakes import CoupledBodies, coupled_bodies, wake_steps
from slowflight.flow.integral.coupling import CONVERGED, CoupledFlow, Newton
from slowflight.flow.integral.kept import Kept
from slowflight.flow.integral.section_flow import (
    LAG,
    LEAST_LIFT,
    PANELS,
    TOLERANCE,
    WAKE_PER_PANEL,
    SectionModel,
    section_model,
)
from slowflight.flow.integral.start import march_guess
from slowflight.flow.integral.wake import WakePath
from slowflight.flow.solution import FloatArray
from slowflight.wing.elements import Elements
from slowflight.wing.vane_row import VaneRow

FLAP_PANELS = 100
MAIN_WAKE, FLAP_WAKE = 56, 30
"""Wake stations behind a main element with a flap, and behind the flap."""
MOST_ITERATIONS = 60
COVE_TRIP = 0.9
"""Where the lower layer of a main element with a flap behind it is turbulent at the latest [chords]: at the
slot's mouth, where hinges, brackets and the rib ends stand in it. Left free it stays laminar up to the cove
and lets go there, in a bubble that no angle settles. Own choice, no source."""
_OUTER: Kept[CoupledBodies] = Kept()


@dataclass(frozen=True, kw_only=True)
class ElementsModel:
    """Elements made ready for any angle of attack.

    Parameters
    ----------
    elements : Elements
    system : BodiesSystem
    wake_arcs : tuple of FloatArray
        Distances of each wake's stations from its trailing edge [main chords].
    sections : tuple of SectionModel
        Each element by itself in the common frame: its outline, trips and vanes, as the results need them.
    reynolds : float
        On the main chord and flight speed [-]; where the speed follows the lift, that at a lift coefficient
        of 1.
    critical, lag : float
        Critical amplification factor and lag constant [-].
    speed_follows_lift : bool
    """

    elements: Elements
    system: BodiesSystem
    wake_arcs: tuple[FloatArray, ...]
    sections: tuple[SectionModel, ...]
    reynolds: float
    critical: float
    lag: float
    speed_follows_lift: bool

    def reynolds_at(self, lift: float) -> float:
        """Reynolds number of steady flight at a lift coefficient [-]."""
        return self.reynolds / math.sqrt(max(lift, LEAST_LIFT)) if self.speed_follows_lift else self.reynolds


@dataclass(frozen=True)
class SolvedBodies:
    """A converged (or not) state at one angle.

    Parameters
    ----------
    alpha : float
        [rad].
    flap_angle : float
        It was solved with [rad].
    paths : tuple of WakePath
    starts : tuple of int
        First station of each body, and the count of all.
    state : FloatArray
        Unknowns t, h, a, N, w at all stations, shape (n, 5).
    stagnation : tuple of int
        On each body, the panel where the flow divides.
    converged : bool
    residual : float
        Largest residual of the last iteration [-].
    iterations : int
    told : tuple of FloatArray
        What the rows of vanes of each body did, see ``vanes.act``.
    reynolds : float
        It was solved at [-].
    """

    alpha: float
    flap_angle: float
    paths: tuple[WakePath, ...]
    starts: tuple[int, ...]
    state: FloatArray
    stagnation: tuple[int, ...]
    converged: bool
    residual: float
    iterations: int
    told: tuple[FloatArray, ...]
    reynolds: float


def elements_model(
    elements: Elements,
    *,
    reynolds: float,
    transition: tuple[float | None, float | None] = (None, None),
    flap_transition: tuple[float | None, float | None] = (None, None),
    critical_amplification: float = 9.0,
    vane_rows: Sequence[VaneRow] = (),
    chord_m: float | None = None,
    panels: int = PANELS,
    flap_panels: int = FLAP_PANELS,
    lag: float = LAG,
    speed_follows_lift: bool = False,
) -> ElementsModel:
    """Panel the elements and place their trips and vanes.

    Parameters
    ----------
    elements : Elements
        A main element, and a flap or none.
    reynolds : float
        On the main chord and flight speed [-].
    transition, flap_transition : tuple of (float or None, float or None)
        Upper and lower station on the main element and on the flap where transition is forced [fractions of
        that element's chord]; ``None`` leaves it free, but for ``COVE_TRIP``.
    critical_amplification, chord_m, lag, speed_follows_lift
        As for ``section_model``.
    vane_rows : sequence of VaneRow
        On the main element.
    panels, flap_panels : int
        On the main element and on each of the others.

    Returns
    -------
    ElementsModel
    """
    counts = tuple(panels if k == 0 else flap_panels for k in range(len(elements.bodies)))
    system = bodies_system(elements.bodies, panels=counts)
    alone = len(counts) == 1
    if not alone:
        lower = transition[1]
        transition = transition[0], COVE_TRIP if lower is None else min(lower, COVE_TRIP)
    wakes = (round(WAKE_PER_PANEL * panels),) if alone else (MAIN_WAKE,) + (FLAP_WAKE,) * (len(counts) - 1)
    sections = []
    for k, element in enumerate(elements.bodies):
        one = section_model(
            element.section,
            reynolds=reynolds,
            transition=transition if k == 0 else flap_transition,
            critical_amplification=critical_amplification,
            vane_rows=vane_rows if k == 0 else (),
            chord_m=chord_m,
            panels=counts[k],
            lag=lag,
            speed_follows_lift=speed_follows_lift,
        )
        trips = one.trips * np.array([1.0, element.chord, 1.0])  # places on its arc, in main chords
        framed = replace(one.system, body=system.bodies[k].outline)
        sections.append(replace(one, system=framed, trips=trips))
    return ElementsModel(
        elements=elements,
        system=system,
        wake_arcs=wake_steps(system, wakes),
        sections=tuple(sections),
        reynolds=reynolds,
        critical=critical_amplification,
        lag=lag,
        speed_follows_lift=speed_follows_lift,
    )


def turned(model: ElementsModel, elements: Elements) -> ElementsModel:
    """The same model with the flap elsewhere; stations correspond one to one."""
    system = bodies_system(elements.bodies, panels=tuple(b.outline.x.size - 1 for b in model.system.bodies))
    sections = tuple(
        replace(one, system=replace(one.system, body=body.outline))
        for one, body in zip(model.sections, system.bodies, strict=True)
    )
    wakes = tuple(arc.size - 1 for arc in model.wake_arcs)
    return replace(
        model, elements=elements, system=system, sections=sections, wake_arcs=wake_steps(system, wakes)
    )


def outer_flow(model: ElementsModel, alpha: float) -> CoupledBodies:
    """The outer flow at an angle of attack [rad], ready for layers; shared, so nobody may write into it."""
    shape = [part for body in model.system.bodies for part in (body.outline.x, body.outline.y)]
    return _OUTER.get(
        [*shape, *model.wake_arcs],
        alpha,
        lambda: coupled_bodies(model.system, alpha, arcs=model.wake_arcs),
    )


def _dividing_panel(speed: FloatArray, nose: int) -> int:
    """First node of the panel nearest the nose where the signed node speeds change sign."""
    changes = np.nonzero((speed[:-1] < 0.0) & (speed[1:] >= 0.0))[0]
    return nose if changes.size == 0 else int(changes[np.argmin(np.abs(changes - nose))])


def first_guess(
    model: ElementsModel, coupled: CoupledBodies, reynolds: float
) -> tuple[FloatArray, tuple[int, ...]]:
    """Layers marched on the speeds of the flow without layers."""
    state = np.zeros((coupled.starts[-1], 5))
    panels = []
    for k, body in enumerate(model.system.bodies):
        arc = body.outline.arc
        a, nb = coupled.starts[k], arc.size
        mine, q = state[a : coupled.starts[k + 1]], coupled.q0[a : coupled.starts[k + 1]]
        js = _dividing_panel(q[:nb], body.nose)
        gradient = max((q[js + 1] - q[js]) / (arc[js + 1] - arc[js]), 1e-3)
        divide = arc[js] - q[js] / gradient
        for side, order in ((0, np.arange(js, -1, -1)), (1, np.arange(js + 1, nb))):
            sign = 1.0 if side == 1 else -1.0
            march_guess(
                mine, order.astype(np.int64), sign * (arc[order] - divide), sign * q[order], reynolds,
                model.critical, model.sections[k].trips, side, divide, gradient,
            )  # fmt: skip
        lower, upper = np.exp(mine[0, 0]), np.exp(mine[nb - 1, 0])
        both = lower + upper
        shape = (lower * np.exp(mine[0, 1]) + upper * np.exp(mine[nb - 1, 1])) / both
        along = np.linspace(0.0, 1.0, mine.shape[0] - nb)
        mine[nb:, 0] = np.log(both * (1.0 - 0.3 * along))
        mine[nb:, 1] = np.log(shape * np.exp(-2.0 * along) + 0.05)
        mine[nb:, 2] = np.log(0.05)
        mine[nb:, 3] = model.critical + 10.0
        mine[nb:, 4] = np.log(np.maximum(q[nb:], 0.3))
        panels.append(js)
    return state, tuple(panels)


def solve_bodies(
    model: ElementsModel,
    alpha: float,
    *,
    near: SolvedBodies | None = None,
    coupled: CoupledBodies | None = None,
    most_iterations: int = MOST_ITERATIONS,
    reynolds: float | None = None,
    lift_of: Callable[[SolvedBodies], float] | None = None,
) -> SolvedBodies:
    """Solve one angle of attack.

    Parameters
    ----------
    model : ElementsModel
    alpha : float
        [rad].
    near : SolvedBodies or None
        A solution at a nearby angle or flap setting to start from; ``None`` starts afresh.
    coupled : CoupledBodies or None
        The outer flow at this angle where it is already known.
    most_iterations : int
        At one Reynolds number.
    reynolds : float or None
        In place of the model's [-].
    lift_of : callable or None
        Gives the lift coefficient of a state: the Reynolds number then becomes that of the lift found.

    Returns
    -------
    SolvedBodies
        Look at ``converged``.
    """
    if reynolds is None:
        reynolds = model.reynolds
    if coupled is None:
        coupled = outer_flow(model, alpha)
    if near is None:
        state, panels = first_guess(model, coupled, reynolds)
    else:
        state, panels = near.state.copy(), near.stagnation
    newton = _newton(model, coupled, alpha, state, panels)
    row_from = newton.flow.row_from

    def as_solved(status: int, reynolds: float) -> SolvedBodies:
        return SolvedBodies(
            alpha=alpha,
            flap_angle=model.elements.flap_angle,
            paths=coupled.paths,
            starts=coupled.starts,
            state=state,
            stagnation=tuple(int(v) for v in newton.stagnation),
            converged=status == CONVERGED,
            residual=newton.history[-1],
            iterations=len(newton.history),
            told=tuple(newton.told[row_from[k] : row_from[k + 1]] for k in range(row_from.size - 1)),
            reynolds=reynolds,
        )

    if lift_of is None:
        status = newton.converge(reynolds=reynolds, tolerance=TOLERANCE, most=most_iterations)
        return as_solved(status, reynolds)

    def wanted(reynolds: float) -> float:
        return model.reynolds_at(lift_of(as_solved(CONVERGED, reynolds)))

    return as_solved(
        *newton.converge_at_own_speed(wanted, reynolds=reynolds, tolerance=TOLERANCE, most=most_iterations)
    )


def _newton(
    model: ElementsModel,
    coupled: CoupledBodies,
    alpha: float,
    state: FloatArray,
    panels: Sequence[int],
) -> Newton:
    laid = [one.laid(alpha) for one in model.sections]
    rows, tables = (np.concatenate(parts) for parts in zip(*laid, strict=True))
    bodies = model.system.bodies
    flow = CoupledFlow(
        arc=np.concatenate(
            [
                part
                for body, path in zip(bodies, coupled.paths, strict=True)
                for part in (body.outline.arc, path.arc[1:])
            ]
        ),
        starts=np.array(coupled.starts, dtype=np.int64),
        n_body=np.array([body.outline.x.size for body in bodies], dtype=np.int64),
        q0=coupled.q0,
        D=coupled.D,
        gaps=np.array([body.outline.gap for body in bodies]),
        closing=np.array([body.closing_length for body in bodies]),
        trips=np.concatenate([one.trips for one in model.sections]),
        rows_of_vanes=rows,
        tables=tables,
        trip_from=np.cumsum([0, *(one.trips.shape[0] for one in model.sections)]).astype(np.int64),
        row_from=np.cumsum([0, *(one.rows.shape[0] for one in model.sections)]).astype(np.int64),
        lag=model.lag,
        critical=model.critical,
        slot=len(bodies) > 1,
    )
    return Newton(flow, state, np.array(panels, dtype=np.int64))
