"""Other small changes on the same wing, beside the row: weight, rigging, droop limit, what disturbs it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from slowflight.compare.bands import FLAP_SHARE
from slowflight.flight_state import structure
from slowflight.flight_state.junctions import with_junctions
from slowflight.flow.lifting_line import SpanCurve, wing_lift
from slowflight.verbs.in_the_air_setting import AtSetting
from slowflight.verbs.prediction_cases import flap_words, is_up
from slowflight.verbs.prediction_wing import SMOOTHING
from slowflight.wing.in_the_air import JUNCTIONS
from slowflight.wing.planform import Wing

LIGHTER = 20.0  # [kg]
RIGGED = math.radians(1.0)
WEIGHED = "speed goes with the root of weight, exactly; the band is that of the stall speed"
WASHED = "predicted; nothing to twice that; where it starts to stall moves too: less washout drops wings"

Stretches = Sequence[SpanCurve]


def small_changes(made: Mapping[float, AtSetting]) -> list[dict[str, Any]]:
    """Return other small changes on the same wing, each beside the row, as plain data.

    Parameters
    ----------
    made : mapping of float to AtSetting
        By flap setting [rad]; each setting's record has its part in the air.
    """
    up = next((at for setting, at in made.items() if is_up(setting)), None)
    found: list[dict[str, Any] | None] = []
    if up is not None:
        found += [_lighter(up), *_washout(up), *_junctions(up)]
    found += _droop(made)
    return [change for change in found if change is not None]


def change_entry(
    name: str, at: AtSetting, kt: Mapping[str, tuple[float, float, float] | None], *, kind: str, how: str
) -> dict[str, Any] | None:
    """Write one change, clean and with the row.

    Parameters
    ----------
    name, how : str
        What is changed, and how it is known.
    at : AtSetting
    kt : mapping of str to (float, float, float) or None
        For ``"clean"`` and ``"vanes"``: change of the stall speed and the ends of its band [kt].
    kind : str
        Short word for programs.
    """
    clean, vanes = kt.get("clean"), kt.get("vanes")
    if clean is None:
        return None

    def plain(change: tuple[float, float, float]) -> dict[str, float]:
        return {"change_kt": change[0], "low_kt": min(change), "high_kt": max(change)}

    return {
        "name": name,
        "kind": kind,
        "flap_deg": math.degrees(at.setting),
        **plain(clean),
        "with_row": None if vanes is None else plain(vanes),
        "how": how,
    }


def doubtful(kt: float | None) -> tuple[float, float, float] | None:
    """Put the stated default round a change [kt]: nothing to twice its size."""
    return None if kt is None else (kt, 0.0, 2.0 * kt)


def _lighter(up: AtSetting) -> dict[str, Any] | None:
    kt = {}
    for name, _ in up.wings():
        stall = up.record[f"stall_speed_{name}"]
        share = structure.at_weight(speed=1.0, mass=up.body.mass - LIGHTER, reference_mass=up.body.mass) - 1.0
        kt[name] = (share * stall["kt"], share * stall["low_kt"], share * stall["high_kt"])
    return change_entry(f"{LIGHTER:.0f} kg less on board", up, kt, kind="weight", how=WEIGHED)


def _washout(up: AtSetting) -> list[dict[str, Any] | None]:
    wing = up.study.file.wing
    if len(wing.stations) < 2:
        return []
    made: list[dict[str, Any] | None] = []
    tip = wing.stations[-1].span_station
    for more, words in ((RIGGED, "one degree more washout"), (-RIGGED, "one degree less washout")):
        rigged = replace(
            wing,
            stations=tuple(
                replace(station, washout=station.washout + more * station.span_station / tip)
                for station in wing.stations
            ),
        )
        kt = {name: doubtful(_moved(up, name, wing=rigged)) for name, _ in up.wings()}
        made.append(change_entry(words, up, kt, kind="washout", how=WASHED))
    return made


def _junctions(up: AtSetting) -> list[dict[str, Any] | None]:
    found = up.said.junctions
    if not found:
        return []
    wing = up.study.file.wing

    def disturbed(spans: Stretches) -> Stretches:
        return with_junctions(spans, found, chord=wing.mean_chord, semi_span=wing.semi_span)

    kt = {name: doubtful(_moved(up, name, change=disturbed)) for name, _ in up.wings()}
    kinds = sorted({junction.kind for junction in found})
    taken = ", ".join(f"{kind} {100 * (1 - JUNCTIONS[kind]):.0f} %" for kind in kinds)
    how = f"predicted from guesses of the largest lift lost beside each ({taken}; common practice, no source)"
    name = "what disturbs the wing: " + ", ".join(f"{j.kind} at {j.span_station:.1f} m" for j in found)
    return [change_entry(name, up, kt, kind="junctions", how=how)]


def _moved(at: AtSetting, name: str, *, wing: Wing | None = None, change: Any = None) -> float | None:
    """Change of a stall speed with another rigging or other sections [kt].

    Both are worked out alike, so what is credited to a row plays no part in the ratio.
    """
    own = at.study.file.wing
    spans = at.clean_spans if name == "clean" else at.row_spans
    before = _largest(own, spans)
    after = _largest(own if wing is None else wing, spans if change is None else change(spans))
    if before is None or after is None:
        return None
    return float(at.record[f"stall_speed_{name}"]["kt"] * (math.sqrt(before / after) - 1.0))


def _largest(wing: Wing, spans: Stretches) -> float | None:
    return wing_lift(
        wing, curve_at=list(spans), angles=np.radians([4.0]), smoothing=SMOOTHING
    ).cl_max_continued


def _droop(made: Mapping[float, AtSetting]) -> list[dict[str, Any] | None]:
    """What a droop limit short of the farthest setting gives away, and what roll it leaves."""
    if len(made) < 2:
        return []
    far = made[max(made)]
    return [_limited(at, far) for setting, at in sorted(made.items()) if at is not far and setting >= 0.0]


def _limited(at: AtSetting, far: AtSetting) -> dict[str, Any] | None:
    kt: dict[str, tuple[float, float, float] | None] = {}
    here, there = dict(at.wings()), dict(far.wings())
    for name in here.keys() & there.keys():
        added = there[name].cl_max - here[name].cl_max
        slow = at.record[f"stall_speed_{name}"]["kt"]

        def given_up(
            share: float, low: float = here[name].cl_max, more: float = added, kt: float = slow
        ) -> float:
            return float(kt * (1.0 - math.sqrt(low / (low + share * more))))

        kt[name] = (given_up(1.0), given_up(1.0 - FLAP_SHARE), given_up(1.0 + FLAP_SHARE))
    how = f"predicted; {100 * FLAP_SHARE:.0f} % of the lift between the two settings either way"
    rates = [_rate(one) for one in (at, far)]
    if all(rate is not None for rate in rates):
        how += (
            f"; at 1.1 times its own clean stall speed full stick rolls it at {rates[0]:.0f} instead of"
            f" {rates[1]:.0f} deg/s"
        )
    words = "flaps kept up" if is_up(at.setting) else f"droop limited to {flap_words(at.setting)}"
    return change_entry(f"{words} instead of {flap_words(far.setting)}", at, kt, kind="droop", how=how)


def _rate(at: AtSetting) -> float | None:
    """Rate of roll at 1.1 times the clean stall speed [deg/s]."""
    rows = at.record["in_the_air"]["roll"].get("clean", {}).get("at", ())
    rate = rows[-1]["rate_deg_s"] if rows else None
    return None if rate is None else float(rate["value"])
