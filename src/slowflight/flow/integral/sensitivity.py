"""Where would more mixing help? Exact derivatives of lift and of backflow with respect to mixing added.

The source is the extra dissipation D_v(s) of ``linearized``: the rate at which kinetic energy of the mean
flow is taken, per unit of skin, over edge speed cubed, as a row of vanes takes it downstream of itself. One
transposed solution gives the derivative of a number with respect to it at every station.

Units. A derivative is told as the change of the number by a *dose*: D_v of 0.001 over 1 % of chord. An
attached turbulent layer dissipates 0.001 to 0.002 by itself; a row of vanes acts over tens of doses.

Envelope theorem. At the angle where lift is largest its derivative with respect to the angle is zero, so that
the derivative of the *maximum* of lift is that of lift at that angle.

What it is not. A derivative says what the first bit of mixing does. Vanes also trip a laminar layer and leave
a wake; neither is in the source.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.added_mixing import FlowState, with_mixing
from slowflight.flow.integral.layer import FRICTION, RECORD, station, turbulent_share
from slowflight.flow.integral.linear_system import BodyFlow, N, OuterFlow, W, linear_system
from slowflight.flow.integral.outline import Outline
from slowflight.flow.integral.panels import CLOSING
from slowflight.flow.integral.section_flow import LEAST_LIFT, SectionModel, Solved
from slowflight.flow.integral.wake import coupled_at
from slowflight.flow.solution import FloatArray

DOSE, DOSE_LENGTH = 1e-3, 1e-2  # D_v [-] and the length it acts over [chords], of one dose
SOFTNESS = 1e-4  # friction over which backflow sets in [-]; a few panels' worth (own choice, no source)
SAME_SPEED = 1e-10  # share within which the Reynolds number is that of the lift found
MOST_SPEEDS = 30


@dataclass(frozen=True, kw_only=True)
class SkinSensitivity:
    """One side of one body, stations in the order of the flow; stagnation point's first station left out.

    Parameters
    ----------
    body, side : str
        ``"main"`` or ``"flap"``; ``"upper"`` or ``"lower"``.
    index : IndexArray
        Of the stations among all, shape (m,).
    x, y : FloatArray
        In the main section's frame [chords].
    along : FloatArray
        Distance along the skin from the body's foremost node, positive on this side, negative where the
        stagnation point lies on the other side of it [chords].
    width : FloatArray
        Length of skin that belongs to each station [chords].
    lift, backflow : FloatArray
        Change of the lift coefficient [-] and of the length of skin with backflow [chords] per dose there.
    turbulent_share, friction : FloatArray
        Of the layer as it is; friction coefficient on the edge speed [-].
    """

    body: str
    side: str
    index: np.ndarray
    x: FloatArray
    y: FloatArray
    along: FloatArray
    width: FloatArray
    lift: FloatArray
    backflow: FloatArray
    turbulent_share: FloatArray
    friction: FloatArray


@dataclass(frozen=True, kw_only=True)
class Sensitivity:
    """What mixing added anywhere does at one angle.

    Parameters
    ----------
    alpha, reynolds : float
        [rad], [-].
    cl, backflow : float
        The numbers themselves: lift coefficient, and length of upper skin with backflow [chords].
    skins : tuple of SkinSensitivity
    """

    alpha: float
    reynolds: float
    cl: float
    backflow: float
    skins: tuple[SkinSensitivity, ...]

    def skin(self, body: str = "main", side: str = "upper") -> SkinSensitivity:
        """One side of one body."""
        return next(s for s in self.skins if (s.body, s.side) == (body, side))


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
def _friction(
    state: FloatArray, reynolds: float, lag: float, critical: float
) -> tuple[FloatArray, FloatArray]:
    """Friction coefficient on the edge speed at stations of a skin, and its derivatives."""
    n = state.shape[0]
    cf, by = np.empty(n), np.zeros((n, 6))
    record = np.empty(RECORD)
    for k in range(n):
        station(state[k], reynolds, lag, critical, 0.0, False, record)
        scale = 2.0 * np.exp(state[k, 0] - state[k, 4])
        cf[k] = scale * record[FRICTION]
        for v in range(5):
            by[k, v] = scale * record[FRICTION + 1 + v]
        by[k, 0] += cf[k]
        by[k, 4] -= cf[k]
        by[k, 5] = by[k, 0]  # it knows the Reynolds number only through ln Re_theta
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
        cf, by = _friction(
            np.ascontiguousarray(now.state[body.first + order]), now.reynolds, problem.flow.lag,
            problem.flow.critical,
        )  # fmt: skip
        back = 1.0 / (1.0 + np.exp(np.clip(cf / SOFTNESS, -50.0, 50.0)))
        width = _widths(o.arc[order])
        total += float(width @ back)
        slope = -width * back * (1.0 - back) / SOFTNESS
        gradient[body.first + order] += slope[:, None] * by[:, :5]
        by_reynolds += float(slope @ by[:, 5])
    return total, gradient, by_reynolds


def _widths(arc: FloatArray) -> FloatArray:
    half = 0.5 * np.abs(np.diff(arc))
    return np.asarray(np.append(half, 0.0) + np.append(0.0, half))


def sensitivity(problem: Problem) -> Sensitivity:
    """Derivatives of lift and backflow with respect to mixing added at every station of the skins.

    Parameters
    ----------
    problem : Problem
        From ``section_problem`` or ``bodies.sensitivity.elements_problem``. Where the speed follows the lift,
        so do the derivatives: more lift, slower flight, a lower Reynolds number.

    Returns
    -------
    Sensitivity

    Notes
    -----
    Steady linear response; valid for a dose small enough that the re-solved flow (``response``) agrees.
    """
    base = problem.base
    state = base.state.copy()
    system = linear_system(
        problem.flow, state, base.stagnation, added=np.zeros(state.shape[0]), reynolds=base.reynolds
    )
    cl, by_state = lift(problem, state)
    length, back_by_state, back_by_reynolds = backflow(problem, replace(base, state=state))
    of_lift, of_back = system.multipliers(by_state), system.multipliers(back_by_state)
    by_source, back_by_source = (-(by @ system.by_source) for by in (of_lift, of_back))
    if problem.unit_reynolds is not None and cl > LEAST_LIFT:
        lift_by_reynolds = -float(of_lift @ system.by_reynolds)
        back_by_reynolds -= float(of_back @ system.by_reynolds)
        # ln Re = const - ln(cl) / 2
        by_source = by_source / (1.0 + 0.5 * lift_by_reynolds / cl)
        back_by_source = back_by_source - 0.5 * back_by_reynolds / cl * by_source
    skins = []
    for k in range(len(problem.names)):
        skins += [_skin(problem, k, side, state, by_source, back_by_source) for side in ("upper", "lower")]
    return Sensitivity(
        alpha=problem.alpha, reynolds=base.reynolds, cl=cl, backflow=length, skins=tuple(skins)
    )


def _skin(
    problem: Problem, k: int, side: str, state: FloatArray, by_source: FloatArray, back: FloatArray
) -> SkinSensitivity:
    body, o, js = problem.flow.bodies[k], problem.outlines[k], problem.base.stagnation[k]
    upper = side == "upper"
    # of no effect at the first station, whose layer is that of a stagnation point
    order = np.arange(js + 2, body.on_body) if upper else np.arange(js - 1, -1, -1)
    index = body.first + order
    width = _widths(o.arc[order])
    width[0] += 0.5 * abs(o.arc[order[0]] - o.arc[js + 1 if upper else js])
    per_dose = DOSE * DOSE_LENGTH / width
    nose = int(np.argmin(o.x))
    cf, _ = _friction(
        np.ascontiguousarray(state[index]), problem.base.reynolds, problem.flow.lag, problem.flow.critical
    )
    return SkinSensitivity(
        body=problem.names[k],
        side=side,
        index=index,
        x=o.x[order],
        y=o.y[order],
        along=(o.arc[order] - o.arc[nose]) * (1.0 if upper else -1.0),
        width=width,
        lift=by_source[index] * per_dose,
        backflow=back[index] * per_dose,
        turbulent_share=np.array([turbulent_share(q, problem.flow.critical)[0] for q in state[index, N]]),
        friction=cf,
    )


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
    after = flow_with(problem, added)
    if after is None:
        return Response(None, None)
    before = problem.base
    return Response(
        lift(problem, after.state)[0] - lift(problem, before.state)[0],
        backflow(problem, after)[0] - backflow(problem, before)[0],
    )


def flow_with(problem: Problem, added: FloatArray) -> FlowState | None:
    """The flow with mixing added, at the speed that goes with its lift; ``None`` without an answer."""
    now, wanted = problem.base, problem.base.reynolds
    for _ in range(MOST_SPEEDS):
        now = with_mixing(problem.flow, now, added, reynolds=wanted)
        if not now.converged:
            return None
        wanted = problem.reynolds_at(lift(problem, now.state)[0])
        if abs(wanted / now.reynolds - 1.0) <= SAME_SPEED:
            return now
    return None


def bump(skin: SkinSensitivity, count: int, *, at: float, length: float, doses: float) -> FloatArray:
    """So many doses, a smooth hump on one skin.

    Parameters
    ----------
    skin : SkinSensitivity
    count : int
        Stations in all.
    at, length : float
        Middle of the hump and its half width, along the skin [chords].
    doses : float

    Returns
    -------
    FloatArray
        D_v at all stations [-], shape (count,).
    """
    shape = np.clip(1.0 - ((skin.along - at) / length) ** 2, 0.0, None) ** 2
    amount = float(shape @ skin.width)
    if amount <= 0.0:
        raise ValueError("the hump lies between two stations")
    added = np.zeros(count)
    added[skin.index] = doses * DOSE * DOSE_LENGTH / amount * shape
    return added
