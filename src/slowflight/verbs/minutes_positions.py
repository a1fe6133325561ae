"""Where along the chord a row helps, by the minutes tier beside the seconds tier."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
from platformdirs import user_cache_path

from slowflight import __version__, units
from slowflight.air import standard_air
from slowflight.errors import InputError, Unconverged
from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.rans.bodies_lift_curve import refuse_other_skins
from slowflight.flow.rans.two_models import ONE
from slowflight.study import pool
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.minutes_picture_case import MinutesPictureCase
from slowflight.study.store import RunStore
from slowflight.verbs import plain_numbers
from slowflight.verbs.evidence_plot import check_plot
from slowflight.verbs.minutes_bands import grid_bands
from slowflight.verbs.minutes_lines import counts, line_of
from slowflight.verbs.minutes_refine import refined
from slowflight.verbs.minutes_sweep import refuse_what_is_not_there
from slowflight.verbs.section_sweep import (
    HIGHEST_REYNOLDS,
    LOWEST_REYNOLDS,
    TURBULENT,
    deflected,
    with_own_airfoil_flap,
)
from slowflight.verbs.stations import stations_from
from slowflight.wing.airfoils import airfoil as read_airfoil
from slowflight.wing.own_airfoil_flap_file import OWN_AIRFOIL, flap_kind
from slowflight.wing.vane_row import VaneRow, read_vane_rows

NEAR_NOSE = 0.01  # trip of the seconds tier where the minutes tier is turbulent throughout
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
    bands : dict or None
        What the grid leaves open in the best row's gain; see `grid_bands`.
    steps : tuple of dict
        Steps to better stations and whether solutions confirmed them; see `refined`.
    """

    airfoil: str
    reynolds: float
    cruise_lift: float
    lines: tuple[dict[str, Any], ...]
    warnings: tuple[str, ...]
    folder: Path
    picture: Path | None = None
    bands: dict[str, Any] | None = None
    steps: tuple[dict[str, Any], ...] = ()

    def record(self) -> dict[str, Any]:
        """Return it as plain data."""
        return {
            "airfoil": self.airfoil,
            "reynolds": self.reynolds,
            "cruise_lift": self.cruise_lift,
            "positions": list(self.lines),
            "refined": list(self.steps),
            "grid_bands": self.bands,
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
    flap: str | Path | None = None,
    flap_angle: str | float | None = None,
    cruise_lift: str | float = 0.4,
    grid: str = "preview",
    refine: bool = False,
    bands: bool = False,
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
    flap, flap_angle : str or Path, str or float
        As of `lift_curve`; with a hung or slotted flap layers are turbulent throughout.
    cruise_lift : str or float
        Lift coefficient at which drag is compared [-].
    grid : str
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    refine : bool
        Whether to step on from the best station to where the adjoint points.
    bands : bool
        Whether the clean section and the best row are computed on two more grids.
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
    turbulent = transition.strip().lower() == TURBULENT
    trips = plain_numbers.transition("free" if turbulent else transition, where="--transition")
    chord_m = units.length(chord, where="--chord")
    section = read_airfoil(airfoil, chord=chord_m)
    rows = read_vane_rows(vanes, chord_m=chord_m)
    if len(rows) != 1:
        raise InputError(
            where="--vanes", found=f"{len(rows)} rows", needed="one row, to be moved along the chord"
        )
    places = stations_from(stations, where="--stations")
    if not places:
        raise InputError(where="--stations", found="none", needed="one place or more, in percent of chord")
    own_airfoil = flap is not None and flap_kind(flap) in OWN_AIRFOIL
    refuse_what_is_not_there(
        own_airfoil_flap=own_airfoil, grid=grid, turbulence=ONE, turbulent=turbulent, asked={}
    )
    if own_airfoil:
        refuse_other_skins(rows)
    elements = with_own_airfoil_flap(section, flap=flap, flap_angle=flap_angle)
    if elements is None:
        section = deflected(section, flap=flap, flap_angle=flap_angle)
    file = None if picture is None else check_plot(picture, where="--picture")
    moved: list[tuple[VaneRow, ...]] = [(), *((replace(rows[0], station=place),) for place in places)]
    cases = [
        MinutesCase(
            section=section, chord=chord_m, reynolds=number, angles_deg=angles_deg,
            transition=None if turbulent else trips, grid=grid, rows=row,
            flap=None if elements is None else elements.bodies[1],
        )
        for row in moved
    ]  # fmt: skip
    folder = (
        user_cache_path("slowflight", appauthor=False) / "positions" if results is None else Path(results)
    )

    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress("positions of the row by the minutes tier", done, total)

    def telling(what: str) -> Callable[[int, int], None] | None:
        return None if on_progress is None else partial(on_progress, what)

    store = RunStore(folder)
    found = pool.run(cases, store, workers=workers, on_done=tell)
    steps = []
    if refine:
        steps = refined(
            cases[1:], found, store, workers=workers, on_progress=telling("steps to a better station")
        )
        cases += [step["case"] for step in steps]
        found |= {step["case"].key: step["result"] for step in steps}
        cases[1:] = sorted(cases[1:], key=lambda case: case.rows[0].station)
    lines = []
    for case in cases:
        quick = (lift_curve if elements is None else elements_lift_curve)(
            section if elements is None else elements,  # type: ignore[arg-type]
            reynolds=number, angles_deg=angles_deg, vane_rows=case.rows, chord_m=chord_m,
            transition=(NEAR_NOSE, NEAR_NOSE) if turbulent else trips,
        )  # fmt: skip
        seconds = [{"alpha_deg": p.alpha_deg, "cl": p.cl, "cd": p.cd} for p in quick.points]
        lines.append(line_of(case.rows, found[case.key], seconds, quick.cl_max, wanted))
    for line in lines:
        line["cruise_counts"] = counts(line["cruise_drag"], lines[0]["cruise_drag"])
        line["seconds_cruise_counts"] = counts(line["seconds_cruise_drag"], lines[0]["seconds_cruise_drag"])
    best = max(lines[1:], key=lambda line: line["highest_lift"] or -np.inf)
    chosen = (cases[0], cases[1 + lines[1:].index(best)])
    if file is not None and (lines[0]["at_deg"] is None or best["highest_lift"] is None):
        file = None  # nothing answered to draw
    if file is not None:
        pair = [MinutesPictureCase(case=case, alpha_deg=lines[0]["at_deg"]) for case in chosen]
        _draw(pair, store, workers, file, chord_m=chord_m, on_progress=on_progress)
    open_by_grid = None
    if bands and best["highest_lift"] is not None:
        open_by_grid = grid_bands(
            *chosen, store, workers=workers, on_progress=telling("the best row on three grids")
        )
    warnings = dict.fromkeys(w for case in cases for w in found[case.key]["warnings"])
    return Positions(
        airfoil=section.name if elements is None else elements.name,
        reynolds=number, cruise_lift=wanted, lines=tuple(lines),
        warnings=tuple(warnings), folder=folder, picture=file,
        bands=open_by_grid,
        steps=tuple(
            {"from": step["from"], "to": step["case"].rows[0].station}
            | {name: step[name] for name in ("at_deg", "slope", "confirmed")}
            for step in steps
        ),
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
