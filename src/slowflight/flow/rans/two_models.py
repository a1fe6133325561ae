"""A lift curve by the second turbulence model, and how far both are apart.

Neither is better everywhere, so which to believe is no question to an owner: the distance between them is
part of the error of both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from slowflight.flow.maximum_lift import maximum_lift
from slowflight.flow.solution import FlowPoint, ModelAnswer

ONE, BOTH = "one-equation", "both"
SOURCES = ("Menter1994", "SpalartRumsey2007")


def beside(points: Sequence[FlowPoint], others: Sequence[FlowPoint]) -> tuple[FlowPoint, ...]:
    """Points of the one-equation model with the two-equation model's beside them, angle by angle."""
    return tuple(
        with_second_model(point, ModelAnswer(o.cl, o.cd, o.cm, o.separation_upper, o.converged))
        for point, o in zip(points, others, strict=True)
    )


def with_second_model(point: FlowPoint, answer: ModelAnswer) -> FlowPoint:
    """A point with the other model's answer, and a remark that says it."""
    if answer.cl is None or answer.cd is None:
        remark = "two-equation model: no steady answer"
    elif point.cl is None or point.cd is None:
        remark = f"two-equation model: lift {answer.cl:.3f}, drag {answer.cd:.4f}"
    else:
        remark = (
            f"two-equation model: lift {answer.cl:.3f} ({answer.cl - point.cl:+.3f}),"
            f" drag {answer.cd:.4f} ({answer.cd - point.cd:+.4f})"
        )
    return replace(point, two_equation=answer, warnings=(*point.warnings, remark))


def spread_remark(points: Sequence[FlowPoint]) -> str:
    """What both models say of maximum lift, or of the angles that both have an answer at."""
    one = maximum_lift([(p.alpha_deg, p.cl) for p in points])
    two = maximum_lift([(p.alpha_deg, p.two_equation.cl if p.two_equation else None) for p in points])
    caution = "that spread is part of the error, and both may be off to one side; no stall speed follows"
    if one is not None and two is not None:
        return (
            f"predicted, steady, by two turbulence models: maximum lift {one[1]:.3f} at {one[0]:.1f} deg by"
            f" the one-equation model, {two[1]:.3f} at {two[0]:.1f} deg by the two-equation model, a spread"
            f" of {abs(one[1] - two[1]):.3f}; {caution}"
        )
    apart = [
        abs(p.cl - p.two_equation.cl)
        for p in points
        if p.cl is not None and p.two_equation is not None and p.two_equation.cl is not None
    ]
    if not apart:
        return "predicted, steady, by one turbulence model: the second has no answer at any angle"
    return (
        f"predicted, steady, by two turbulence models: up to {max(apart):.3f} of lift apart at the angles"
        f" both have an answer at; maximum lift is not bracketed by both; {caution}"
    )
