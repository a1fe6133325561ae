"""Kinds of quantity an owner writes, and the likely slip where a value makes no sense.

A range such as ``"540 to 560 kg"`` is read where it is allowed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from slowflight import units
from slowflight.errors import RangeError, UnitError

# Mechanical horsepower, 550 foot-pounds a second, and the metric one, 75 kilogram-meters a second: NIST
# Special Publication 811 (2008), appendix B.8.
WATTS = {"kW": 1000.0, "hp": 745.69987158227022, "PS": 735.49875, "W": 1.0}
_ONE = re.compile(r"\s*(?P<number>[-+−]?\d+(?:\.\d*)?|\.\d+)\s*(?P<unit>[^\s\d.]+)\s*")
_RANGE = re.compile(r"\s*(?P<low>\S.*?)(?:\s+to\s+|\s*–\s*)(?P<high>\S.*?)\s*", re.IGNORECASE)
# A hyphen between two plain numbers; "5-3/8 in" is one length.
_HYPHEN = re.compile(r"\s*(?P<low>\d+(?:\.\d+)?)\s*-\s*(?P<high>\d+(?:\.\d+)?\s*[^\s\d./-][^\s\d.]*)\s*")


@dataclass(frozen=True)
class Kind:
    """One kind of quantity.

    Parameters
    ----------
    read : callable
        Takes the owner's value and, as ``where``, what to name in an error; returns SI.
    example : str
        A value that would be accepted, with its article.
    sizes : mapping of str to float
        Units and their size in SI, the likeliest to be confused first.
    """

    read: Callable[..., float]
    example: str
    sizes: Mapping[str, float] = field(default_factory=dict)


def power(text: object, *, where: str) -> float:
    """Read a power such as ``"80 hp"`` or ``"60 kW"`` [W]; UnitError where it is none."""
    found = _ONE.fullmatch(text) if isinstance(text, str) else None
    if found is not None:
        for name, watts in WATTS.items():
            if found["unit"].lower() == name.lower():
                return float(found["number"].replace("−", "-")) * watts
    raise UnitError(
        where=where,
        found=repr(text),
        needed=f"a power with its unit ({', '.join(WATTS)})",
        fix='write it like "80 hp"',
    )


LENGTH = Kind(units.length, 'a length such as "60 mm"', units.LENGTH.factors)
MASS = Kind(units.mass, 'a mass such as "520 kg"', units.MASS.factors)
SPEED = Kind(units.speed, 'a speed such as "40 kt"', units.SPEED.factors)
ANGLE = Kind(units.angle, 'an angle such as "12 deg"', units.ANGLE.factors)
SHARE = Kind(units.fraction, 'a share such as "25 %"')
POWER = Kind(power, 'a power such as "80 hp"', WATTS)


@dataclass(frozen=True)
class Reading:
    """A value as read.

    Parameters
    ----------
    value, low, high : float
        The value, or the middle of a range and its ends [SI]; all alike where it is no range.
    """

    value: float
    low: float
    high: float


def read_quantity(
    text: object,
    kind: Kind,
    *,
    low: str,
    high: str,
    where: str,
    ranged: bool = False,
    smallest: str = "",
) -> Reading:
    """Read a value or a range and refuse what makes no sense.

    Parameters
    ----------
    text : object
        What the owner wrote.
    kind : Kind
        What it should be.
    low, high : str
        Limits of what makes sense, as an owner would write them.
    where : str
        File, table and key, for messages.
    ranged : bool, optional
        Whether a range is allowed.
    smallest : str, optional
        Below this size a value other than zero is a slip.

    Returns
    -------
    Reading

    Raises
    ------
    UnitError
        Where a unit is missing or wrong.
    RangeError
        Where a value is out of its limits, with the unit that was probably meant, or a range runs downward.
    """
    ends = _range_ends(text, kind, where=where) if ranged else None
    if ends is None:
        value = _checked(text, kind, low=low, high=high, where=where, smallest=smallest)
        return Reading(value, value, value)
    first, last = (_checked(end, kind, low=low, high=high, where=where, smallest=smallest) for end in ends)
    if first >= last:
        raise RangeError(where=where, found=repr(text), needed="a range from the lower to the higher value")
    return Reading(0.5 * (first + last), first, last)


def likely_meant(text: object, kind: Kind, *, low: float, high: float) -> str:
    """Say which other unit would make sense of a value, or nothing.

    Parameters
    ----------
    text : object
        What the owner wrote.
    kind : Kind
        What it should be.
    low, high : float
        Limits [SI].

    Returns
    -------
    str
        Such as ``'perhaps "54 in" is meant'``, or that the decimal point may have slipped.
    """
    found = _ONE.fullmatch(text) if isinstance(text, str) else None
    if found is None:
        return ""
    number = float(found["number"].replace("−", "-"))
    sensible = [
        f'"{found["number"]} {unit}"' for unit, size in kind.sizes.items() if low <= number * size <= high
    ]
    if sensible:
        return f"perhaps {' or '.join(sensible)} is meant"
    size = kind.sizes.get(found["unit"].lower(), 0.0)
    for words, factor in (("less", 0.1), ("more", 10.0)):
        if low <= number * size * factor <= high:
            return f"ten times {words} would make sense: check the decimal point and the unit"
    return ""


def _checked(text: object, kind: Kind, *, low: str, high: str, where: str, smallest: str) -> float:
    value = kind.read(text, where=where)
    least, most = kind.read(low, where=where), kind.read(high, where=where)
    tiny = kind.read(smallest, where=where) if smallest else 0.0
    slack = 1e-9 * max(abs(least), abs(most))  # a limit itself is allowed in every unit
    if not least - slack <= value <= most + slack:
        raise RangeError(
            where=where,
            found=repr(text),
            needed=f"{low} to {high}",
            fix=likely_meant(text, kind, low=least, high=most) or "check the number and its unit",
        )
    if 0.0 < abs(value) < tiny:
        raise RangeError(
            where=where,
            found=repr(text),
            needed=f"zero, or {smallest} and more",
            fix=likely_meant(text, kind, low=tiny, high=most) or "check the number and its unit",
        )
    return value


def _range_ends(text: object, kind: Kind, *, where: str) -> tuple[str, str] | None:
    if not isinstance(text, str):
        return None
    found = _RANGE.fullmatch(text) or _HYPHEN.fullmatch(text)
    if found is None:
        return None
    low, high = found["low"], found["high"]
    try:
        kind.read(low, where=where)
    except UnitError:
        # "540 to 560 kg": the lower end borrows the unit.
        unit = _ONE.fullmatch(high)
        if unit is not None:
            low = f"{low} {unit['unit']}"
    return low, high
