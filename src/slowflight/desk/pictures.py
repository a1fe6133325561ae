"""The report's own pictures, one address each; drawn when asked for, kept while their record is the same."""

from __future__ import annotations

import base64
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

from slowflight.desk.records import PLACES, saved
from slowflight.errors import InputError

Drawn = tuple[bytes, str]  # content, MIME type
_LOCK = threading.Lock()  # the drawing library's settings are shared by all threads
_KEPT: dict[tuple[str, str, float], Drawn] = {}
MOST_KEPT = 200


def picture(folder: Path, name: str) -> Drawn | None:
    """Return a picture of the saved records.

    Parameters
    ----------
    folder : Path
    name : str
        Such as ``gain-maps``, ``lift-0`` (first flap setting), ``flow-2-clean`` or ``stall-1-3``.

    Returns
    -------
    tuple of bytes, str
        Content and type; None where there is no such picture.
    """
    of = RECORD_OF.get(name.split("-")[0], "prediction")
    record = saved(folder, of)
    if record is None:
        return None
    place = folder / PLACES[of] / f"{of}.json"
    key = (str(folder), name, place.stat().st_mtime)
    with _LOCK:
        if key not in _KEPT:
            try:
                drawn = _draw(folder, record, name)
            except (KeyError, IndexError, ValueError, TypeError, InputError):
                # A record of an older version may lack what a picture needs; the page then says so.
                return None
            if drawn is None:
                return None
            head, data = drawn.uri.split(",", 1)
            if len(_KEPT) >= MOST_KEPT:
                _KEPT.clear()
            _KEPT[key] = (base64.b64decode(data), head.removeprefix("data:").split(";")[0])
        return _KEPT[key]


def _draw(folder: Path, record: dict[str, Any], name: str) -> Any:
    what, *numbers = name.split("-")
    whole = {**PREDICTION_WHOLE, **FLIGHTS_WHOLE}
    if name in whole:
        return whole[name](record)
    if what in ("lift", "speed", "map", "fall", "cruise", "spread"):
        return _of_setting(record, what, int(numbers[0]))
    if what == "flow":
        return _flow(folder, record, int(numbers[0]), numbers[1])
    if what == "traces":
        from slowflight.report.pictures.log_traces import draw_traces

        return draw_traces(record["flights"][int(numbers[0])], unit=record["unit"])
    if what == "stall":
        from slowflight.report.pictures.stall_event import draw_stall_event

        flight = record["flights"][int(numbers[0])]
        return draw_stall_event(flight["stalls"][int(numbers[1])], flight=flight["name"], unit=record["unit"])
    return None


def _of_setting(record: dict[str, Any], what: str, index: int) -> Any:
    from slowflight.report.pictures.curves import draw_lift, draw_speed
    from slowflight.report.pictures.gain_map import draw_gain_map, full_range
    from slowflight.report.pictures.stall_spread import draw_stall_spread
    from slowflight.report.pictures.stations import draw_against_station
    from slowflight.report.saved import read_prediction

    whole = read_prediction(record)
    setting = whole["settings"][index]
    marks = setting["marks"] or whole["marks"]
    if what == "lift":
        return draw_lift(setting, marks=marks)
    if what == "speed":
        return draw_speed(setting, marks=marks)
    if what in ("fall", "cruise"):
        return draw_against_station(setting, what="fall" if what == "fall" else "cruise_loss")
    if what == "spread":
        spread = setting["in_the_air"]["spread"]
        return draw_stall_spread(
            spread, flap_deg=setting["flap_deg"], semi_span=0.5 * record["conditions"]["span_m"]
        )
    tables = setting["gain_tables"]
    return draw_gain_map(tables[0], limit=full_range(tables), marks=marks)


def _flow(folder: Path, record: dict[str, Any], index: int, side: str) -> Any:
    from slowflight.report.pictures.field import read_field
    from slowflight.report.pictures.flow import draw_pair

    pair = record["pictures"][index]
    clean, vanes = (read_field(folder / "runs" / Path(pair[one]["field"]).name) for one in ("clean", "vanes"))
    return draw_pair(pair, clean=clean, vanes=vanes)[0 if side == "clean" else 1]


def _gain_maps(record: dict[str, Any]) -> Any:
    from slowflight.report.pictures.gain_maps import draw_gain_maps

    return draw_gain_maps(record["gain_map"])


def _strips(record: dict[str, Any]) -> Any:
    from slowflight.report.pictures.help_strip import draw_help_strips

    return draw_help_strips(record["help_strips"])


def _speeds(record: dict[str, Any]) -> Any:
    from slowflight.report.pictures.stall_speeds import draw_stall_speeds

    return draw_stall_speeds([one for one in record["settings"] if one["predicted"]])


def _claim(record: dict[str, Any]) -> Any:
    from slowflight.report.pictures.claim import draw_claim

    return draw_claim(record["claim"])


def _gains(record: dict[str, Any]) -> Any:
    from slowflight.report.flights_part import drawn_flights

    # Without the flights' own traces, which have addresses of their own, this takes a moment only.
    drawn = drawn_flights({**record, "flights": []})
    return None if drawn is None else drawn["gains"]


def _panel(record: dict[str, Any]) -> Any:
    from slowflight.report.pictures.log_traces import draw_panel

    unit = record["unit"]
    return draw_panel(record["flights"], unit=unit, per=unit.replace("/", "_per_"))


def _two_tiers(record: dict[str, Any]) -> Any:
    from slowflight.report.pictures.two_tiers import draw_two_tiers

    return draw_two_tiers(record)


PREDICTION_WHOLE: dict[str, Callable[[dict[str, Any]], Any]] = {
    "gain-maps": _gain_maps,
    "strips": _strips,
    "speeds": _speeds,
    "claim": _claim,
    "two-tiers": _two_tiers,
}
FLIGHTS_WHOLE: dict[str, Callable[[dict[str, Any]], Any]] = {
    "gains": _gains,
    "panel": _panel,
}
# Whose record a picture is drawn of, by the first word of its name; the others are the prediction's.
RECORD_OF = {**dict.fromkeys(("gains", "panel", "traces", "stall"), "flights"), "two": "second-opinion"}
