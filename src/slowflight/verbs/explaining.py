"""Someone's test of vanes, with one's own wing: what should have been seen, and could it be seen."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from slowflight import units
from slowflight.compare.bands import GAIN_WHY, LEAST_OF_SPEED, uncalibrated
from slowflight.compare.reported_test import KNOT, READINGS, explain, resolution
from slowflight.errors import InputError, RangeError
from slowflight.flights.statistics.power import error_of_difference
from slowflight.flights.statistics.scatter import WORSE_ASSUMED
from slowflight.project import open_project
from slowflight.uncertainty import Banded
from slowflight.verbs.predicting import PREDICTION, saved_prediction
from slowflight.verbs.staleness import why_old
from slowflight.wing.tomlfile import Table, read_toml, refuse_unknown

ATTITUDES = ("stall", "approach", "three-point")
MARKS = {"approach": "approach, 1.3 times the clean stall speed", "three-point": "three-point"}
# How far a vane or its place may be from the nearest one tried to be taken for it (own choice).
OTHER_HEIGHT, OTHER_STATION = 1.5, 0.02
LEAST_LIFT = 0.1  # wing lift coefficient below which no speed is meant


def explain_test(folder: str | Path, claim: str | Path) -> dict[str, Any]:
    """Explain a reported test with the project's last prediction.

    Parameters
    ----------
    folder : str or Path
        A project folder with a prediction.
    claim : str or Path
        TOML file with ``[test]``: ``station``, ``height``, ``flap``, ``attitude`` (stall, approach,
        three-point), ``read_by`` (indicator, GPS one way, GPS both ways, GPS legs, calibrated), ``fall`` (the
        speed claimed, such as "4 kt"), ``flights`` and ``stalls`` (on each side), ``weighed``.

    Returns
    -------
    dict
        Plain data: ``expected``, ``resolution_kt``, ``could_see``, ``finding``, ``sentences``.

    Raises
    ------
    InputError
        Where the file cannot be used or nothing is predicted yet.
    """
    project = open_project(folder)
    prediction = saved_prediction(project)
    if prediction is None:
        raise InputError(
            where=str(project.folder), found="no prediction", needed="one to explain with",
            fix="run 'slowflight predict' first",
        )  # fmt: skip
    test = _read(Path(claim))
    setting = min(prediction["settings"], key=lambda s: abs(s["flap_deg"] - math.degrees(test["flap"])))
    expected, why = None, "this flap setting is not predicted"
    if _is_setting(setting, test):
        expected, why = _expected(prediction, setting, test)
    stall = next((s["stall_speed_clean"]["m_s"] for s in prediction["settings"] if s["predicted"]), 20.0)
    scatter = error_of_difference(
        flights=test["flights"],
        stalls=test["stalls"],
        between=WORSE_ASSUMED.between,
        within=WORSE_ASSUMED.within,
    )
    found = explain(
        expected=expected,
        claimed=test["fall"],
        reading=test["read_by"],
        resolution=resolution(
            reading=test["read_by"], scatter_error=scatter, weighed=test["weighed"],
            mass=prediction["conditions"]["mass_kg"], speed=stall,
        ),
    )  # fmt: skip
    old = why_old(project, prediction, file=project.runs / PREDICTION, what="prediction")
    sentences = [*old, *found.sentences, why]
    if test["flights"] == 1:
        sentences.append(
            "one flight a side: what differs from flight to flight cannot be told from what vanes do"
        )
    return {
        "kind": "explained test",
        "aircraft": prediction["aircraft"],
        "expected": None
        if found.expected is None
        else {
            "kt": units.express(found.expected.value, "kt"),
            "low_kt": units.express(found.expected.low, "kt"),
            "high_kt": units.express(found.expected.high, "kt"),
        },
        "resolution_kt": units.express(found.resolution, "kt"),
        "could_see": found.could_see,
        "finding": found.finding,
        "sentences": sentences,
        "rivals": prediction["rivals"],
        "cautions": prediction["cautions"][:1],
    }


def _read(path: Path) -> dict[str, Any]:
    content = read_toml(path)
    refuse_unknown(content, known=("test",), where=str(path))
    if "test" not in content:
        raise InputError(where=str(path), found="no [test]", needed="that table", fix="add a line [test]")
    table = Table(content["test"], where=f"{path}: test")
    test = {
        "station": table.fraction("station"),
        "height": _height(table),
        "flap": table.angle("flap"),
        "attitude": table.choice("attitude", ATTITUDES, default="stall"),
        "read_by": table.choice("read_by", tuple(READINGS)),
        "fall": _speed(table, "fall"),
        "flights": _count(table, "flights"),
        "stalls": _count(table, "stalls"),
        "weighed": table.value("weighed", needed="true or false") if table.has("weighed") else False,
    }
    if not isinstance(test["weighed"], bool):
        raise InputError(where=table.field("weighed"), found=repr(test["weighed"]), needed="true or false")
    table.finish()
    return test


def _height(table: Table) -> float:
    height = table.length("height")
    if not height > 0.0:
        found = units.format_length(height, "mm")
        raise RangeError(where=table.field("height"), found=found, needed="a height above zero")
    return height


def _speed(table: Table, key: str) -> float:
    return units.speed(table.value(key, needed='a speed such as "3 kt"'), where=table.field(key))


def _count(table: Table, key: str) -> int:
    if not table.has(key):
        return 1
    value = table.value(key, needed="a whole number")
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= 1000:
        raise InputError(where=table.field(key), found=repr(value), needed="a whole number from 1 to 1000")
    return value


def _is_setting(setting: Mapping[str, Any], test: Mapping[str, Any]) -> bool:
    return bool(setting["predicted"]) and abs(setting["flap_deg"] - math.degrees(test["flap"])) < 3.0


def _expected(
    prediction: Mapping[str, Any], setting: Mapping[str, Any], test: Mapping[str, Any]
) -> tuple[Banded | None, str]:
    """Fall of the speed at the attitude asked for, from the row of the study that is nearest; and which."""
    tables = [t for t in setting["gain_tables"] if any(t["answered"])]
    if not tables:
        return None, "no row of the study has an answer at this flap setting"
    wanted = 1e3 * test["height"]
    table = min(tables, key=lambda t: abs(math.log(t["height_mm"] / wanted)))
    row = (
        f"the row of the study that stands for it is {table['candidate']!r}, {table['height_mm']:.1f} mm high"
    )
    if abs(math.log(table["height_mm"] / wanted)) > math.log(OTHER_HEIGHT):
        return None, f"the nearest vane of the study is {table['height_mm']:.1f} mm high, not {wanted:.1f} mm"
    known = [k for k, ok in enumerate(table["answered"]) if ok]
    stations = [table["stations"][k] for k in known]
    if not stations[0] - OTHER_STATION <= test["station"] <= stations[-1] + OTHER_STATION:
        first, last = (f"{100 * station:.0f} %" for station in (stations[0], stations[-1]))
        return None, f"rows were tried from {first} to {last} of chord only"
    if test["attitude"] == "stall":
        fall = float(np.interp(test["station"], stations, [table["fall_kt"][k] for k in known]))
        return _with_band(fall, setting), row
    marks = setting.get("marks") or prediction["marks"]
    mark = next((m["wing_angle_deg"] for m in marks if m["name"] == MARKS[test["attitude"]]), None)
    if mark is None:
        return None, f"the wing angle of the {test['attitude']} attitude is not predicted"
    clean = setting["clean"]
    cl = _between(clean["wing_angles_deg"], clean["cl"], mark)
    at_mark = ((table["stations"][k], _between(table["angles_deg"], table["gain"][k], mark)) for k in known)
    gains = [(station, gain) for station, gain in at_mark if gain is not None]
    if cl is None or not gains:
        return None, f"a wing angle of {mark:.1f} deg lies outside the answered angles"
    gain = float(np.interp(test["station"], *np.array(gains).T))
    if min(cl, cl + gain) < LEAST_LIFT:
        return None, f"at a wing angle of {mark:.1f} deg the wing lifts too little to carry the weight"
    speed = setting["stall_speed_clean"]["kt"] * math.sqrt(clean["cl_max"] / cl)
    # same attitude, other lift: the speed that carries the weight goes with one over the root
    return _with_band(speed * (1.0 - math.sqrt(cl / (cl + gain))), setting), row


def _between(angles: Sequence[float], values: Sequence[float | None], angle: float) -> float | None:
    """Value at an angle between answered ones; ``None`` outside them."""
    points = [(a, v) for a, v in zip(angles, values, strict=True) if v is not None]
    if len(points) < 2 or not points[0][0] <= angle <= points[-1][0]:
        return None
    return float(np.interp(angle, *np.array(points).T))


def _with_band(fall_kt: float, setting: Mapping[str, Any]) -> Banded:
    least = LEAST_OF_SPEED * setting["stall_speed_clean"]["kt"] * KNOT
    return uncalibrated(fall_kt * KNOT, why=GAIN_WHY, least=least)
