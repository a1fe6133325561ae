"""Better places for a row than those asked for: the adjoint says which way, a full solution says whether."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from slowflight.study import pool
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.minutes_slope_case import MinutesSlopeCase
from slowflight.study.store import RunStore
from slowflight.verbs.minutes_lines import highest
from slowflight.wing.vane_row import AFTMOST_STATION, FOREMOST_STATION

MOST_STEPS = 3
FARTHEST = 1.5  # ratio of stations of one step where no neighbor was computed
NEAREST = 0.002  # steps shorter than this share of chord are not worth a solution


def refined(
    cases: Sequence[MinutesCase],
    results: Mapping[str, Mapping[str, Any]],
    store: RunStore,
    *,
    workers: int | str,
    on_progress: Callable[[int, int], None] | None = None,
) -> list[dict[str, Any]]:
    """Step from the best station half the way to its neighbor, to the side the adjoint points to.

    The slope alone is not believed: it leaves out that the march changes with the flow, and was one to three
    times too steep where it was compared. Each step is solved in full, and the next goes on from the better.

    Parameters
    ----------
    cases : sequence of MinutesCase
        One row each, at different stations.
    results : mapping
        Of each, by key.
    store : RunStore
    workers : int or str
    on_progress : callable, optional
        Called with how many steps are done and how many there may be.

    Returns
    -------
    list of dict
        A step each: ``from`` and ``slope`` [lift per chord] at ``at_deg``, the ``case`` and ``result`` of the
        new station, and whether highest lift rose there as the slope said (``confirmed``). Empty where
        nothing has an answer.
    """
    known = {case.rows[0].station: (case, results[case.key]) for case in cases}
    steps: list[dict[str, Any]] = []
    for number in range(MOST_STEPS):
        if on_progress is not None:
            on_progress(number, MOST_STEPS)
        answered = {s: highest(result["points"]) for s, (_, result) in known.items()}
        lifts = {s: top["cl"] for s, top in answered.items() if top is not None}
        if not lifts:
            break
        best = max(lifts, key=lambda s: lifts[s])
        angle = answered[best]["alpha_deg"]  # type: ignore[index]
        case = known[best][0]
        slope_case = MinutesSlopeCase(case=case, alpha_deg=angle)
        slope = pool.run([slope_case], store, workers=workers)[slope_case.key]["lift_by_station"]
        if slope is None:
            break
        to = _next(best, sorted(known), aft=slope > 0.0)
        if to is None:
            break
        moved = replace(case, rows=(replace(case.rows[0], station=to),))
        result = pool.run([moved], store, workers=workers)[moved.key]
        top = highest(result["points"])
        steps.append(
            {
                "from": best, "at_deg": angle, "slope": slope, "case": moved, "result": result,
                "confirmed": top is not None and top["cl"] > lifts[best],
            }
        )  # fmt: skip
        known[to] = (moved, result)
    if on_progress is not None:
        on_progress(MOST_STEPS, MOST_STEPS)
    return steps


def _next(station: float, known: Sequence[float], *, aft: bool) -> float | None:
    """The station half the way, in ratio, to the next one known on that side."""
    beyond = [s for s in known if (s > station if aft else s < station)]
    if beyond:
        neighbor = min(beyond, key=lambda s: abs(s - station))
        to = math.sqrt(station * neighbor)
    else:
        to = station * (FARTHEST if aft else 1.0 / FARTHEST)
    to = min(max(round(to, 4), FOREMOST_STATION), AFTMOST_STATION)
    return to if abs(to - station) >= NEAREST else None
