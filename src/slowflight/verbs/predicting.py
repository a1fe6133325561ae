"""Whether a row of vanes would let this wing fly slower, where it has to stand, and how sure that is."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slowflight.air import equivalent_airspeed
from slowflight.errors import InputError
from slowflight.project import Project, open_project
from slowflight.study.field_case import FieldCase
from slowflight.study.help_case import HelpCase
from slowflight.study.store import RunStore
from slowflight.verbs.prediction_answers import Answers, Inputs, PicturedPair
from slowflight.verbs.prediction_cases import flap_words, study_of
from slowflight.verbs.prediction_in_the_air import add_in_the_air
from slowflight.verbs.prediction_inputs import effects, variant_cases, variants
from slowflight.verbs.prediction_record import prediction_record
from slowflight.verbs.prediction_rivals import rival_cases, rivals
from slowflight.verbs.prediction_settings import Crew, Settings, Told, predicted_settings
from slowflight.verbs.prediction_wing import clean_cases
from slowflight.verbs.saved_record import saved_record
from slowflight.verbs.staleness import made_from
from slowflight.wing.wing_file import read_wing_file

PREDICTION = "prediction.json"
TIERS_TO_COME = ("rans", "slab")


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
    crew = Crew(store=store, workers=workers, told=on_progress)
    found = predicted_settings(study, crew)
    inputs = _inputs(found.decided, crew)
    pictures = [pair for answers in found.answered for pair in _pictures(answers, found, crew)]
    strips, unanswered = _strips(found, crew)
    record = {
        **prediction_record(study, found, pictures, inputs, tier=tier),
        "help_strips": strips,
        "made_from": made_from(project),
    }
    add_in_the_air(record, found, crew)
    missing = len(pictures) - len(record["pictures"])
    if missing:
        unanswered.append(f"{missing} of {len(pictures)} pairs of flow pictures have no answer: left out")
    record["warnings"] += unanswered
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
    return saved_record(project, PREDICTION, what="a prediction", fix="run 'slowflight predict' again")


def picture_files(project: Project, prediction: Mapping[str, Any]) -> dict[str, Path]:
    """Return the files of velocities that a prediction's pictures name, those that are there."""
    names = [pair[side]["field"] for pair in prediction["pictures"] for side in ("clean", "vanes")]
    return {name: project.runs / name for name in names if (project.runs / name).is_file()}


def _inputs(decided: Answers, crew: Crew) -> Inputs | None:
    """Move every input that is not exact to the ends of its range, on the clean wing and the best row."""
    study = decided.study
    cl_max = decided.clean.cl_max_continued
    if cl_max is None:
        return None
    best = decided.best
    row = None if best is None else best.row
    moved = variants(study, row)
    cases = [*clean_cases(study), *variant_cases(study, moved, row), *rival_cases(study, row)]
    results = crew.run(cases, "what is not known exactly")
    speed = equivalent_airspeed(true=study.flight.speed(cl_max), density=study.flight.density)
    found, missing = effects(study, moved, results, clean_speed=speed, best=best)
    return Inputs(
        effects=found,
        missing=missing,
        rivals=rivals(study, results, clean=decided.clean, row=row),
    )


def _strips(found: Settings, crew: Crew) -> tuple[list[dict[str, Any]], list[str]]:
    """Where mixing would help the clean section, at its maximum lift, where that decides and flap fully down.

    The section is that in the middle of the row that was chosen, or without one of the half-span. Beside the
    strips, what is said of those without an answer.
    """
    cases = []
    farthest = max(found.answered, key=found.setting_of)
    for answers in (found.decided,) if farthest is found.decided else (found.decided, farthest):
        study, best = answers.study, found.decided.best
        wing = study.file.wing
        y = 0.5 * wing.semi_span if best is None else answers.middle_of(best.row)
        words = flap_words(found.setting_of(answers))
        cases.append(HelpCase(case=study.clean(wing.neighbors(y)[0]), setting=f"flap {words}"))
    results = crew.run(cases, "where mixing would help")
    strips = [results[case.key] for case in cases if "problem" not in results[case.key]]
    return strips, [
        f"where mixing would help, {case.setting}: no answer ({results[case.key]['problem']})"
        for case in cases
        if "problem" in results[case.key]
    ]


def _pictures(answers: Answers, found: Settings, crew: Crew) -> tuple[PicturedPair, ...]:
    """Compute the flow at a few wing angles, clean and with a row.

    At the setting that decides these are the stall, what lies past it and the angle on three wheels; at the
    others the stall alone, with the row that was chosen.
    """
    study, deciding = answers.study, answers is found.decided
    best = found.decided.best if found.decided.best is not None else answers.best
    if best is None:
        return ()
    row = best.row
    station = study.file.wing.neighbors(answers.middle_of(row))[0]
    pairs = []
    for wing_angle in answers.angles_to_draw() if deciding else answers.stall_to_draw():
        section_angle = answers.section_angle(wing_angle, row)
        if section_angle is None:
            continue
        degrees = round(math.degrees(section_angle), 2)
        clean = FieldCase(case=study.clean(station), alpha_deg=degrees)
        vanes = FieldCase(case=study.vanes(station, row), alpha_deg=degrees)
        pairs.append((wing_angle, degrees, clean, vanes))

    fields = crew.run([case for _, _, *both in pairs for case in both], "flow pictures")
    return tuple(
        PicturedPair(
            flap_deg=math.degrees(found.setting_of(answers)),
            row=row,
            wing_angle=wing_angle,
            section_angle_deg=degrees,
            clean=fields[clean.key],
            vanes=fields[vanes.key],
            clean_file=f"{clean.key}{clean.suffix}",
            vanes_file=f"{vanes.key}{vanes.suffix}",
        )
        for wing_angle, degrees, clean, vanes in pairs
    )
