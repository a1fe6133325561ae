"""Whether a row of vanes would let this wing fly slower, where it has to stand, and how sure that is."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from slowflight.compare.choice import Choice, choose
from slowflight.compare.row_answer import RowAnswer, row_answer
from slowflight.compare.spans import section_curve, span_curves
from slowflight.errors import InputError, SlowflightError, Unconverged
from slowflight.flow.lifting_line import SectionCurve, WingLift, wing_lift
from slowflight.project import Project, open_project
from slowflight.study import pool
from slowflight.study.field_case import FieldCase
from slowflight.study.store import RunStore
from slowflight.verbs.prediction_answers import Answers, PicturedPair
from slowflight.verbs.prediction_cases import WING_ANGLES_DEG, RowToTry, Study, study_of
from slowflight.verbs.prediction_record import prediction_record
from slowflight.wing.wing_file import read_wing_file

PREDICTION = "prediction.json"
TIERS_TO_COME = ("rans", "slab")
# Over which loss of lift spreads along the span [local chords]: one for the clean wing and every row,
# because it moves a maximum by as much as vanes may.
SMOOTHING = 0.2
Told = Callable[[str, int, int], None]


@dataclass(frozen=True)
class _Wing:
    """The wing over all angles, and the section results it was made of, root first."""

    lift: WingLift
    sections: tuple[Mapping[str, Any], ...]


def predict(
    folder: str | Path, *, tier: str = "integral", workers: int = 1, on_progress: Told | None = None
) -> dict[str, Any]:
    """Predict the clean wing and every row of the question, and judge.

    Parameters
    ----------
    folder : str or Path
        A project folder with its wing.toml.
    tier : str, optional
        ``"integral"``; the others are not there yet.
    workers : int, optional
        Processes to compute with.
    on_progress : callable, optional
        Called with what is being computed, how many are done and how many there are.

    Returns
    -------
    dict
        The prediction, as kept in ``runs/prediction.json``: plain data.

    Raises
    ------
    InputError
        Where wing.toml or the question cannot be used; nothing has been computed or overwritten then.
    Unconverged
        Where not even the clean wing has a lift curve.
    """
    if tier != "integral":
        known = "'integral'" if tier in TIERS_TO_COME else "'integral', the one tier there is"
        fix = "this version computes only the integral tier"
        raise InputError(where="--tier", found=repr(tier), needed=known, fix=fix)
    project = open_project(folder)
    study = study_of(read_wing_file(project.wing_file))
    store = RunStore(project.ready(project.runs))
    results = _computed(study, store, workers, on_progress)
    answers = _answers(study, results)
    pictures = _pictures(study, answers, store, workers, on_progress)
    record = prediction_record(study, answers, pictures, tier=tier)
    text = json.dumps(record, allow_nan=False, indent=1)
    store.keep(PREDICTION.removesuffix(".json"), text.encode(), suffix=".json")
    return record


def saved_prediction(project: Project) -> dict[str, Any] | None:
    """Return the last prediction of a project, or ``None``.

    Raises
    ------
    InputError
        Where the file is damaged.
    """
    content = RunStore(project.runs).read(PREDICTION.removesuffix(".json"), suffix=".json")
    if content is None:
        return None
    try:
        record = json.loads(content)
    except ValueError:
        record = None
    if not isinstance(record, dict):
        raise InputError(
            where=str(project.runs / PREDICTION), found="a damaged file", needed="a prediction",
            fix="run 'slowflight predict' again",
        )  # fmt: skip
    return record


def picture_files(project: Project, prediction: Mapping[str, Any]) -> dict[str, Path]:
    """Return the files of velocities that a prediction's pictures name, those that are there."""
    names = [pair[side]["field"] for pair in prediction["pictures"] for side in ("clean", "vanes")]
    return {name: project.runs / name for name in names if (project.runs / name).is_file()}


def _computed(
    study: Study, store: RunStore, workers: int, on_progress: Told | None
) -> dict[str, dict[str, Any]]:
    stations = study.file.wing.stations
    cases = [case(station) for case in (study.clean, study.rough) for station in stations]
    cases += [study.vanes(station, tried.row) for tried in study.rows for station in stations]

    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress("lift curves", done, total)

    return pool.run(cases, store, workers=workers, on_done=tell)


def _answers(study: Study, results: Mapping[str, Mapping[str, Any]]) -> Answers:
    stations = study.file.wing.stations
    clean = _wing(study, tuple(results[study.clean(s).key] for s in stations), name="the clean wing")
    try:
        rough: WingLift | None = _wing(
            study, tuple(results[study.rough(s).key] for s in stations), name="the wing with a rough nose"
        ).lift
    except Unconverged:
        rough = None
    tried = []
    sections: dict[int, tuple[Mapping[str, Any], ...]] = {}
    for number, row in enumerate(study.rows):
        found = tuple(results[study.vanes(s, row.row).key] for s in stations)
        sections[number] = found
        tried.append(_row_answer(study, row, found, clean))
    return Answers(
        clean=clean.lift,
        clean_sections=clean.sections,
        rough=rough,
        rows=tuple(tried),
        row_sections=sections,
        choice=_choice(study, clean.lift, tried),
    )


def _choice(study: Study, clean: WingLift, tried: Sequence[RowAnswer]) -> Choice | None:
    if clean.cl_max_continued is None:
        return None
    return choose(tried, cruise_price=study.file.question.cruise_price)


def _row_answer(
    study: Study, tried: RowToTry, found: tuple[Mapping[str, Any], ...], clean: _Wing
) -> RowAnswer:
    name = f"{tried.candidate.name} at {100 * tried.row.station:.0f} %"
    try:
        wing = _wing(study, found, name=name, row=tried, clean=clean)
    except SlowflightError as problem:
        return RowAnswer(
            candidate=tried.candidate.name, row=tried.row, lift=None, cl_max=None, stall_angle=None,
            stall_speed=None, fall=None, drag_counts=None, cruise_loss=None, problem=str(problem),
        )  # fmt: skip
    return row_answer(
        candidate=tried.candidate.name, row=tried.row, lift=wing.lift, clean=clean.lift, flight=study.flight
    )


def _wing(
    study: Study,
    found: tuple[Mapping[str, Any], ...],
    *,
    name: str,
    row: RowToTry | None = None,
    clean: _Wing | None = None,
) -> _Wing:
    curves = _curves(found, name)
    if row is None or clean is None:
        spans = span_curves(study.file.wing, clean=curves)
    else:
        spans = span_curves(
            study.file.wing,
            clean=_curves(clean.sections, "the clean wing"),
            vanes=curves,
            row_from=row.row.span_from or 0.0,
            row_to=row.row.span_to or study.file.wing.semi_span,
        )
    angles = np.radians(WING_ANGLES_DEG)
    lift = wing_lift(study.file.wing, curve_at=spans, angles=angles, smoothing=SMOOTHING)
    return _Wing(lift=lift, sections=found)


def _curves(found: Sequence[Mapping[str, Any]], name: str) -> list[SectionCurve]:
    # one curve for stations with the same result, so that nothing is blended between like ends
    made: dict[int, SectionCurve] = {}
    for result in found:
        if id(result) not in made:
            made[id(result)] = section_curve(result, name=name)
    return [made[id(result)] for result in found]


def _pictures(
    study: Study, answers: Answers, store: RunStore, workers: int, on_progress: Told | None
) -> tuple[PicturedPair, ...]:
    """Compute the flow at a few wing angles, clean and with the best row."""
    best = None if answers.choice is None else answers.choice.best
    if best is None or best.lift is None:
        return ()
    station = study.file.wing.neighbors(answers.middle_of(best.row))[0]
    pairs = []
    for wing_angle in answers.angles_to_draw(study):
        section_angle = answers.section_angle(wing_angle, best.row)
        if section_angle is None:
            continue
        degrees = round(math.degrees(section_angle), 2)
        clean = FieldCase(case=study.clean(station), alpha_deg=degrees)
        vanes = FieldCase(case=study.vanes(station, best.row), alpha_deg=degrees)
        pairs.append((wing_angle, degrees, clean, vanes))

    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress("flow pictures", done, total)

    cases = [case for _, _, clean, vanes in pairs for case in (clean, vanes)]
    fields = pool.run(cases, store, workers=workers, on_done=tell)
    return tuple(
        PicturedPair(
            wing_angle=wing_angle,
            section_angle_deg=degrees,
            clean=fields[clean.key],
            vanes=fields[vanes.key],
            clean_file=f"{clean.key}{clean.suffix}",
            vanes_file=f"{vanes.key}{vanes.suffix}",
        )
        for wing_angle, degrees, clean, vanes in pairs
    )
