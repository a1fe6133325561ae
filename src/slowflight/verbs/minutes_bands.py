"""What the grid leaves open in a row's gain: clean section and row on three grids."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Any

from slowflight.flow.maximum_lift import maximum_lift
from slowflight.flow.rans.grid import FAMILIES
from slowflight.flow.rans.grid_band import GridBand, grid_band
from slowflight.study import pool
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.store import RunStore

# the grid asked for, with finer ones or a coarser and a finer one
LADDERS = {
    "preview": ("preview", "medium", "default"),
    "medium": ("preview", "medium", "default"),
    "default": ("medium", "default", "fine"),
    "fine": ("medium", "default", "fine"),
}


def grid_bands(
    clean: MinutesCase,
    row: MinutesCase,
    store: RunStore,
    *,
    workers: int | str,
    on_progress: Callable[[int, int], None] | None = None,
) -> dict[str, Any]:
    """Compute both on three grids and find the bands of highest lift and of what the row gains.

    Parameters
    ----------
    clean, row : MinutesCase
        Of the same angles and grid.
    store : RunStore
        What is there is not computed again.
    workers : int or str
    on_progress : callable, optional
        Called with how many are done and how many there are.

    Returns
    -------
    dict
        ``grids``, and per quantity its three values, apparent order, extrapolated value, half band and how it
        came about; without a value where an angle on one of the grids has no answer.
    """
    pairs = {grid: (replace(clean, grid=grid), replace(row, grid=grid)) for grid in LADDERS[clean.grid]}
    found = pool.run(
        [case for pair in pairs.values() for case in pair], store, workers=workers, on_done=on_progress
    )
    results = [(found[a.key], found[b.key]) for a, b in pairs.values()]
    sizes = [1.0 / FAMILIES[grid].around for grid in pairs]
    bands: dict[str, Any] = {"grids": list(pairs), "station": row.rows[0].station}
    peaks = [tuple(_peak(result["points"]) for result in pair) for pair in results]
    bands["clean"] = _band([a for a, _ in peaks], sizes)
    bands["row"] = _band([b for _, b in peaks], sizes)
    bands["gain"] = _band([_less(b, a) for a, b in peaks], sizes)
    bands["gain_at"] = [
        {"alpha_deg": angle} | _band([_less(_at(b, angle), _at(a, angle)) for a, b in results], sizes)
        for angle in clean.angles_deg
    ]
    return bands


def _peak(points: Sequence[Mapping[str, Any]]) -> float | None:
    """Highest lift: between the angles where it is bracketed, else of the angles asked for."""
    if any(p["cl"] is None for p in points):
        return None
    between = maximum_lift([(p["alpha_deg"], p["cl"]) for p in points])
    return max(p["cl"] for p in points) if between is None else between[1]


def _at(result: Mapping[str, Any], angle: float) -> float | None:
    return next((p["cl"] for p in result["points"] if p["alpha_deg"] == angle), None)


def _less(a: float | None, b: float | None) -> float | None:
    return None if a is None or b is None else a - b


def _band(values: Sequence[float | None], sizes: Sequence[float]) -> dict[str, Any]:
    known = [v for v in values if v is not None]
    if len(known) < len(values):
        return {
            "values": list(values), "order": None, "extrapolated": None, "band": None,
            "remark": "no band: no answer on one of the grids",
        }  # fmt: skip
    band: GridBand = grid_band((known[0], known[1], known[2]), sizes=(sizes[0], sizes[1], sizes[2]))
    return {
        "values": list(band.values), "order": band.order, "extrapolated": band.extrapolated,
        "band": band.band, "remark": band.remark,
    }  # fmt: skip
