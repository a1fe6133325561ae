"""Rows of vanes in a prediction: where they stand in the layer, and what they do over place and angle."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from slowflight import units
from slowflight.compare import bands
from slowflight.compare.row_answer import RowAnswer
from slowflight.uncertainty import Banded
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.prediction_answers import Answers, at_section_angle, layer_ahead
from slowflight.verbs.prediction_cases import WING_ANGLES_DEG
from slowflight.wing.skin import skin_station


def sections_of(answers: Answers, answer: RowAnswer) -> tuple[Mapping[str, Any], ...]:
    """Section results of a row, root first."""
    return answers.row_sections[answers.rows.index(answer)]


def row_places(answers: Answers, answer: RowAnswer) -> dict[str, Any]:
    """Where the row and the separation lie along the skin, at the clean wing's stall."""
    nothing = dict.fromkeys(("layer_mm", "separation_mm", "skin_to_separation_mm"))
    stall, row = answers.clean.angle_continued, answer.row
    if stall is None:
        return {**nothing, "reason": ""}
    angle = answers.section_angle(stall, row)
    wing = answers.study.file.wing
    inner = wing.neighbors(answers.middle_of(row))[0]
    index = wing.stations.index(inner)
    if angle is None:
        return {**nothing, "reason": ""}
    degrees = math.degrees(angle)
    chord = inner.chord
    layer = layer_ahead(sections_of(answers, answer)[index], degrees) if answer.lift is not None else None
    let_go = at_section_angle(answers.clean_sections[index], degrees, "separation_upper")
    if layer is None or let_go is None:
        return {**nothing, "reason": ""}
    here = skin_station(inner.section, station=row.station, surface=row.surface, chord_m=chord)
    words = f"layer here {1e3 * layer * chord:.0f} mm, your vane {1e3 * row.height:.1f} mm"
    if row.surface != "upper":
        # where the upper side lets go says nothing of a row below
        return {**nothing, "layer_mm": 1e3 * layer * chord, "reason": words}
    if let_go >= 0.99:
        return {
            "layer_mm": 1e3 * layer * chord,
            "separation_mm": None,
            "skin_to_separation_mm": None,
            "reason": f"{words}; at the clean wing's stall the air is still on up to the trailing edge",
        }
    there = skin_station(inner.section, station=let_go, surface=row.surface, chord_m=chord)
    assert here.skin_distance_m is not None
    assert there.skin_distance_m is not None
    ahead = there.skin_distance_m - here.skin_distance_m
    where = f"row {1e3 * ahead:.0f} mm ahead of that" if ahead > 0 else "the row stands behind that"
    return {
        "layer_mm": 1e3 * layer * chord,
        "separation_mm": 1e3 * there.skin_distance_m,
        "skin_to_separation_mm": 1e3 * ahead,
        "reason": f"{words}; at the clean wing's stall the air lets go at"
        f" {1e3 * there.skin_distance_m:.0f} mm along the skin; {where}",
    }


def gain_tables(answers: Answers, *, fall: Callable[[RowAnswer], Banded | None]) -> list[dict[str, Any]]:
    """Change of the wing's lift coefficient over place and angle, for each vane and height."""
    tables: dict[tuple[str, float], list[RowAnswer]] = {}
    for tried, answer in zip(answers.tried, answers.rows, strict=True):
        if not tried.as_written:
            tables.setdefault((answer.candidate, answer.row.height), []).append(answer)
    angles = [a for a in WING_ANGLES_DEG if float(a).is_integer()]
    clean = answers.clean
    written = []
    for (candidate, height), found in tables.items():
        gain = []
        for answer in found:
            line: list[float | None] = []
            for degrees in angles:
                angle = math.radians(degrees)
                pair = [None if w is None else numbers.lift_near(w, angle) for w in (answer.lift, clean)]
                both = pair[0] is not None and pair[1] is not None
                line.append(pair[0] - pair[1] if both else None)  # type: ignore[operator]
            gain.append(line)
        falls = [fall(answer) for answer in found]
        written.append(
            {
                "candidate": candidate,
                "height_mm": 1e3 * height,
                "stations": [answer.row.station for answer in found],
                "angles_deg": angles,
                "gain": gain,
                "fall_kt": [None if f is None else units.express(f.value, "kt") for f in falls],
                "cruise_loss_kt": [
                    None if a.cruise_loss is None else units.express(a.cruise_loss, "kt") for a in found
                ],
                "answered": [answer.answered for answer in found],
                "problems": [answer.problem for answer in found],
            }
        )
    return written


def gain_map(
    table: Mapping[str, Any], *, setting: str, clean: Mapping[str, Any], marks: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    """One flap setting of the gain map: a gain table with the half-band of each cell.

    Parameters
    ----------
    table : mapping
        Of `gain_tables`.
    setting : str
        In words.
    clean : mapping
        The clean wing's curve as the record has it.
    marks : sequence of mapping
        The owner's attitudes at this setting.

    Returns
    -------
    dict
        The band of a cell is that of every effect of vanes (`bands.uncalibrated`): as large as the effect,
        and 5 % of the clean wing's lift at that angle at least.
    """
    lift = dict(zip(clean["wing_angles_deg"], clean["cl"], strict=True))
    least = [bands.LEAST_OF_LIFT * abs(lift.get(angle) or 0.0) for angle in table["angles_deg"]]
    return {
        "setting": setting,
        "candidate": table["candidate"],
        "height_mm": table["height_mm"],
        "stations": table["stations"],
        "angles_deg": table["angles_deg"],
        "gain": table["gain"],
        "band": [
            [None if g is None else max(abs(g), floor) for g, floor in zip(line, least, strict=True)]
            for line in table["gain"]
        ],
        "answered": [[g is not None for g in line] for line in table["gain"]],
        "marks": [{"name": mark["name"], "angle_deg": mark["wing_angle_deg"]} for mark in marks],
    }
