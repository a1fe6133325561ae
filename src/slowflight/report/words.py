"""Numbers of a record as an owner reads them: knots with mph, millimeters with inches, always with the band.

Every function takes a value as it stands in the record, or None for one that was not answered, and returns
text. Conversion of units is all the arithmetic there is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from slowflight.units import SPEED, express, format_mass

NO_ANSWER = "no answer"


TIERS = {"integral": "quick tier", "rans": "minutes tier"}


def predicted_by(record: Mapping[str, Any] | None) -> str:
    """Say by what a prediction was made and whether measured cases set it, as its record has it.

    Examples
    --------
    >>> predicted_by({"tier": "integral", "calibrated": False})
    'quick tier, uncalibrated'
    """
    if record is None:
        return NO_ANSWER
    tier = record.get("tier")
    by = TIERS.get(str(tier), f"tier {tier}") if tier else "tier not recorded"
    # Records without the word are of the time before any could be calibrated.
    return f"{by}, {'calibrated' if record.get('calibrated') is True else 'uncalibrated'}"


def number(value: float | None, decimals: int = 1) -> str:
    """Write a number with so many decimals; no negative zero, and ``no answer`` for None or NaN.

    Examples
    --------
    >>> number(-0.004, 2), number(None)
    ('0.00', 'no answer')
    """
    if value is None or not math.isfinite(value):
        return NO_ANSWER
    shown = f"{value:.{decimals}f}"
    return shown.removeprefix("-") if float(shown) == 0.0 else shown


def signed(value: float | None, decimals: int = 1) -> str:
    """Write a change, its sign always shown: ``+12.3``, ``−4.0``; zero carries none."""
    shown = number(value, decimals)
    if value is None or shown == NO_ANSWER or float(shown) == 0.0:
        return shown
    return f"+{shown}" if value > 0 else shown.replace("-", "−")


def knots(value_kt: float | None) -> str:
    """Write a speed [kt] in knots with miles per hour in brackets.

    Examples
    --------
    >>> knots(40.0)
    '40.0 kt (46.0 mph)'
    """
    if value_kt is None or not math.isfinite(value_kt):
        return NO_ANSWER
    return f"{number(value_kt)} kt ({number(miles_per_hour(value_kt))} mph)"


def miles_per_hour(value_kt: float) -> float:
    """Return a speed [kt] in miles per hour."""
    return express(value_kt * SPEED.factors["kt"], "mph")


def speed(value: Mapping[str, Any] | None) -> str:
    """Write the value of a speed that carries its band (keys kt, low_kt, high_kt), without the band."""
    return NO_ANSWER if value is None else knots(value.get("kt"))


def speed_band(value: Mapping[str, Any] | None) -> str:
    """Write the band alone: ``39.3 to 42.6 kt``; empty where there is no speed at all."""
    if value is None:
        return ""
    low, high = value.get("low_kt"), value.get("high_kt")
    if low is None or high is None:
        return "band not known"
    return f"{number(low)} to {number(high)} kt"


def falls(value: Mapping[str, Any] | None) -> str:
    """Write a fall of stall speed with its band as a sentence's end; one below zero as the rise it is.

    Examples
    --------
    >>> falls({"kt": -1.0, "low_kt": -2.0, "high_kt": 0.0})
    'RISES by 1.0 kt (1.2 mph), band 0.0 to 2.0 kt'
    """
    if value is None or value.get("kt") is None or not math.isfinite(value["kt"]):
        return NO_ANSWER
    if round(value["kt"], 1) >= 0.0:
        return f"falls by {knots(value['kt'])}, band {speed_band(value)}"
    ends = {"low_kt": value.get("high_kt"), "high_kt": value.get("low_kt")}
    turned = {name: None if end is None else -end for name, end in ends.items()}
    return f"RISES by {knots(-value['kt'])}, band {speed_band(turned)}"


def banded(value: Mapping[str, Any] | None, decimals: int = 2) -> str:
    """Write a plain number with its band (keys value, low, high): ``2.10 (band 1.90 to 2.30)``."""
    if value is None or value.get("value") is None:
        return NO_ANSWER
    band = band_of(value, decimals)
    return f"{number(value['value'], decimals)} ({band if band.startswith('band') else f'band {band}'})"


def millimeters(value_mm: float | None, decimals: int = 1) -> str:
    """Write a length [mm] in millimeters with inches in brackets.

    Examples
    --------
    >>> millimeters(25.4)
    '25.4 mm (1.00 in)'
    """
    if value_mm is None or not math.isfinite(value_mm):
        return NO_ANSWER
    return f"{number(value_mm, decimals)} mm ({inches(value_mm)} in)"


def band_of(value: Mapping[str, Any] | None, decimals: int = 2) -> str:
    """Write the band of a plain number alone: ``1.90 to 2.30``; empty where there is no number at all."""
    if value is None or value.get("value") is None:
        return ""
    low, high = value.get("low"), value.get("high")
    if low is None or high is None:
        return "band not known"
    return f"{number(low, decimals)} to {number(high, decimals)}"


def inches(value_mm: float | None) -> str:
    """Write a length [mm] as a number of inches, to a hundredth."""
    return NO_ANSWER if value_mm is None else number(express(value_mm / 1000.0, "in"), 2)


def meters(value_m: float | None, decimals: int = 2) -> str:
    """Write a length [m] in meters with feet in brackets."""
    if value_m is None:
        return NO_ANSWER
    return f"{number(value_m, decimals)} m ({number(express(value_m, 'ft'), 1)} ft)"


def altitude(value_m: float | None) -> str:
    """Write an altitude [m] in feet, meters in brackets, as altimeters show it."""
    if value_m is None:
        return NO_ANSWER
    return f"{number(express(value_m, 'ft'), 0)} ft ({number(value_m, 0)} m)"


def area(value_m2: float | None) -> str:
    """Write an area [m2] in square meters with square feet in brackets."""
    if value_m2 is None:
        return NO_ANSWER
    square_foot = express(1.0, "ft") ** 2
    return f"{number(value_m2, 2)} m² ({number(value_m2 * square_foot, 1)} sq ft)"


def mass(value_kg: float | None) -> str:
    """Write a mass [kg] in kilograms with pounds in brackets."""
    return NO_ANSWER if value_kg is None else f"{format_mass(value_kg, 'kg')} ({format_mass(value_kg, 'lb')})"


def small_mass(value_kg: float | None) -> str:
    """Write a mass [kg] of a few hundred grams to a hundredth of a kilogram and of a pound."""
    if value_kg is None:
        return NO_ANSWER
    return f"{format_mass(value_kg, 'kg', decimals=2)} ({format_mass(value_kg, 'lb', decimals=2)})"


def degrees(value_deg: float | None, decimals: int = 1) -> str:
    """Write an angle [deg] with the degree sign."""
    shown = number(value_deg, decimals)
    return shown if shown == NO_ANSWER else f"{shown.replace('-', '−')}°"


def flap(value_deg: float | None) -> str:
    """Write a flap setting [deg] with no more decimals than it needs: ``17°``, ``17.5°``."""
    return degrees(value_deg).replace(".0°", "°")


def per_cent(share: float | None) -> str:
    """Write a share in per cent with no more decimals than it needs.

    Examples
    --------
    >>> per_cent(0.07), per_cent(0.075)
    ('7 %', '7.5 %')
    """
    if share is None or not math.isfinite(share):
        return NO_ANSWER
    return f"{number(100.0 * share).removesuffix('.0')} %"


FILTERS: Mapping[str, Callable[..., str]] = {
    function.__name__: function
    for function in (
        number,
        signed,
        knots,
        speed,
        speed_band,
        falls,
        banded,
        band_of,
        millimeters,
        inches,
        meters,
        altitude,
        area,
        mass,
        small_mass,
        degrees,
        flap,
        per_cent,
        predicted_by,
    )
}
