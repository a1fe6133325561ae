"""A first answer with a plain flap far down: the flap is raised until there is one, and lowered from there.

The panels of a turned flap correspond one to one, so that the layers are carried along.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from slowflight.errors import RangeError, SectionError
from slowflight.flow.integral.section_flow import SectionModel, Solved

SMALLEST = math.radians(2.0)  # deflection below which a flap is not the difficulty
RAISED_BY = math.radians(10.0)  # how much the flap is raised at a time to find a first answer
LONGEST_TURN, SHORTEST_TURN = math.radians(5.0), math.radians(0.2)

At = Callable[[SectionModel, float, Solved | None], Solved]
"""Solves a model at an angle of attack [rad] from a solution close by, or afresh."""


def lowered(model: SectionModel, alpha: float, *, at: At) -> Solved | None:
    """Find a solution at one angle of attack by lowering the flap to its setting.

    Parameters
    ----------
    model : SectionModel
    alpha : float
        [rad].
    at : callable
        See ``At``.

    Returns
    -------
    Solved or None
        ``None`` without a plain flap, or where no setting leads to an answer.
    """
    target, family = model.flap_angle, model.with_flap_at
    if family is None or abs(target) < SMALLEST:
        return None
    setting = target
    while abs(setting) > 1e-9:
        setting -= math.copysign(min(RAISED_BY, abs(setting)), setting)
        try:
            begun = at(family(setting), alpha, None)
            # where the way down from this setting fails, one that begins higher up may not
            found = _down_from(setting, begun, model, family, alpha, at) if begun.converged else None
        except (RangeError, SectionError):
            return None  # a setting between that cannot be drawn
        if found is not None:
            return found
    return None


def _down_from(
    setting: float,
    here: Solved,
    model: SectionModel,
    family: Callable[[float], SectionModel],
    alpha: float,
    at: At,
) -> Solved | None:
    target, step = model.flap_angle, LONGEST_TURN
    while step >= SHORTEST_TURN:
        size = min(step, abs(target - setting))
        last = size >= abs(target - setting) - 1e-9
        to = target if last else setting + math.copysign(size, target - setting)
        tried = at(model if last else family(to), alpha, here)
        if not tried.converged:
            step = 0.5 * size
            continue
        if last:
            return tried
        here, setting, step = tried, to, min(2.0 * size, LONGEST_TURN)
    return None
