"""Where along the chord a row helps, by the minutes tier beside the seconds tier."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
from platformdirs import user_cache_path

from slowflight import __version__, units
from slowflight.air import standard_air
from slowflight.errors import InputError, Unconverged
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.rans.grid import FAMILIES
from slowflight.study import pool
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.minutes_picture_case import MinutesPictureCase
from slowflight.study.store import RunStore
from slowflight.verbs import plain_numbers
from slowflight.verbs.evidence_plot import check_plot
from slowflight.verbs.section_sweep import HIGHEST_REYNOLDS, LOWEST_REYNOLDS, TURBULENT
from slowflight.wing.airfoils import airfoil as read_airfoil
from slowflight.wing.vane_row import AFTMOST_STATION, FOREMOST_STATION, VaneRow, read_vane_rows

NEAR_NOSE = 0.01  # trip of the seconds tier where the minutes tier is turbulent throughout
MOST_STATIONS = 40
CAUTIONS = (
    "Caution: predicted, section values, not your aircraft's stall. Slow flight and stalls kill: no position"
    " here clears a wing to be flown slower; only careful flight tests at a safe height do.",
    "What vanes do is uncalibrated in both tiers, and both take it from the same march: that they agree is no"
    " measurement.",
)
Told = Callable[[str, int, int], None]


@dataclass(frozen=True, kw_only=True)
class Positions:
    """Both tiers' answers for a row at several stations.

    Parameters
    ----------
    airfoil : str
    reynolds : float
    cruise_lift : float
        Lift coefficient at which drag is compared [-].
    lines : tuple of dict
        The clean section first; see `record`.
    warnings : tuple of str
    folder : Path
        Where the runs are kept.
    picture : Path or None
        Clean and best row side by side.
    """

    airfoil: str
    reynolds: float
    cruise_lift: float
    lines: tuple[dict[str, Any], ...]
    warnings: tuple[str, ...]
    folder: Path
    picture: Path | None = None

    def record(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "airfoil": self.airfoil,
            "reynolds": self.reynolds,
            "cruise_lift": self.cruise_lift,
            "positions": list(self.lines),
            "warnings": list(self.warnings),
            "cautions": list(CAUTIONS),
            "results": str(self.folder),
            "picture": None if self.picture is None else str(self.picture),
            "version": __version__,
        }


def positions(
    airfoil: str,
    *,
    reynolds: str | float,
    angles: str,
    vanes: str | Path,
    chord: str,
    stations: str = "3,5,7,10,20,30",
    transition: str = TURBULENT,
    cruise_lift: str | float = 0.4,
    grid: str = "preview",
    workers: int | str = 1,
    results: str | Path | None = None,
    picture: str | Path | None = None,
    on_progress: Told | None = None,
) -> Positions:
    """Compute a row at several stations by both tiers.

    Parameters
    ----------
    airfoil, reynolds, angles, chord
        As of `lift_curve`.
    vanes : str or Path
        TOML file with one ``[[vane_row]]``; its station is replaced.
    stations : str
        In per cent of chord, parted by commas.
    transition : str
        As of `lift_curve`; where ``"turbulent"`` the seconds tier is tripped at 1 % of chord.
    cruise_lift : str or float
        Lift coefficient at which drag is compared [-].
    grid : str
        ``"preview"``, ``"default"`` or ``"fine"``.
    workers : int or str
        Processes to compute with, or whose workers compute.
    results : str or Path, optional
        Folder for the runs; a cache of this user's otherwise. What is kept there is not computed again.
    picture : str or Path, optional
        File for a picture of the clean section and the best row, at the angle of the clean one's highest
        lift; ending in .svg, .png or .pdf.
    on_progress : callable, optional
        Called with what is being computed, how many are done and how many there are.

    Returns
    -------
    Positions

    Raises
    ------
    InputError
        Where anything given cannot be used; nothing has been computed then.
    """
    number = plain_numbers.number(
        reynolds,
        where="--reynolds",
        lowest=LOWEST_REYNOLDS,
        highest=HIGHEST_REYNOLDS,
        what="a Reynolds number",
    )
    wanted = plain_numbers.number(
        cruise_lift, where="--cruise-lift", lowest=0.0, highest=1.5, what="a lift coefficient"
    )
    angles_deg = tuple(plain_numbers.angles(angles, where="--angles"))
    if grid not in FAMILIES:
        raise InputError(where="--grid", found=repr(grid), needed=" or ".join(FAMILIES))
    turbulent = transition.strip().lower() == TURBULENT
    trips = plain_numbers.transition("free" if turbulent else transition, where="--transition")
    chord_m = units.length(chord, where="--chord")
    section = read_airfoil(airfoil, chord=chord_m)
    rows = read_vane_rows(vanes, chord_m=chord_m)
    if len(rows) != 1:
        raise InputError(
            where="--vanes", found=f"{len(rows)} rows", needed="one row, to be moved along the chord"
        )
    places = _stations(stations)
    file = None if picture is None else check_plot(picture, where="--picture")
    moved: list[tuple[VaneRow, ...]] = [(), *((replace(rows[0], station=place),) for place in places)]
    cases = [
        MinutesCase(
            section=section, chord=chord_m, reynolds=number, angles_deg=angles_deg,
            transition=None if turbulent else trips, grid=grid, rows=row,
        )
        for row in moved
    ]  # fmt: skip
    folder = (
        user_cache_path("slowflight", appauthor=False) / "positions" if results is None else Path(results)
    )

    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress("positions of the row by the minutes tier", done, total)

    found = pool.run(cases, RunStore(folder), workers=workers, on_done=tell)
    lines = []
    for row, case in zip(moved, cases, strict=True):
        quick = lift_curve(
            section, reynolds=number, angles_deg=angles_deg, vane_rows=row, chord_m=chord_m,
            transition=(NEAR_NOSE, NEAR_NOSE) if turbulent else trips,
        )  # fmt: skip
        seconds = [{"alpha_deg": p.alpha_deg, "cl": p.cl, "cd": p.cd} for p in quick.points]
        lines.append(_line(row, found[case.key], seconds, quick.cl_max, wanted))
    for line in lines:
        line["cruise_counts"] = _counts(line["cruise_drag"], lines[0]["cruise_drag"])
        line["seconds_cruise_counts"] = _counts(line["seconds_cruise_drag"], lines[0]["seconds_cruise_drag"])
    best = max(lines[1:], key=lambda line: line["highest_lift"] or -np.inf)
    if file is not None and (lines[0]["at_deg"] is None or best["highest_lift"] is None):
        file = None  # nothing answered to draw
    if file is not None:
        chosen = [cases[0], cases[1 + lines[1:].index(best)]]
        pair = [MinutesPictureCase(case=case, alpha_deg=lines[0]["at_deg"]) for case in chosen]
        _draw(pair, RunStore(folder), workers, file, chord_m=chord_m, on_progress=on_progress)
    warnings = dict.fromkeys(w for case in cases for w in found[case.key]["warnings"])
    return Positions(
        airfoil=section.name, reynolds=number, cruise_lift=wanted, lines=tuple(lines),
        warnings=tuple(warnings), folder=folder, picture=file,
    )  # fmt: skip


def _draw(
    pair: Sequence[MinutesPictureCase],
    store: RunStore,
    workers: int | str,
    file: Path,
    *,
    chord_m: float,
    on_progress: Told | None,
) -> None:
    """Compute both pictures and draw them side by side."""
    from slowflight.report.pictures.canvas import house_style
    from slowflight.report.pictures.minutes_pair import pair_figure

    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress("pictures", done, total)

    found = pool.run(pair, store, workers=workers, on_done=tell)
    clean, vanes = (found[case.key] for case in pair)
    for result in (clean, vanes):
        if "problem" in result:
            raise Unconverged(result["problem"])
    air = standard_air(altitude=0.0)
    speed = pair[0].case.reynolds * air.kinematic_viscosity / chord_m
    with house_style():
        figure = pair_figure(
            clean, vanes, station=pair[1].case.rows[0].station, knots=speed / (1852.0 / 3600.0)
        )
        figure.savefig(file, dpi=150, metadata={"Date": None} if file.suffix.lower() == ".svg" else None)


def _stations(text: str) -> tuple[float, ...]:
    parts = [part.strip().rstrip("%").strip() for part in text.split(",")]
    if len(parts) > MOST_STATIONS:
        raise InputError(where="--stations", found=f"{len(parts)} of them", needed=f"at most {MOST_STATIONS}")
    return tuple(
        plain_numbers.number(
            part, where="--stations", lowest=100.0 * FOREMOST_STATION, highest=100.0 * AFTMOST_STATION,
            what="per cent of chord",
        )
        / 100.0
        for part in parts
    )  # fmt: skip


def _line(
    row: tuple[VaneRow, ...],
    result: Mapping[str, Any],
    seconds: Sequence[Mapping[str, Any]],
    seconds_maximum: float | None,
    cruise_lift: float,
) -> dict[str, Any]:
    points = result["points"]
    highest = _highest(points)
    quick = _highest(seconds)
    gap = None if highest is None or quick is None else highest["cl"] - quick["cl"]
    return {
        "station": row[0].station if row else None,
        "highest_lift": None if highest is None else highest["cl"],
        "at_deg": None if highest is None else highest["alpha_deg"],
        "bracketed": result["cl_max"] is not None,
        "extrapolated": highest is not None and highest["extrapolated"],
        "seconds_highest_lift": None if quick is None else quick["cl"],
        "seconds_at_deg": None if quick is None else quick["alpha_deg"],
        "seconds_bracketed": seconds_maximum is not None,
        "gap": gap,
        "cruise_drag": _drag_at(points, cruise_lift),
        "seconds_cruise_drag": _drag_at(seconds, cruise_lift),
        "computed_seconds": result["seconds"],
        "points": points,
        "seconds_points": list(seconds),
    }


def _highest(points: Sequence[Mapping[str, Any]]) -> Mapping[str, Any] | None:
    """The angle asked for with most lift."""
    answered = [p for p in points if p["cl"] is not None]
    return max(answered, key=lambda p: p["cl"]) if answered else None


def _drag_at(points: Sequence[Mapping[str, Any]], lift: float) -> float | None:
    """Drag at a lift coefficient below the highest, between the angles on either side."""
    highest = _highest(points)
    if highest is None:
        return None
    rising = [p for p in points if p["cl"] is not None and p["alpha_deg"] <= highest["alpha_deg"]]
    rising.sort(key=lambda p: p["alpha_deg"])
    lifts, drags = [p["cl"] for p in rising], [p["cd"] for p in rising]
    if not lifts[0] <= lift <= lifts[-1] or any(b <= a for a, b in pairwise(lifts)):
        return None
    return float(np.interp(lift, lifts, drags))


def _counts(drag: float | None, clean: float | None) -> float | None:
    return None if drag is None or clean is None else 1e4 * (drag - clean)
