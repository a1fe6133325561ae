"""Roll control in slow flight, and what a lost vane does, at one flap setting."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slowflight.compare.bands import FLAP_SHARE
from slowflight.errors import SlowflightError
from slowflight.flight_state import roll
from slowflight.flight_state.curve import WingCurve
from slowflight.flow.lifting_line import SpanCurve
from slowflight.flow.solution import FloatArray
from slowflight.verbs import prediction_numbers as numbers
from slowflight.verbs.in_the_air_setting import AtSetting

MULTIPLES = (1.5, 1.2, 1.1)
LESS_ROLL = 0.85  # of the clean wing's rate: less of it is said (own choice)
STEP = math.radians(1.0)
FIRST = math.radians(-8.0)
PAST = math.radians(4.0)
NO_AILERONS = (
    "not predicted: ailerons are not described in wing.toml; where the flap is a flaperon, say so by"
    " in_the_air.roll_up and roll_down"
)
WHY = (
    f"rolling moments rest on no measured case (0): {100 * FLAP_SHARE:.0f} % either way is a stated default;"
    " lifting-line theory makes them about a tenth too large; between and beyond computed flap settings"
    " section curves are mixed, not computed"
)

Spans = Mapping[float, Sequence[SpanCurve]]


def roll_record(at: AtSetting, *, clean: Spans, vanes: Spans) -> dict[str, Any]:
    """Return what stick fully sideways does, as plain data.

    Parameters
    ----------
    at : AtSetting
    clean, vanes : mapping of float to sequence of SpanCurve
        One half at every computed flap setting, cut alike.
    """
    flap, said = at.study.file.flap, at.said
    if flap is None or (said.roll_up is None and flap.kind != "hung"):
        return {"sentence": NO_AILERONS}
    known = said.roll_up is not None
    up = said.roll_up if said.roll_up is not None else roll.YARDSTICK
    down = said.roll_down if said.roll_down is not None else (up if known else roll.YARDSTICK)
    found: dict[str, Any] = {
        "up_deg": math.degrees(up),
        "down_deg": math.degrees(down),
        "travel_known": known,
        "why": WHY,
    }
    authorities: dict[str, roll.RollAuthority] = {}
    for name, curve in at.wings():
        spans = clean if name == "clean" else vanes
        try:
            authorities[name] = roll.roll_authority(
                flaperon_wing(at, spans), droop=at.setting, up=up, down=down, angles=angles_of(curve)
            )
        except SlowflightError as problem:
            found[name] = {"problem": str(problem)}
            continue
        found[name] = _one(at, authorities[name], curve, name)
    found["sentence"] = _sentence(found)
    return found


def angles_of(curve: WingCurve) -> FloatArray:
    """Return wing angles from attached flow to a little past the stall, a degree apart [rad]."""
    return np.arange(
        max(FIRST, float(curve.angles[0])),
        min(curve.stall_angle + PAST, float(curve.angles[-1])) + 1e-9,
        STEP,
    )


def flaperon_wing(at: AtSetting, spans: Spans) -> roll.FlaperonWing:
    """Return one half's sections with which stretches the flaperon lies behind."""
    start, end = _flap_span(at)
    moves = [start - 1e-6 <= span.span_from and span.span_to <= end + 1e-6 for span in spans[at.setting]]
    return roll.FlaperonWing(wing=at.study.file.wing, spans=spans, moves=moves)


def _flap_span(at: AtSetting) -> tuple[float, float]:
    return at.study.flap_span


def _one(at: AtSetting, found: roll.RollAuthority, curve: WingCurve, name: str) -> dict[str, Any]:
    stall, span = at.true_stall(name), at.study.file.wing.span
    assert stall is not None
    table = []
    reference = None
    for multiple in MULTIPLES:
        angle = curve.angle_of(curve.cl_max / multiple**2)
        moment = None if angle is None else found.at(angle)
        reference = moment if multiple == MULTIPLES[0] else reference
        rate = None
        if moment is not None and found.damping is not None:
            rate = math.degrees(roll.roll_rate(moment, found.damping, speed=multiple * stall, span=span))
        table.append(
            {
                "over_stall": multiple,
                "speed": at.speed(multiple * stall, like=name),
                "moment": None if moment is None else banded(moment),
                "share": None if moment is None or not reference else moment / reference,
                "rate_deg_s": None if rate is None else banded(rate),
            }
        )
    attached = curve.angle_of(curve.cl_max / MULTIPLES[0] ** 2)
    fades = None if attached is None else found.fades_from(attached)
    reverses = found.reverses_from()
    return {
        "at": table,
        "angles_deg": [math.degrees(float(a)) for a in found.angles],
        "moment": numbers.plain(found.moment),
        "yaw": numbers.plain(found.yaw),
        "stalled_raised_side": numbers.plain(found.stalled_right),
        "stalled_lowered_side": numbers.plain(found.stalled_left),
        "fades_from_deg": numbers.degrees(fades),
        "reverses_from_deg": numbers.degrees(reverses),
        "stall_angle_deg": math.degrees(curve.stall_angle),
        "lowered_side_stalls_from_deg": numbers.degrees(_stalls_from(found)),
        "drawn_on_deg": math.degrees(found.drawn_on),
    }


def banded(value: float) -> dict[str, float]:
    """Write a rolling moment, or what goes with it, with the band of the stated default."""
    """Write a rolling moment, or what goes with it, with the stated default's band."""
    half = FLAP_SHARE * abs(value)
    return {"value": value, "low": value - half, "high": value + half}


def _stalls_from(found: roll.RollAuthority) -> float | None:
    """Angle from which a tenth more of the lowered side is stalled than of the raised one."""
    apart = np.nan_to_num(found.stalled_left - found.stalled_right) > 0.1
    return float(found.angles[apart][0]) if np.any(apart) else None


def _sentence(found: Mapping[str, Any]) -> str:
    said = []
    for name, words in (("clean", "without vanes"), ("vanes", "with the row")):
        one = found.get(name)
        if one is None or "problem" in one:
            continue
        shares = {row["over_stall"]: row["share"] for row in one["at"]}
        if shares.get(1.2) is None or shares.get(1.1) is None:
            continue
        text = (
            f"{words} it still rolls with {100 * shares[1.2]:.0f} % of its strength in attached flow at 1.2"
            " and"
            f" {100 * shares[1.1]:.0f} % at 1.1 times its stall speed{_at_a_rate(one)}"
        )
        fades, turns = one["fades_from_deg"], one["reverses_from_deg"]
        if turns is not None:
            text += f", and it REVERSES from a wing angle of {turns:.0f} deg on"
        elif fades is not None:
            text += f", and half of it is gone from a wing angle of {fades:.0f} deg on"
        if turns is not None or fades is not None:
            text += f" (the stall is at {one['stall_angle_deg']:.0f} deg)"
        if one["lowered_side_stalls_from_deg"] is not None:
            text += (
                "; the side whose flaperon is down stalls more than the other from"
                f" {one['lowered_side_stalls_from_deg']:.0f} deg on"
            )
        said.append(text)
    return "" if not said else f"Predicted, stick fully over: {'; '.join(said)}.{_slower(found)}"


def _at_a_rate(one: Mapping[str, Any]) -> str:
    rate = one["at"][-1]["rate_deg_s"]
    if rate is None:
        return ""
    return f", there at {rate['value']:.0f} deg/s ({rate['low']:.0f} to {rate['high']:.0f})"


def _slower(found: Mapping[str, Any]) -> str:
    """Say so where the row costs roll at the same multiple of the stall speed."""
    rates = [found.get(name, {}).get("at", [{}])[-1].get("rate_deg_s") for name in ("clean", "vanes")]
    if any(rate is None for rate in rates) or rates[1]["value"] >= LESS_ROLL * rates[0]["value"]:
        return ""
    return (
        f" With the row it rolls SLOWER there than without: {rates[1]['value']:.0f} against"
        f" {rates[0]['value']:.0f} deg/s, partly because it is slower itself."
    )
