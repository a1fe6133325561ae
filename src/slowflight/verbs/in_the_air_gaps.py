"""Other settings of a hung or slotted flap's slot, compared: only where wing.toml asks for them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from slowflight.errors import InputError, SlowflightError
from slowflight.verbs.in_the_air_setting import AtSetting
from slowflight.verbs.in_the_air_small import change_entry, doubtful
from slowflight.verbs.prediction_cases import Study, flap_words
from slowflight.verbs.prediction_settings import Crew
from slowflight.verbs.prediction_wing import Results, clean_cases, clean_wing, row_cases, wing_with_row
from slowflight.wing.elements import Elements, planned
from slowflight.wing.flap_plan import FlapPlan

NEVER_SEALED = (
    "the slot feeds the flap: it is set, never sealed. Whatever is set, turn the flap by hand through every"
    " droop with full stick both ways: air all round it everywhere, brackets and stops as sound as before"
)
NO_GAP = (
    "gap of a flaperon: with a hung or slotted flap the slot feeds the flap, so it is set, never sealed. Give"
    " other places of the axis as other_axes in [flap], a few millimeters from the present one, to compare"
    " them here. Only gaps between fixed parts may be sealed; what that gains is not predicted"
)


@dataclass(frozen=True)
class _Slot:
    """One other place of the axis at one flap setting."""

    name: str
    at: AtSetting
    study: Study


def gap_changes(made: Mapping[float, AtSetting], crew: Crew) -> tuple[list[dict[str, Any]], list[str]]:
    """Return what other settings of the slot change, as plain data, and what cannot be set.

    Parameters
    ----------
    made : mapping of float to AtSetting
        By flap setting [rad].
    crew : Crew
        Whose store has the section results; sections with another slot are computed, and resume like all
        others.
    """
    refused: list[str] = []
    slots = list(_slots(made, refused))
    cases = [case for slot in slots for case in clean_cases(slot.study)]
    for slot in slots:
        if slot.at.row is not None:
            cases += row_cases(slot.study, slot.at.row.row)
    results: Results = crew.run(cases, "other settings of the slot") if cases else {}
    found = [_change(slot, results) for slot in slots]
    refused += [
        f"{slot.name}, flap {math.degrees(slot.at.setting):.0f} deg: no answer"
        for slot, change in zip(slots, found, strict=True)
        if change is None
    ]
    return [change for change in found if change is not None], refused


def _slots(made: Mapping[float, AtSetting], refused: list[str]) -> Iterator[_Slot]:
    with_flap = [at for at in made.values() if at.study.setting is not None]
    plan = with_flap[0].study.file.flap if with_flap else None
    for aft, below in () if plan is None else plan.other_axes:
        assert plan is not None
        other = replace(plan, axis_aft=aft, axis_below=below)
        place = f"flap's axis {100 * aft:.1f} % aft and {100 * below:.1f} % below"
        touches = _touches(with_flap, other)
        if touches:
            refused.append(f"{place}: {touches}: no setting to fly, not compared")
            continue
        for at in with_flap:
            own, slot = _elements(at, plan, at.setting), _elements(at, other, at.setting)
            name = (
                f"{place}: slot of {_share(slot.gap)} instead of {_share(own.gap)} of the chord, overlap"
                f" {_share(slot.overlap)} instead of {_share(own.overlap)}"
            )
            yield _Slot(name, at, replace(at.study, file=replace(at.study.file, flap=other)))


def _touches(with_flap: Sequence[AtSetting], plan: FlapPlan) -> str:
    """Where a flap so hung would touch the wing, at any droop with the stick to either side; else empty."""
    for at in with_flap:
        for more in (0.0, at.said.roll_down or 0.0, -(at.said.roll_up or 0.0)):
            try:
                _elements(at, plan, at.setting + more)
            except InputError as problem:
                return f"{problem.found}, turned to {flap_words(at.setting + more)}"
    return ""


def _elements(at: AtSetting, plan: FlapPlan, angle: float) -> Elements:
    assert at.study.own_flap is not None
    return planned(at.study.file.wing.stations[0].section, at.study.own_flap, plan=plan, angle=angle)


def _share(value: float | None) -> str:
    return f"{100 * (value or 0.0):.1f} %"


def _change(slot: _Slot, results: Results) -> dict[str, Any] | None:
    at = slot.at
    kt: dict[str, tuple[float, float, float] | None] = {}
    try:
        clean = clean_wing(slot.study, results, name=slot.name).lift
        kt["clean"] = doubtful(_moved(at, "clean", clean.cl_max_continued))
        if at.row is not None and at.vanes is not None:
            vanes = wing_with_row(slot.study, results, row=at.row.row, clean=clean, name=slot.name).lift
            kt["vanes"] = doubtful(_moved(at, "vanes", vanes.cl_max_continued))
    except SlowflightError:
        if "clean" not in kt:
            return None
    how = f"predicted; rests on no measured case (0): nothing to twice that; {NEVER_SEALED}"
    return change_entry(slot.name, at, kt, kind="gap", how=how)


def _moved(at: AtSetting, name: str, cl_max: float | None) -> float | None:
    curve = dict(at.wings()).get(name)
    if cl_max is None or curve is None:
        return None
    return float(at.record[f"stall_speed_{name}"]["kt"] * (math.sqrt(curve.cl_max / cl_max) - 1.0))
