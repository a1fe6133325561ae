"""The main question put to the minutes tier too: the same wing, flap settings and rows, by both tiers.

Sections are solved by both, fully turbulent; the same lifting line carries both to the wing. So what differs
is the air about the section and nothing else.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

from slowflight import __version__
from slowflight.errors import InputError
from slowflight.flow.rans.grid import FAMILIES
from slowflight.project import Project, open_project
from slowflight.study.minutes_section_case import MinutesSectionCase, of_section
from slowflight.study.section_case import SectionCase
from slowflight.study.store import RunStore
from slowflight.verbs.minutes_bands import grid_bands
from slowflight.verbs.opinion_record import SettingOpinion, opinion_record
from slowflight.verbs.opinion_rows import OpinionRow, opinion_rows
from slowflight.verbs.predicting import PREDICTION, saved_prediction
from slowflight.verbs.prediction_answers import row_middle
from slowflight.verbs.prediction_cases import Study, at_setting, flap_words, is_up, study_of
from slowflight.verbs.prediction_settings import Crew, Told
from slowflight.verbs.prediction_wing import clean_cases, row_cases
from slowflight.verbs.saved_record import saved_record
from slowflight.verbs.staleness import made_from, why_old
from slowflight.wing.wing_file import read_wing_file

OPINION = "second-opinion.json"
NEAR_NOSE = 0.01  # trip of the seconds tier, where the minutes tier is turbulent throughout [share of chord]
# Section angles: from what level flight needs to well past stall, where each costs most [deg].
UP_DEG = tuple(float(a) for a in range(0, 23, 2))
# A part of the wing beside a flap that is down meets air that the flap turns up.
BESIDE_DEG = tuple(float(a) for a in range(0, 33, 2))
DOWN_DEG = tuple(float(a) for a in range(-4, 23, 2))
STEP_DEG, STEPS_DOWN = 2.0, 8  # of angles that are drawn and not solved
EASY_DEG = 4.0  # where a sweep starts
USUAL_LIFT = 1.6  # where the seconds tier has no largest lift
MOST_PLACES = 40
Solved = dict[str, tuple[MinutesSectionCase, dict[str, Any]]]


def second_opinion(
    folder: str | Path,
    *,
    every_row: bool = False,
    stations: Sequence[float] = (),
    bands: bool = False,
    grid: str = "preview",
    workers: int | str = 1,
    on_progress: Told | None = None,
) -> dict[str, Any]:
    """Compute the wing, clean and with rows, at every flap setting, by both tiers.

    Parameters
    ----------
    folder : str or Path
        A project folder with a prediction.
    every_row : bool
        Whether all rows of the sceptic's question are computed: 3, 5, 7, 10 and 20 % of chord, two in tandem,
        twice as long, the other arrangement. Otherwise the prediction's row, at every flap setting.
    stations : sequence of float
        Further places of the row [share of the chord]. Places asked for before stay in the answer.
    bands : bool
        Whether the prediction's row is computed on two more grids near the clean section's largest lift, for
        what the grid alone leaves open in its gain.
    grid : str
        ``"preview"``, ``"medium"``, ``"default"`` or ``"fine"``.
    workers : int or str
        Processes to compute with, or whose workers compute.
    on_progress : callable, optional
        Called with what is being computed, how many are done and how many there are.

    Returns
    -------
    dict
        As kept in ``runs/second-opinion.json``: plain data. Each lift curve is kept as soon as it is there:
        the same call goes on from there.

    Raises
    ------
    InputError
        Where nothing has been predicted, or wing.toml or what is asked cannot be used; nothing has been
        computed or overwritten then.
    """
    if grid not in FAMILIES:
        raise InputError(where="--grid", found=repr(grid), needed=" or ".join(FAMILIES))
    project = open_project(folder)
    prediction = saved_prediction(project)
    if prediction is None:
        raise InputError(
            where=str(project.folder), found="no prediction", needed="one to give a second opinion on",
            fix="run 'slowflight predict' first",
        )  # fmt: skip
    before = saved_second_opinion(project)
    asked = tuple(stations)
    if before is not None:
        every_row = every_row or bool(before.get("every_row"))
        bands = bands or bool(before.get("grid_bands"))
        earlier = tuple(before.get("stations_asked", ()))
        asked = (*earlier, *(station for station in asked if station not in earlier))
    if len(asked) > MOST_PLACES:
        raise InputError(where="stations", found=f"{len(asked)} of them", needed=f"at most {MOST_PLACES}")
    made = made_from(project)  # wing.toml may be changed while this computes
    study = study_of(read_wing_file(project.wing_file))
    old = why_old(project, prediction, file=project.runs / PREDICTION, what="prediction")
    vane, rows, notes = opinion_rows(study, prediction, every=every_row, stations=asked)
    store = RunStore(project.ready(project.runs))
    crew = Crew(store=store, workers=workers, told=on_progress)
    settings = (0.0,) if study.file.flap is None else study.file.flap.settings
    there = {setting: _tripped(study, setting) for setting in settings}
    quick = _by_seconds(there, rows, crew)
    long = _by_minutes(there, rows, quick, crew, grid)
    on_grids = _on_grids(there, rows, long, crew) if bands else {}
    record = {
        **opinion_record(
            study,
            [
                SettingOpinion(
                    setting=setting, study=found, rows=rows, seconds=quick, minutes=_results(long),
                    bands=on_grids.get(setting),
                )
                for setting, found in there.items()
            ],
            prediction=prediction, vane=vane, notes=(*old, *notes), every=every_row, grid=grid,
        ),
        "every_row": every_row,
        "grid_bands": bands,
        "stations_asked": list(asked),
        "version": __version__,
        "made_from": made,
    }  # fmt: skip
    text = json.dumps(record, allow_nan=False, indent=1)
    store.keep(OPINION.removesuffix(".json"), text.encode(), suffix=".json")
    return record


def saved_second_opinion(project: Project) -> dict[str, Any] | None:
    """Return the last second opinion of a project, or ``None``.

    Raises
    ------
    InputError
        Where the file is damaged.
    """
    return saved_record(
        project, OPINION, what="a second opinion", fix="delete it, then run 'slowflight second-opinion' again"
    )


def _tripped(study: Study, setting: float) -> Study | str:
    found = at_setting(study, setting)
    return found if isinstance(found, str) else found.tripped(NEAR_NOSE, NEAR_NOSE)


def _cases(study: Study, rows: Sequence[OpinionRow]) -> list[SectionCase]:
    return [*clean_cases(study), *(case for one in rows for case in row_cases(study, *one.rows))]


def _by_seconds(
    there: Mapping[float, Study | str], rows: Sequence[OpinionRow], crew: Crew
) -> dict[str, dict[str, Any]]:
    cases = [case for study in there.values() if not isinstance(study, str) for case in _cases(study, rows)]
    return crew.run(cases, "the same sections by the seconds tier")


def _by_minutes(
    there: Mapping[float, Study | str],
    rows: Sequence[OpinionRow],
    quick: Mapping[str, Mapping[str, Any]],
    crew: Crew,
    grid: str,
) -> Solved:
    """Cases and results under the keys of the seconds tier's cases."""
    asked: dict[str, MinutesSectionCase] = {}
    for setting, study in there.items():
        if isinstance(study, str):
            continue
        angles = UP_DEG if is_up(setting) else DOWN_DEG
        clean = clean_cases(study)
        beside = set() if study.setting is None else {case.key for case in _cases(study.bare, rows)}
        # one speed for all rows of a setting: that at which the clean section has its largest lift
        most = [quick[case.key]["cl_max"] or USUAL_LIFT for case in clean]
        lift = max(most)
        for case in _cases(study, rows):
            reynolds = float(f"{case.reynolds_at_unit_lift / math.sqrt(lift):.2g}")
            asked[case.key] = of_section(
                case, reynolds=reynolds, angles_deg=BESIDE_DEG if case.key in beside else angles, grid=grid
            )
    words = ", ".join(f"flap {flap_words(setting)}" for setting in there)
    found = crew.run(list(asked.values()), f"lift curves by the minutes tier ({words})")
    # How the clean section stalls, and so whether vanes can do anything, is judged by the seconds tier alone.
    return {key: (case, {**found[case.key], "stall": quick[key].get("stall")}) for key, case in asked.items()}


def _results(solved: Solved) -> dict[str, dict[str, Any]]:
    return {key: _drawn_down(result) for key, (_, result) in solved.items()}


def _drawn_down(result: dict[str, Any]) -> dict[str, Any]:
    """Draw a lift curve straight on below its lowest angle, where air follows every skin.

    Strips beside a flap that is down see such angles long before the wing stalls; solving them by the minutes
    tier would cost a third more and change no stall.
    """
    known = [point for point in result["points"] if point["converged"]][:2]
    if len(known) < 2:
        return result
    low, next_up = known
    slope = (next_up["cl"] - low["cl"]) / (next_up["alpha_deg"] - low["alpha_deg"])
    below = [
        {**low, "alpha_deg": angle, "cl": low["cl"] + slope * (angle - low["alpha_deg"]), "drawn": True}
        for angle in (low["alpha_deg"] - STEP_DEG * step for step in range(STEPS_DOWN, 0, -1))
    ]
    return {**result, "points": [*below, *result["points"]]}


def _on_grids(
    there: Mapping[float, Study | str], rows: Sequence[OpinionRow], solved: Solved, crew: Crew
) -> dict[float, dict[str, Any]]:
    """What the grid leaves open in the gain of the prediction's row, at each setting that has answers."""
    chosen = next((one for one in rows if one.chosen), rows[0])
    made = {}
    for setting, study in there.items():
        if isinstance(study, str):
            continue
        y = row_middle(study, chosen.rows[0], tip=study.file.wing.semi_span)
        station = study.file.wing.neighbors(y)[0]
        clean, found = solved[study.clean(station).key]
        peak = found.get("alpha_cl_max_deg")
        if peak is None:
            continue
        near = 2.0 * round(0.5 * peak)
        angles = tuple(sorted({EASY_DEG, near - 2.0, near}))
        row, _ = solved[study.vanes(station, *chosen.rows).key]
        pair = [replace(case, angles_deg=angles) for case in (clean, row)]
        what = f"three grids, flap {flap_words(setting)}"
        made[setting] = grid_bands(
            pair[0], pair[1], crew.store, workers=crew.workers,
            on_progress=None if crew.told is None else partial(crew.told, what),
        )  # fmt: skip
    return made
