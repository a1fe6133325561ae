"""Cuffs on the nose, compared: only where wing.toml asks for them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from slowflight.errors import InputError, SlowflightError
from slowflight.verbs.in_the_air_setting import AtSetting
from slowflight.verbs.in_the_air_small import change_entry, doubtful
from slowflight.verbs.prediction_cases import Study
from slowflight.verbs.prediction_settings import Crew
from slowflight.verbs.prediction_wing import Results, clean_cases, clean_wing
from slowflight.wing.cuff import cuffed
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.in_the_air import Cuff
from slowflight.wing.own_airfoil_flap_file import OWN_AIRFOIL
from slowflight.wing.planform import Wing

HOW = (
    "predicted; rests on no measured case (0): nothing to twice that. Over the whole span, no row on it; a"
    " cuff changes where and how suddenly the wing stalls, which is not predicted; it changes the airframe"
)
NO_NOSE = (
    "a drooped nose or cuff: give its sizes as cuffs in [in_the_air] to compare it here, over the whole span;"
    " over part of it, it is not predicted"
)


@dataclass(frozen=True)
class _Cuffed:
    """The wing with a cuff at one flap setting."""

    name: str
    at: AtSetting
    study: Study


def cuff_changes(made: Mapping[float, AtSetting], crew: Crew) -> tuple[list[dict[str, Any]], list[str]]:
    """Return what cuffs change, as plain data, and what cannot be compared.

    Parameters
    ----------
    made : mapping of float to AtSetting
        By flap setting [rad].
    crew : Crew
        Whose store has the section results; sections with a cuff are computed, and resume like all others.
    """
    refused: list[str] = []
    wings = list(_wings(made, refused))
    cases = [case for wing in wings for case in clean_cases(wing.study)]
    results: Results = crew.run(cases, "cuffs on the nose") if cases else {}
    found = []
    for wing in wings:
        change = _change(wing, results)
        if change is None:
            refused.append(f"{wing.name}, flap {math.degrees(wing.at.setting):.0f} deg: no answer")
        else:
            found.append(change)
    return found, refused


def _wings(made: Mapping[float, AtSetting], refused: list[str]) -> Iterator[_Cuffed]:
    for at in made.values():
        for cuff in at.said.cuffs:
            name = (
                f"cuff back to {100 * cuff.back_to:.0f} % of chord, nose {100 * cuff.droop:.1f} % down and"
                f" {100 * cuff.extension:.1f} % forward"
            )
            try:
                study = _with_cuff(at.study, cuff)
            except InputError as problem:
                refused.append(f"{name}: {problem.found}: not compared")
                continue
            yield _Cuffed(name, at, study)


def _with_cuff(study: Study, cuff: Cuff) -> Study:
    """The same wing with a cuff on all sections; the flap stays where it is, measured by the new chord."""
    file = study.file
    made = [
        cuffed(s.section, back_to=cuff.back_to, droop=cuff.droop, extension=cuff.extension)
        for s in file.wing.stations
    ]
    stations = tuple(
        replace(s, section=m.section, chord=s.chord * m.chord, washout=s.washout + m.nose_down)
        for s, m in zip(file.wing.stations, made, strict=True)
    )
    root = made[0]
    wing: Wing = replace(file.wing, stations=stations)
    flap, setting = file.flap, study.setting
    if flap is not None:
        flap = _measured_by(flap, root.chord)
        if setting is not None and flap.kind in OWN_AIRFOIL:
            setting += root.nose_down  # its angle is that to the chord line ahead, which the cuff turns
    return replace(study, file=replace(file, wing=wing, flap=flap), setting=setting)


def _measured_by(flap: FlapPlan, chord: float) -> FlapPlan:
    def shorter(share: float | None) -> float | None:
        return None if share is None else share / chord

    return replace(
        flap,
        chord=flap.chord / chord,
        axis_aft=shorter(flap.axis_aft),
        axis_below=shorter(flap.axis_below),
    )


def _change(wing: _Cuffed, results: Results) -> dict[str, Any] | None:
    at = wing.at
    bare = dict(at.wings()).get("clean")
    try:
        cl_max = clean_wing(wing.study, results, name=wing.name).lift.cl_max_continued
    except SlowflightError:
        return None
    if cl_max is None or bare is None:
        return None
    # coefficients are on each wing's own area, and the cuff adds to it
    more = cl_max * wing.study.file.wing.area / (bare.cl_max * at.study.file.wing.area)
    kt = float(at.record["stall_speed_clean"]["kt"] * (1.0 / math.sqrt(more) - 1.0))
    return change_entry(wing.name, at, {"clean": doubtful(kt)}, kind="cuff", how=HOW)
