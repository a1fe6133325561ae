"""Angles past the last steady answer, by averages over time."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slowflight.flow.rans.given_flow import Given, GivenFlow, vane_force
from slowflight.flow.rans.newton import Marching
from slowflight.flow.rans.steady import solve
from slowflight.flow.rans.sweep import NEXT_CFL, NEXT_STEPS
from slowflight.flow.rans.time_average import CONFIDENCE, WELL_KNOWN, TimeAverage, averaged

COLLAPSED = 1e-3  # swing of lift below which a steady answer is looked for from where the flow has come to


@dataclass(frozen=True, eq=False)
class Averaged:
    """A flow averaged over time with what was given.

    Parameters
    ----------
    mean : TimeAverage
    given : Given
        Of the last steady answer, held.
    lift, drag : float
        Means of section and vanes.
    vane_drag : float
    """

    mean: TimeAverage
    given: Given
    lift: float
    drag: float
    vane_drag: float

    def remarks(self) -> tuple[str, ...]:
        """What has to be said beside the numbers."""
        mean = self.mean
        if not mean.settled:
            return (
                f"no answer: no steady one, and a mean over {mean.chords:.0f} chords of flight did not settle"
                f" (lift {_number(mean.lift)}, swing {_number(mean.amplitude)}, chance leaves"
                f" {_number(mean.error)}, needed {WELL_KNOWN:g} and no drift)",
            )
        return (
            f"no steady answer: mean over {mean.chords:.0f} chords of flight, lift swings by"
            f" {mean.amplitude:.3f} about it, chance leaves {mean.error:.3f} ({CONFIDENCE:.0%}); a section"
            " alone swings more than a wing does: a trend, not a value",
        )


def _number(value: float) -> str:
    return f"{value:.3f}" if math.isfinite(value) else "unknown"


def past_steady(
    steady: Mapping[float, tuple[Marching, GivenFlow]],
    angles: Sequence[float],
    *,
    on_steady: Callable[[Marching, GivenFlow], None],
    on_averaged: Callable[[Marching, float, Averaged], None],
) -> None:
    """Average at the angles [rad] beyond the steady answers, each from the one before it.

    Parameters
    ----------
    steady : mapping
        Problem with what was given, and flow, by angle; converged ones only.
    angles : sequence of float
        All that were asked for [rad].
    on_steady : callable
        Called where the flow came to rest and a steady answer was found after all.
    on_averaged : callable
        Called with problem, angle and average otherwise.
    """
    if not steady:
        return
    lowest, highest = min(steady), max(steady)
    for edge, beyond in (
        (highest, sorted(a for a in angles if a > highest)),
        (lowest, sorted((a for a in angles if a < lowest), reverse=True)),
    ):
        here, found = steady[edge]
        flow, given = found.flow, found.given
        for alpha in beyond:
            mean = averaged(here, start=flow, alpha=alpha)
            if mean.flow.converged and mean.amplitude < COLLAPSED:
                at_rest = solve(
                    here, alpha=alpha, q=mean.flow.q, circulation=mean.flow.circulation,
                    first_cfl=NEXT_CFL, most_steps=2 * NEXT_STEPS, renew=True,
                )  # fmt: skip
                if at_rest.converged:
                    on_steady(here, GivenFlow(at_rest, given))
                    flow = at_rest
                    continue
            lift, drag = vane_force(here, given.made, alpha=alpha)
            on_averaged(here, alpha, Averaged(mean, given, mean.lift + lift, mean.drag + drag, drag))
            if not (mean.flow.converged and np.all(np.isfinite(mean.flow.q))):
                break
            flow = mean.flow
