"""Whether a row of vanes would let this wing fly slower, where it has to stand, and how sure that is."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from slowflight.air import equivalent_airspeed
from slowflight.compare.choice import Choice, choose
from slowflight.compare.row_answer import RowAnswer, row_answer
from slowflight.errors import InputError, SlowflightError, Unconverged
from slowflight.flow.lifting_line import WingLift
from slowflight.project import Project, open_project
from slowflight.study import pool
from slowflight.study.field_case import FieldCase
from slowflight.study.store import RunStore
from slowflight.verbs.prediction_answers import Answers, Inputs, PicturedPair
from slowflight.verbs.prediction_cases import RowToTry, Study, study_of
from slowflight.verbs.prediction_inputs import effects, variant_cases, variants
from slowflight.verbs.prediction_record import prediction_record
from slowflight.verbs.prediction_rivals import rival_cases, rivals
from slowflight.verbs.prediction_wing import (
    Results,
    WingAnswer,
    clean_cases,
    clean_wing,
    row_cases,
    wing_with_row,
)
from slowflight.wing.wing_file import read_wing_file

PREDICTION = "prediction.json"
TIERS_TO_COME = ("rans", "slab")
Told = Callable[[str, int, int], None]


def predict(
    folder: str | Path, *, tier: str = "integral", workers: int | str = 1, on_progress: Told | None = None
) -> dict[str, Any]:
    """Predict the clean wing and every row of the question, and judge.

    Parameters
    ----------
    folder : str or Path
        A project folder with its wing.toml.
    tier : str, optional
        ``"integral"``; the others are not there yet.
    workers : int or str, optional
        Processes to compute with, or whose workers compute: ``"cluster"`` or a scheduler's address.
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
    inputs = _inputs(study, answers, store, workers, on_progress)
    pictures = _pictures(study, answers, store, workers, on_progress)
    record = prediction_record(study, answers, pictures, inputs, tier=tier)
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
    study: Study, store: RunStore, workers: int | str, on_progress: Told | None
) -> dict[str, dict[str, Any]]:
    cases = [*clean_cases(study), *clean_cases(study.rough())]
    for tried in study.rows:
        cases += row_cases(study, tried.row)
    return pool.run(cases, store, workers=workers, on_done=_telling("lift curves", on_progress))


def _telling(what: str, on_progress: Told | None) -> Callable[[int, int], None]:
    def tell(done: int, total: int) -> None:
        if on_progress is not None:
            on_progress(what, done, total)

    return tell


def _answers(study: Study, results: Results) -> Answers:
    clean = clean_wing(study, results, name="the clean wing")
    try:
        rough: WingLift | None = clean_wing(study.rough(), results, name="the rough wing").lift
    except Unconverged:
        rough = None
    tried = [_row_answer(study, results, row, clean) for row in study.rows]
    return Answers(
        clean=clean.lift,
        clean_sections=clean.sections,
        rough=rough,
        rows=tuple(tried),
        row_sections={
            number: tuple(results[case.key] for case in row_cases(study, row.row))
            for number, row in enumerate(study.rows)
        },
        choice=_choice(study, clean.lift, tried),
    )


def _choice(study: Study, clean: WingLift, tried: Sequence[RowAnswer]) -> Choice | None:
    if clean.cl_max_continued is None:
        return None
    return choose(tried, cruise_price=study.file.question.cruise_price)


def _row_answer(study: Study, results: Results, tried: RowToTry, clean: WingAnswer) -> RowAnswer:
    name = f"{tried.candidate.name} at {100 * tried.row.station:.0f} %"
    try:
        wing = wing_with_row(study, results, row=tried.row, clean=clean, name=name)
    except SlowflightError as problem:
        return RowAnswer(
            candidate=tried.candidate.name, row=tried.row, lift=None, cl_max=None, stall_angle=None,
            stall_speed=None, fall=None, drag_counts=None, cruise_loss=None, problem=str(problem),
        )  # fmt: skip
    return row_answer(
        candidate=tried.candidate.name, row=tried.row, lift=wing.lift, clean=clean.lift, flight=study.flight
    )


def _inputs(
    study: Study, answers: Answers, store: RunStore, workers: int | str, on_progress: Told | None
) -> Inputs | None:
    """Move every input that is not exact to the ends of its range, on the clean wing and the best row."""
    cl_max = answers.clean.cl_max_continued
    if cl_max is None:
        return None
    best = None if answers.choice is None else answers.choice.best
    row = None if best is None else best.row
    found = variants(study, row)
    cases = variant_cases(study, found, row) + rival_cases(study, row)
    results = pool.run(
        cases, store, workers=workers, on_done=_telling("what is not known exactly", on_progress)
    )
    results |= {
        case.key: dict(section)
        for case, section in zip(clean_cases(study), answers.clean_sections, strict=True)
    }
    speed = equivalent_airspeed(true=study.flight.speed(cl_max), density=study.flight.density)
    moved, missing = effects(study, found, results, clean_speed=speed, best=best)
    return Inputs(
        effects=moved,
        missing=missing,
        rivals=rivals(study, results, clean=answers.clean, row=row),
    )


def _pictures(
    study: Study, answers: Answers, store: RunStore, workers: int | str, on_progress: Told | None
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

    cases = [case for _, _, clean, vanes in pairs for case in (clean, vanes)]
    fields = pool.run(cases, store, workers=workers, on_done=_telling("flow pictures", on_progress))
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
