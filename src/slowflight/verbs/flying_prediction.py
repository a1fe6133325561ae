"""Predicted beside measured, setting by setting, each with its band."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slowflight import units
from slowflight.flights.stall_record import CLEAN
from slowflight.flights.statistics.gain import Gain
from slowflight.flights.statistics.headline import LIKELY
from slowflight.flights.verdict.decision import Decision
from slowflight.verbs.flying_speeds import measured_stall_speed

SAME_FLAP = 1.0  # [degrees]


def beside_prediction(
    prediction: Mapping[str, Any] | None,
    decision: Decision | None,
    *,
    unit: str = "kt",
) -> list[dict[str, Any]]:
    """Set each measured setting beside what was predicted for it.

    Parameters
    ----------
    prediction : mapping or None
        The record of ``predict``.
    decision : Decision or None
        Of the flights.
    unit : str, optional
        Of speeds; part of their keys.

    Returns
    -------
    list of dict
        One for each setting that was measured in both configurations. ``anchored`` is the predicted fall
        repeated from the owner's own clean stall speed: the same share of it, its band widened to what the
        same added lift would give. Both are calibrated airspeeds at the reference mass. Empty without a
        prediction or a measured gain.
    """
    if prediction is None or decision is None:
        return []
    found = []
    for setting in decision.settings:
        if setting.gain is None:
            continue
        flap = setting.gain.sets[0].stalls[0].flap_deg
        predicted = next(
            (
                one
                for one in prediction["settings"]
                if one["predicted"] and abs(one["flap_deg"] - flap) <= SAME_FLAP
            ),
            None,
        )
        if predicted is not None:
            found.append(_beside(setting.name, flap, setting.gain, predicted, unit))
    return found


def _beside(name: str, flap: float, gain: Gain, predicted: Mapping[str, Any], unit: str) -> dict[str, Any]:
    per = unit.replace("/", "_per_")
    clean, half = measured_stall_speed(gain, CLEAN)
    low, high = gain.band(LIKELY)
    row = predicted.get("row")
    fall = None if row is None else row.get("fall")
    before = predicted.get("stall_speed_clean")
    share = None if before is None or not before["m_s"] > 0.0 else clean / before["m_s"]
    anchored = None if fall is None or share is None else _scaled(fall, share, unit)
    if anchored is not None and before is not None and fall is not None:
        anchored = _either_way(anchored, clean=clean, before=before, fall=fall, unit=unit)
    return {
        "name": name,
        "flap_deg": flap,
        f"measured_clean_{per}": _band(clean, clean - half, clean + half, unit),
        f"predicted_clean_{per}": None if before is None else _scaled(before, 1.0, unit),
        f"measured_gain_{per}": _band(gain.value, low, high, unit),
        f"predicted_gain_{per}": None if fall is None else _scaled(fall, 1.0, unit),
        f"anchored_gain_{per}": anchored,
        "predicted_row": None
        if row is None
        else {"candidate": row["candidate"], "station": row["station"], "height_mm": row["height_mm"]},
        "sentence": _sentence(_band(gain.value, low, high, unit), anchored, unit),
    }


def _either_way(
    anchored: Mapping[str, float],
    *,
    clean: float,
    before: Mapping[str, float],
    fall: Mapping[str, float],
    unit: str,
) -> dict[str, float]:
    """Widen a band to what the same lift coefficient, added to the measured clean one, would give.

    Lift coefficients go as one over speed squared. Which of the two anchors is right is not known: the flow
    is not computed again for a wing that stalls where the owner's does.
    """
    old, new = before["m_s"], before["m_s"] - fall["m_s"]
    lift = 1.0 / clean**2 + 1.0 / new**2 - 1.0 / old**2
    if not lift > 0.0:
        return dict(anchored)
    off = units.express(clean - lift**-0.5, unit) - anchored["value"]
    return {
        "value": anchored["value"],
        "low": anchored["low"] + min(off, 0.0),
        "high": anchored["high"] + max(off, 0.0),
    }


def _sentence(measured: Mapping[str, float], anchored: Mapping[str, float] | None, unit: str) -> str:
    if anchored is None:
        return "nothing was predicted here for a row"
    if measured["low"] <= anchored["high"] and anchored["low"] <= measured["high"]:
        return "the bands overlap, which proves neither right: both are wide"
    way = "more" if measured["value"] > anchored["value"] else "less"
    off = abs(measured["value"] - anchored["value"])
    return f"measured {off:.1f} {unit} {way} than predicted, beyond both bands: the flights count"


def _band(value: float, low: float, high: float, unit: str) -> dict[str, float]:
    return {
        "value": units.express(value, unit),
        "low": units.express(low, unit),
        "high": units.express(high, unit),
    }


def _scaled(speed: Mapping[str, float], share: float, unit: str) -> dict[str, float]:
    knot = units.SPEED.factors["kt"]
    return _band(share * speed["m_s"], share * knot * speed["low_kt"], share * knot * speed["high_kt"], unit)
