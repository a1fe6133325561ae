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

from slowflight.flow.integral.layer import turbulent_share
from slowflight.flow.integral.linear_system import N, linear_system
from slowflight.flow.integral.mixing_problem import Problem, backflow, friction, lift, widths
from slowflight.flow.integral.section_flow import LEAST_LIFT
from slowflight.flow.solution import FloatArray

DOSE, DOSE_LENGTH = 1e-3, 1e-2  # D_v [-] and the length it acts over [chords], of one dose


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
    width = widths(o.arc[order])
    width[0] += 0.5 * abs(o.arc[order[0]] - o.arc[js + 1 if upper else js])
    per_dose = DOSE * DOSE_LENGTH / width
    nose = int(np.argmin(o.x))
    cf, _ = friction(np.ascontiguousarray(state[index]), problem.base.reynolds, problem.flow.critical)
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
