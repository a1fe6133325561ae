"""The saved records as the page reads them: every optional part that is missing is there as None or empty.

A template that meets a key it does not know stops with an error, so a misspelled name cannot print as a
blank; this file is the one place that says what may be missing.
"""

from __future__ import annotations

import copy
from collections.abc import Iterator, Mapping
from typing import Any

from slowflight.errors import InputError

Record = dict[str, Any]

_PREDICTION: Mapping[str, Any] = {
    "version": None,
    "predicted_on": None,
    "tier": None,
    "calibrated": False,
    "decided_at_deg": None,
    "conditions": None,
    "assumptions": [],
    "claim": None,
    "attitude": None,
    "settings": [],
    "measure_next": [],
    "rivals": [],
    "marks": [],
    "pictures": [],
    "gain_map": [],
    "in_the_air": None,
    "help_strips": [],
    "cautions": [],
    "warnings": [],
    "sources": [],
}
_CONDITIONS = (
    "mass_kg",
    "density_altitude_m",
    "density_kg_m3",
    "wing_area_m2",
    "span_m",
    "aspect_ratio",
    "mean_chord_m",
    "reference",
)
_CLAIM = ("speed", "flap_deg", "implied_cl", "predicted_cl_max", "finding", "sentence")
_SETTING = (
    "sentence",
    "stall_speed_clean",
    "stall_speed_vanes",
    "binding_limit",
    "attitude",
    "clean",
    "vanes",
    "row",
    "two_rows",
    "best",
    "in_the_air",
)
_ROW = (
    "candidate",
    "station",
    "height_mm",
    "length_mm",
    "pitch_mm",
    "gap_mm",
    "incidence_deg",
    "arrangement",
    "opening",
    "shape",
    "span_from_m",
    "span_to_m",
    "cl_max",
    "stall_angle_deg",
    "stall_speed",
    "fall",
    "cruise_loss",
    "cruise_drag_counts",
    "layer_mm",
    "skin_to_separation_mm",
    "separation_mm",
    "reason",
)
_VANE = ("side", "number", "span_position_mm", "hand", "chord_distance_mm", "skin_distance_mm", "toe_deg")
_LAYOUT = ("candidate", "row", "reference", "counts", "mass_fitted_kg")
_LAID_ROW = ("station", "surface", "height_mm", "span_from_mm", "span_to_mm")
_PICTURE = (
    "flap_deg",
    "section_angle_deg",
    "wing_angle_deg",
    "speed_kt",
    "speed_vanes_kt",
    "clean",
    "vanes",
    "lift_change_percent",
    "drag_change_counts",
)
_FLOW = ("field", "cl", "cd", "separation", "station", "height_mm")
FINDINGS = ("worth a trial", "not worth it", "cannot tell")


def read_prediction(given: Mapping[str, Any]) -> Record:
    """Return a copy of a prediction record in which every optional part is present.

    Parameters
    ----------
    given : mapping
        The record as saved; it is left as it is.

    Returns
    -------
    dict
        With None, or an empty list, for what the record does not have.

    Raises
    ------
    InputError
        Where it is no prediction record, or has no aircraft or no verdict.
    """
    if given.get("kind") != "prediction":
        raise InputError(
            where="prediction record",
            found=f"kind {given.get('kind')!r}",
            needed="kind 'prediction'",
            fix="run: slowflight predict",
        )
    record = _completed(copy.deepcopy(dict(given)), _PREDICTION)
    verdict = record.get("verdict")
    if not isinstance(verdict, dict) or verdict.get("finding") not in FINDINGS:
        found = verdict.get("finding") if isinstance(verdict, dict) else verdict
        raise InputError(
            where="prediction record: verdict",
            found=repr(found),
            needed=f"one of {', '.join(FINDINGS)}",
            fix="run: slowflight predict",
        )
    if not record.get("aircraft"):
        raise InputError(where="prediction record: aircraft", found="nothing", needed="the aircraft's name")
    record["verdict"] = _completed(verdict, {"reasons": [], "would_settle": []})
    if record["conditions"] is not None:
        record["conditions"] = _named(record["conditions"], _CONDITIONS)
    if record["claim"] is not None:
        record["claim"] = _completed(_named(record["claim"], _CLAIM), {"explanations": []})
    record["settings"] = [_setting(setting) for setting in record["settings"]]
    record["pictures"] = [_picture(picture) for picture in record["pictures"]]
    return record


def read_layout(given: Mapping[str, Any] | None) -> Record | None:
    """Return a copy of a layout record in which every optional part is present; None where there is none."""
    if given is None:
        return None
    record = _completed(_named(copy.deepcopy(dict(given)), _LAYOUT), {"vanes": [], "files": []})
    record["vanes"] = [_named(vane, _VANE) for vane in record["vanes"]]
    if record["row"] is not None:
        record["row"] = _named(record["row"], _LAID_ROW)
    return record


def of_same_wing(prediction: Mapping[str, Any], opinion: Mapping[str, Any] | None) -> bool:
    """Tell whether there is a second opinion, about the wing.toml that the prediction is about."""
    if opinion is None:
        return False
    one, other = ((record.get("made_from") or {}).get("wing") for record in (prediction, opinion))
    return bool(one == other)


def gathered(*records: Mapping[str, Any] | None, name: str) -> tuple[str, ...]:
    """Return every text listed under a name anywhere in the records, each once, in the order met.

    Parameters
    ----------
    *records : mapping or None
        Records of any depth.
    name : str
        Such as ``"warnings"``.

    Returns
    -------
    tuple of str
    """
    return tuple(dict.fromkeys(text for record in records for text in _texts(record, name)))


def _texts(part: object, name: str) -> Iterator[str]:
    if isinstance(part, Mapping):
        # What is said about the whole comes before what is said about a part of it.
        own = part.get(name)
        yield from (text for text in own or () if isinstance(text, str))
        for key, value in part.items():
            if key != name:
                yield from _texts(value, name)
    elif isinstance(part, list | tuple):
        for value in part:
            yield from _texts(value, name)


def _setting(given: Record) -> Record:
    setting = _completed(
        _named(given, _SETTING),
        {"ties": [], "gain_tables": [], "marks": [], "predicted": False, "as_written": [], "trend": False},
    )
    if setting["best"] is not None:
        setting["best"] = _named(setting["best"], _ROW)
    # A record with one setting may name the best row alone.
    setting["row"] = setting["best"] if setting["row"] is None else _named(setting["row"], _ROW)
    setting["ties"] = [_named(row, _ROW) for row in setting["ties"]]
    setting["as_written"] = [{"warnings": [], **_named(row, _ROW)} for row in setting["as_written"]]
    return setting


def _picture(given: Record) -> Record:
    picture = _named(given, _PICTURE)
    for side in ("clean", "vanes"):
        picture[side] = _named(picture[side] or {}, _FLOW)
    return picture


def _named(given: Mapping[str, Any], names: tuple[str, ...]) -> Record:
    return _completed(given, dict.fromkeys(names))


def _completed(given: Mapping[str, Any], blanks: Mapping[str, Any]) -> Record:
    record = {name: copy.copy(blank) for name, blank in blanks.items()}
    # A null in the file means the same as a missing key.
    return record | {name: value for name, value in given.items() if value is not None or name not in blanks}
