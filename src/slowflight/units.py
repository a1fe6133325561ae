"""Owners' units in and out; everything between is SI.

Text such as ``"60 mm"``, ``"5 ft 3 in"`` or ``"17 deg"`` becomes meters, kilograms, meters per second or
radians, and back. A bare number is refused, because a chord of 60 could be inches or millimeters and the
difference decides whether the wing flies. The factors are exact by definition.

Source of the factors: NIST Special Publication 811 (2008), appendix B.8; knot and mile as international.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from slowflight.errors import UnitError


@dataclass(frozen=True)
class Dimension:
    """What a quantity measures, and the units in which an owner may write it.

    Parameters
    ----------
    name : str
        With its article, for messages: ``"a length"``.
    factors : mapping of str to float
        Size of one unit in SI, in the order in which messages list them.
    spellings : mapping of str to str
        Other ways to write a unit, in lower case.
    example : str
        A value that would be accepted.
    """

    name: str
    factors: Mapping[str, float]
    example: str
    spellings: Mapping[str, str] = field(default_factory=dict)

    def unit(self, text: str) -> str | None:
        """Return the unit's own name for a spelling of it, else None."""
        lowered = text.lower()
        if lowered in self.factors:
            return lowered
        return self.spellings.get(lowered)

    @property
    def needed(self) -> str:
        """What a message asks for."""
        *others, last = self.factors
        units = f"{', '.join(others)} or {last}" if others else last
        return f"{self.name} with its unit ({units})"


LENGTH = Dimension(
    name="a length",
    factors={"mm": 1e-3, "cm": 1e-2, "m": 1.0, "in": 0.0254, "ft": 0.3048},
    example="60 mm",
    spellings={"inch": "in", "inches": "in", '"': "in", "foot": "ft", "feet": "ft", "'": "ft"},
)
MASS = Dimension(
    name="a mass",
    factors={"kg": 1.0, "lb": 0.45359237},
    example="600 kg",
    spellings={"lbs": "lb"},
)
SPEED = Dimension(
    name="a speed",
    factors={"m/s": 1.0, "kt": 1852.0 / 3600.0, "mph": 1609.344 / 3600.0, "km/h": 1.0 / 3.6},
    example="35 kt",
    spellings={"kts": "kt", "knot": "kt", "knots": "kt", "kph": "km/h", "kmh": "km/h"},
)
ANGLE = Dimension(
    name="an angle",
    factors={"deg": math.pi / 180.0, "rad": 1.0},
    example="17 deg",
    spellings={"degree": "deg", "degrees": "deg", "°": "deg", "radian": "rad", "radians": "rad"},
)
DIMENSIONS = (LENGTH, MASS, SPEED, ANGLE)

_PART = re.compile(
    r"""\s*
    (?: (?P<whole>\d+)[\s-]+(?P<top>\d+)/(?P<bottom>\d+)    # 2 3/8
      | (?P<top_only>\d+)/(?P<bottom_only>\d+)               # 3/8
      | (?P<decimal>(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)    # 2.4
    )
    \s*(?P<unit>[^\W\d_]+(?:/[^\W\d_]+)?|['"°%])?\s*""",
    re.VERBOSE,
)
_LOOKALIKES = str.maketrans({"−": "-", "’": "'", "′": "'", "”": '"', "″": '"', "\u00a0": " ", "º": "°"})


def length(text: object, *, where: str) -> float:
    """Read a length such as ``"60 mm"``, ``"2 3/8 in"`` or ``"5 ft 3 in"``.

    Parameters
    ----------
    text : str
        What the owner wrote. Anything else, a bare number included, is refused.
    where : str
        File and field, or option, for the message.

    Returns
    -------
    float
        The length [m].

    Raises
    ------
    UnitError
        Where there is no unit, an unknown one, one of another dimension, or no number.

    Examples
    --------
    >>> round(length("5 ft 3 in", where="chord"), 4)
    1.6002
    """
    return _read(text, dimension=LENGTH, where=where)


def mass(text: object, *, where: str) -> float:
    """Read a mass such as ``"600 kg"`` or ``"1320 lb"``.

    Parameters
    ----------
    text : str
        What the owner wrote.
    where : str
        File and field, or option, for the message.

    Returns
    -------
    float
        The mass [kg].

    Raises
    ------
    UnitError
        As for `length`.
    """
    return _read(text, dimension=MASS, where=where)


def speed(text: object, *, where: str) -> float:
    """Read a speed such as ``"35 kt"``, ``"40 mph"``, ``"65 km/h"`` or ``"18 m/s"``.

    Parameters
    ----------
    text : str
        What the owner wrote.
    where : str
        File and field, or option, for the message.

    Returns
    -------
    float
        The speed [m/s].

    Raises
    ------
    UnitError
        As for `length`.
    """
    return _read(text, dimension=SPEED, where=where)


def angle(text: object, *, where: str) -> float:
    """Read an angle such as ``"17 deg"`` or ``"0.3 rad"``.

    Parameters
    ----------
    text : str
        What the owner wrote.
    where : str
        File and field, or option, for the message.

    Returns
    -------
    float
        The angle [rad].

    Raises
    ------
    UnitError
        As for `length`.
    """
    return _read(text, dimension=ANGLE, where=where)


def fraction(text: object, *, where: str) -> float:
    """Read a share such as ``"19 %"`` or ``"0.19"``.

    A number without a per cent sign must lie between -1 and 1: ``19`` could mean 19 % or a slip.

    Parameters
    ----------
    text : str or float
        What the owner wrote.
    where : str
        File and field, or option, for the message.

    Returns
    -------
    float
        The share [-].

    Raises
    ------
    UnitError
        Where it is no number, has another unit, or is a bare number beyond 1.

    Examples
    --------
    >>> fraction("19 %", where="station"), fraction("0.19", where="station")
    (0.19, 0.19)
    """
    needed = 'a share such as "19 %" or "0.19"'
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise UnitError(where=where, found=_shown(text), needed=needed)
    parts = _split(str(text))
    if parts is None or len(parts) != 1:
        raise UnitError(where=where, found=_shown(text), needed=needed, fix=_comma_fix(text))
    value, unit = parts[0]
    if unit == "%":
        return value / 100.0
    if unit is not None:
        raise UnitError(where=where, found=f"{_shown(text)}{_kind_of(unit)}", needed=needed)
    if abs(value) > 1.0:
        raise UnitError(
            where=where, found=_shown(text), needed=needed, fix=f'write "{text} %" if that is meant'
        )
    return value


def format_length(value_m: float, unit: str, *, decimals: int = 1) -> str:
    """Write a length in an owner's unit, for example ``format_length(0.06, "mm")`` gives ``"60.0 mm"``.

    Parameters
    ----------
    value_m : float
        The length [m].
    unit : str
        One of mm, cm, m, in, ft.
    decimals : int, optional
        Digits after the point.

    Returns
    -------
    str

    Raises
    ------
    UnitError
        Where the unit is not one of a length.
    ValueError
        Where the value is not finite.
    """
    return _write(value_m, unit, dimension=LENGTH, decimals=decimals)


def format_mass(value_kg: float, unit: str, *, decimals: int = 0) -> str:
    """Write a mass [kg] in kg or lb; errors as for `format_length`."""
    return _write(value_kg, unit, dimension=MASS, decimals=decimals)


def format_speed(value_m_s: float, unit: str, *, decimals: int = 1) -> str:
    """Write a speed [m/s] in m/s, kt, mph or km/h; errors as for `format_length`."""
    return _write(value_m_s, unit, dimension=SPEED, decimals=decimals)


def format_angle(value_rad: float, unit: str = "deg", *, decimals: int = 1) -> str:
    """Write an angle [rad] in deg or rad; errors as for `format_length`."""
    return _write(value_rad, unit, dimension=ANGLE, decimals=decimals)


def format_fraction(value: float, *, decimals: int = 1) -> str:
    """Write a share [-] in per cent, ``0.19`` as ``"19.0 %"``; ValueError where it is not finite."""
    return f"{_digits(100.0 * value, decimals)} %"


def express(value_si: float, unit: str) -> float:
    """Return an SI value as a number of an owner's unit, for results that name the unit in the key.

    Parameters
    ----------
    value_si : float
        In m, kg, m/s or rad.
    unit : str
        Any unit this module reads.

    Returns
    -------
    float
        How many of the unit.

    Raises
    ------
    UnitError
        Where the unit is unknown.

    Examples
    --------
    >>> round(express(0.0254, "in"), 9)
    1.0
    """
    for dimension in DIMENSIONS:
        name = dimension.unit(unit)
        if name is not None:
            return value_si / dimension.factors[name]
    known = ", ".join(name for dimension in DIMENSIONS for name in dimension.factors)
    raise UnitError(where="unit", found=repr(unit), needed=f"one of {known}")


def _read(text: object, *, dimension: Dimension, where: str) -> float:
    needed, fix = dimension.needed, f'write it like "{dimension.example}"'
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        raise UnitError(where=where, found=_shown(text), needed=needed, fix=fix)
    if not isinstance(text, str):
        raise UnitError(where=where, found=f"{text} without a unit", needed=needed, fix=fix)
    parts = _split(text)
    if parts is None:
        raise UnitError(where=where, found=_shown(text), needed=needed, fix=_comma_fix(text) or fix)
    sizes = []
    for _, unit in parts:
        if unit is None:
            raise UnitError(where=where, found=f"{_shown(text)} without a unit", needed=needed, fix=fix)
        name = dimension.unit(unit)
        if name is None:
            raise UnitError(where=where, found=f"{_shown(text)}{_kind_of(unit)}", needed=needed, fix=fix)
        sizes.append(dimension.factors[name])
    values = [abs(value) * size for (value, _), size in zip(parts, sizes, strict=True)]
    if any(value >= size for value, size in zip(values[1:], sizes[:-1], strict=True)):
        # "5 ft 14 in" is more likely a slip than a length of 6 ft 2 in.
        raise UnitError(
            where=where, found=_shown(text), needed=needed, fix="each further part is less than one before"
        )
    return math.copysign(math.fsum(values), parts[0][0])


def _split(text: str) -> list[tuple[float, str | None]] | None:
    """Cut text into (number, unit) parts, the sign on the first; None where it is no such thing."""
    rest = text.translate(_LOOKALIKES).strip()
    sign = -1.0 if rest.startswith("-") else 1.0
    rest = rest[1:] if rest[:1] in ("-", "+") else rest
    parts: list[tuple[float, str | None]] = []
    while rest:
        found = _PART.match(rest)
        if found is None:
            return None
        value = _number(found)
        if value is None:
            return None
        parts.append((value if parts else sign * value, found["unit"]))
        rest = rest[found.end() :]
    return parts or None


def _number(found: re.Match[str]) -> float | None:
    if found["decimal"] is not None:
        value = float(found["decimal"])
    else:
        top, bottom = float(found["top"] or found["top_only"]), float(found["bottom"] or found["bottom_only"])
        value = float(found["whole"] or 0) + top / bottom if bottom else math.inf
    return value if math.isfinite(value) else None


def _kind_of(unit: str) -> str:
    for dimension in DIMENSIONS:
        if dimension.unit(unit) is not None:
            return f", {dimension.name}"
    return ", a share" if unit == "%" else f", whose unit {unit!r} is unknown"


def _comma_fix(text: object) -> str:
    return "write the decimal point as '.', and no thousands mark" if "," in str(text) else ""


def _shown(text: object) -> str:
    shown = repr(text)
    return shown if len(shown) <= 60 else f"{shown[:57]}..."


def _write(value: float, unit: str, *, dimension: Dimension, decimals: int) -> str:
    name = dimension.unit(unit)
    if name is None:
        raise UnitError(
            where="unit",
            found=repr(unit),
            needed=f"a unit of {dimension.name}: {', '.join(dimension.factors)}",
        )
    return f"{_digits(value / dimension.factors[name], decimals)} {name}"


def _digits(value: float, decimals: int) -> str:
    if not math.isfinite(value):
        raise ValueError(f"cannot write {value} for an owner")
    shown = f"{value:.{decimals}f}"
    # A tiny negative number would print as "-0.0", which reads as if the sign meant something.
    return shown.removeprefix("-") if float(shown) == 0.0 else shown
