"""Angle of attack at the stall before and after, beside the prediction: a check that shares no airspeed."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from slowflight.errors import InputError
from slowflight.flights.reduction.campaign import ReducedCampaign
from slowflight.flights.stall_record import CLEAN, STALL_ENDINGS, VANES, StallRecord
from slowflight.flights.statistics.headline import LIKELY
from slowflight.flights.statistics.two_samples import welch

SAME_FLAP = 1.0  # [degrees]
# Of one flight, from vertical motion of the air and the recorder's own pitch; common practice, no source.
ONE_FLIGHT = "single flights are good to a degree or two"


def stall_angles(reduced: ReducedCampaign, prediction: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    """Return the angle of attack at the stall of each flap setting measured on both sides.

    Parameters
    ----------
    reduced : ReducedCampaign
    prediction : mapping or None
        The record of ``predict``.

    Returns
    -------
    list of dict
        Means over flights, change with its 90 % band where there are two flights a side, predicted angles
        and all of it in words. Empty where no pitch was recorded or its zero is not known.

    Notes
    -----
    The flight is the replicate. Where vanes let the wing fly slower the angle has to rise: a gain of speed
    at an angle that stays is an airspeed that reads wrong, a lighter aircraft, or thrust.
    """
    if reduced.decision is None:
        return []
    found = []
    for setting in reduced.decision.settings:
        if setting.gain is None:
            continue
        flap = setting.gain.sets[0].stalls[0].flap_deg
        sides = [_by_flight(reduced.records, side, flap) for side in (CLEAN, VANES)]
        if not (sides[0] and sides[1]):
            continue
        clean, vanes = (float(np.mean(side)) for side in sides)
        band = None
        # One flight on a side, or flights alike to the last digit, give no band.
        with contextlib.suppress(InputError):
            band = welch(sides[1], sides[0]).band(LIKELY)
        told = _predicted(prediction, flap)
        found.append(
            {
                "name": setting.name,
                "flap_deg": flap,
                "clean_deg": clean,
                "vanes_deg": vanes,
                "change_deg": vanes - clean,
                "low_deg": None if band is None else band[0],
                "high_deg": None if band is None else band[1],
                "predicted_clean_deg": told[0],
                "predicted_vanes_deg": told[1],
                "words": _words(clean, vanes, band, told),
            }
        )
    return found


def _by_flight(records: Sequence[StallRecord], configuration: str, flap: float) -> list[float]:
    """Mean angle of each flight [degrees]."""
    flights: dict[str, list[float]] = {}
    for one in records:
        alike = one.configuration == configuration and abs(one.flap_deg - flap) <= SAME_FLAP
        if alike and one.accepted and one.ending in STALL_ENDINGS and one.angle_of_attack is not None:
            flights.setdefault(one.flight, []).append(math.degrees(one.angle_of_attack))
    return [float(np.mean(each)) for each in flights.values()]


def _predicted(prediction: Mapping[str, Any] | None, flap: float) -> tuple[float | None, float | None]:
    for one in (prediction or {}).get("settings", ()):
        attitude = one.get("attitude")
        if one["predicted"] and attitude and abs(one["flap_deg"] - flap) <= SAME_FLAP:
            return attitude.get("stall_angle_clean_deg"), attitude.get("stall_angle_vanes_deg")
    return None, None


def _words(
    clean: float,
    vanes: float,
    band: tuple[float, float] | None,
    told: tuple[float | None, float | None],
) -> str:
    words = f"clean {clean:.1f}, with vanes {vanes:.1f} deg measured, {vanes - clean:+.1f}"
    words += (
        f" ({ONE_FLIGHT})"
        if band is None
        else f" ({band[0]:+.1f} to {band[1]:+.1f} by the scatter of flights)"
    )
    if told[0] is not None:
        words += f"; predicted {told[0]:.1f}"
        words += "" if told[1] is None else f" and {told[1]:.1f}"
    if band is not None and band[1] < 0.0:
        words += "; the angle fell: a lower stall speed is then not the wing's doing"
    return words
