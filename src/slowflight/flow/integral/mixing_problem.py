"""A converged flow whose response to added mixing is asked for: lift, backflow, and the flow solved anew."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.added_mixing import FlowState, with_mixing
from slowflight.flow.integral.closure import laminar_closure, turbulent_closure
from slowflight.flow.integral.layer import turbulent_share
from slowflight.flow.integral.linear_system import BodyFlow, OuterFlow, W
from slowflight.flow.integral.outline import Outline
from slowflight.flow.integral.panels import CLOSING
from slowflight.flow.integral.section_flow import LEAST_LIFT, SectionModel, Solved
from slowflight.flow.integral.wake import coupled_at
from slowflight.flow.solution import FloatArray

SOFTNESS = 1e-4  # friction over which backflow sets in [-]; a few panels' worth (own choice, no source)
SAME_SPEED = 1e-10  # share within which the Reynolds number is that of the lift found
NEARLY_SAME_SPEED = 1e-6  # of a finite answer, nothing is divided by a small step
MOST_SPEEDS = 30


@dataclass(frozen=True, kw_only=True)
class Problem:
    """A converged flow whose response is asked for; what the functions below need of a model.

    Parameters
    ----------
    flow : OuterFlow
    base : FlowState
    outlines : tuple of Outline
        Of each body, in the main section's frame.
    names : tuple of str
    alpha : float
        [rad].
    unit_reynolds : float or None
        Reynolds number at a lift coefficient of 1 where the speed follows the lift, else ``None``.
    """

    flow: OuterFlow
    base: FlowState
    outlines: tuple[Outline, ...]
    names: tuple[str, ...]
    alpha: float
    unit_reynolds: float | None = None

    def reynolds_at(self, lift: float) -> float:
        """Reynolds number of steady flight at a lift coefficient [-]."""
        if self.unit_reynolds is None:
            return self.base.reynolds
        return self.unit_reynolds / float(np.sqrt(max(lift, LEAST_LIFT)))


def section_problem(model: SectionModel, solved: Solved) -> Problem:
    """Make a section's flow at one angle ready; ``ValueError`` where it has vanes or did not converge.

    Parameters
    ----------
    model : SectionModel
        Without vanes: those act on the layer as it stands, which the derivatives do not follow.
    solved : Solved
        Converged.
    """
    if model.rows.shape[0] > 0 or not solved.converged:
        raise ValueError("needs a converged section without vanes")
    coupled = coupled_at(model.system, solved.alpha, wake_nodes=model.wake_nodes)
    outline = model.system.body
    body = BodyFlow(
        first=0,
        stations=solved.state.shape[0],
        on_body=model.body_stations,
        arc=np.concatenate((outline.arc, coupled.path.arc[1:])),
        trips=model.trips,
        gap=outline.gap,
        closing=CLOSING,
        slot=False,
    )
    return polished(
        Problem(
            flow=OuterFlow(
                bodies=(body,), q0=coupled.q0, D=coupled.D, lag=model.lag, critical=model.critical
            ),
            base=FlowState(solved.state, (solved.stagnation,), solved.reynolds),
            outlines=(outline,),
            names=("main",),
            alpha=solved.alpha,
            unit_reynolds=model.reynolds if model.speed_follows_lift else None,
        )
    )


def polished(problem: Problem) -> Problem:
    """The same flow converged to round-off, at exactly the speed of its lift.

    Raises
    ------
    ValueError
        Where it does not converge.
    """
    now = flow_with(problem, np.zeros(problem.base.state.shape[0]))
    if now is None:
        raise ValueError("the flow to be perturbed does not converge")
    return replace(problem, base=now)


def lift(problem: Problem, state: FloatArray) -> tuple[float, FloatArray]:
    """Lift coefficient from surface pressures, as ``results.coefficients`` has it, and its derivatives."""
    cl, gradient = 0.0, np.zeros_like(state)
    for body, o in zip(problem.flow.bodies, problem.outlines, strict=True):
        own = slice(body.first, body.first + body.on_body)
        panel = np.diff(o.x) * np.cos(problem.alpha) + np.diff(o.y) * np.sin(problem.alpha)
        weight = -0.5 * (np.append(panel, 0.0) + np.append(0.0, panel))
        speed2 = np.exp(2.0 * state[own, W])
        cl += float(weight @ (1.0 - speed2))
        gradient[own, W] = -2.0 * weight * speed2
    return cl, gradient


@kernel
def friction(state: FloatArray, reynolds: float, critical: float) -> tuple[FloatArray, FloatArray]:
    """Friction coefficient on the edge speed at stations of a skin, and its derivatives.

    Parameters
    ----------
    state : FloatArray
        Unknowns t, h, a, N, w, shape (m, 5).
    reynolds, critical : float
        [-].

    Returns
    -------
    cf : FloatArray
        Shape (m,).
    by : FloatArray
        With respect to the unknowns and to ln of the Reynolds number, shape (m, 6).
    """
    n = state.shape[0]
    cf, by = np.empty(n), np.zeros((n, 6))
    for k in range(n):
        H1 = np.exp(state[k, 1])
        L = state[k, 0] + state[k, 4] + np.log(reynolds)
        share, share_n = turbulent_share(state[k, 3], critical)
        laminar = laminar_closure(1.0 + H1, L)
        turbulent = turbulent_closure(1.0 + H1, L, np.exp(state[k, 2]), False)
        # both give Cf / 2 with its derivatives by H and by ln Re_theta from their fourth place on
        cf[k] = 2.0 * ((1.0 - share) * laminar[3] + share * turbulent[3])
        by[k, 1] = 2.0 * H1 * ((1.0 - share) * laminar[4] + share * turbulent[4])
        by[k, 3] = 2.0 * share_n * (turbulent[3] - laminar[3])
        by_l = 2.0 * ((1.0 - share) * laminar[5] + share * turbulent[5])
        by[k, 0], by[k, 4], by[k, 5] = by_l, by_l, by_l
    return cf, by


def backflow(problem: Problem, now: FlowState) -> tuple[float, FloatArray, float]:
    """Length of upper skin over which air runs back, with soft ends.

    Parameters
    ----------
    problem : Problem
    now : FlowState

    Returns
    -------
    length : float
        Integral of 1 / (1 + exp(Cf / SOFTNESS)) over the upper sides of all bodies [chords].
    gradient : FloatArray
        Its derivatives with respect to all unknowns, shape (n, 5).
    by_reynolds : float
        And directly with respect to ln of the Reynolds number.
    """
    total, gradient, by_reynolds = 0.0, np.zeros_like(now.state), 0.0
    for body, o, js in zip(problem.flow.bodies, problem.outlines, now.stagnation, strict=True):
        order = np.arange(js + 1, body.on_body)
        cf, by = friction(
            np.ascontiguousarray(now.state[body.first + order]), now.reynolds, problem.flow.critical
        )
        back = 1.0 / (1.0 + np.exp(np.clip(cf / SOFTNESS, -50.0, 50.0)))
        width = widths(o.arc[order])
        total += float(width @ back)
        slope = -width * back * (1.0 - back) / SOFTNESS
        gradient[body.first + order] += slope[:, None] * by[:, :5]
        by_reynolds += float(slope @ by[:, 5])
    return total, gradient, by_reynolds


def widths(arc: FloatArray) -> FloatArray:
    """Length of skin that belongs to each of a row of stations, by the trapezoidal rule."""
    half = 0.5 * np.abs(np.diff(arc))
    return np.asarray(np.append(half, 0.0) + np.append(0.0, half))


@dataclass(frozen=True)
class Response:
    """What finite mixing does, the flow solved anew.

    Parameters
    ----------
    lift, backflow : float or None
        Changes of the lift coefficient [-] and of the length of backflow [chords]; ``None`` where the flow
        with it did not converge.
    """

    lift: float | None
    backflow: float | None


def response(problem: Problem, added: FloatArray) -> Response:
    """Solve the flow anew with mixing added, at the speed that goes with its lift.

    Parameters
    ----------
    problem : Problem
    added : FloatArray
        D_v at all stations [-], shape (n,).

    Returns
    -------
    Response
    """
    after = flow_with(problem, added, same_speed=NEARLY_SAME_SPEED)
    if after is None:
        return Response(None, None)
    before = problem.base
    return Response(
        lift(problem, after.state)[0] - lift(problem, before.state)[0],
        backflow(problem, after)[0] - backflow(problem, before)[0],
    )


def flow_with(problem: Problem, added: FloatArray, *, same_speed: float = SAME_SPEED) -> FlowState | None:
    """The flow with mixing added, at the speed that goes with its lift; ``None`` without an answer."""
    now, wanted = problem.base, problem.base.reynolds
    for _ in range(MOST_SPEEDS):
        now = with_mixing(problem.flow, now, added, reynolds=wanted)
        if not now.converged:
            return None
        wanted = problem.reynolds_at(lift(problem, now.state)[0])
        if abs(wanted / now.reynolds - 1.0) <= same_speed:
            return now
    return None
