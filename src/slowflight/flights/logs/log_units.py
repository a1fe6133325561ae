"""Units that logs are written in, and how to bring each to SI."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from slowflight.air import GRAVITY
from slowflight.units import ANGLE, LENGTH, SPEED

ZERO_CELSIUS = 273.15  # [K]


@dataclass(frozen=True)
class LogUnit:
    """How one unit becomes SI: ``si = factor * written + offset``.

    Parameters
    ----------
    factor, offset : float
        In SI units of the quantity.
    """

    factor: float
    offset: float = 0.0


@dataclass(frozen=True)
class LogQuantity:
    """A kind of quantity in logs, and the units it comes in.

    Parameters
    ----------
    name : str
        With its article, for messages.
    units : mapping of str to LogUnit
        By the name that a saved mapping uses.
    spellings : mapping of str to str
        Other spellings, in lower case without spaces.
    """

    name: str
    units: Mapping[str, LogUnit]
    spellings: Mapping[str, str] = field(default_factory=dict)

    def unit(self, text: str) -> str | None:
        """Return a unit's own name for a spelling of it, else None."""
        squeezed = text.strip().lower().replace(" ", "").rstrip(".")
        if squeezed in self.units:
            return squeezed
        known = self.spellings.get(squeezed)
        return known if known in self.units else None


def _plain(factors: Mapping[str, float]) -> dict[str, LogUnit]:
    return {name: LogUnit(factor) for name, factor in factors.items()}


SPEED_IN_LOGS = LogQuantity(
    "a speed",
    _plain(SPEED.factors),
    dict(SPEED.spellings)
    | {"mps": "m/s", "ms": "m/s", "m/sec": "m/s", "ktas": "kt", "kias": "kt", "mi/h": "mph", "ms-1": "m/s"},
)
LENGTH_IN_LOGS = LogQuantity(
    "a height",
    _plain({"m": 1.0, "ft": 0.3048, "km": 1000.0}),
    dict(LENGTH.spellings) | {"meter": "m", "meters": "m", "metres": "m", "ftmsl": "ft", "ftagl": "ft"},
)
CLIMB_IN_LOGS = LogQuantity(
    "a vertical speed",
    _plain({"ft/min": 0.3048 / 60.0, "m/s": 1.0, "kt": SPEED.factors["kt"], "m/min": 1.0 / 60.0}),
    {"fpm": "ft/min", "ftmin": "ft/min", "ftpm": "ft/min", "mps": "m/s", "ms": "m/s", "kts": "kt"},
)
ANGLE_IN_LOGS = LogQuantity(
    "an angle",
    _plain(ANGLE.factors),
    dict(ANGLE.spellings) | {"degt": "deg", "degm": "deg", "degtrue": "deg", "dd": "deg"},
)
TEMPERATURE_IN_LOGS = LogQuantity(
    "a temperature",
    {
        "c": LogUnit(1.0, ZERO_CELSIUS),
        "f": LogUnit(5.0 / 9.0, ZERO_CELSIUS - 160.0 / 9.0),
        "k": LogUnit(1.0),
    },
    {"degc": "c", "°c": "c", "celsius": "c", "degf": "f", "°f": "f", "fahrenheit": "f", "kelvin": "k"},
)
PRESSURE_IN_LOGS = LogQuantity(
    "a pressure",
    # Conventional inch of mercury at 0 degC: NIST SP 811, appendix B.8.
    _plain({"hpa": 100.0, "pa": 1.0, "kpa": 1000.0, "mbar": 100.0, "inhg": 3386.389}),
    {"mb": "mbar", "in.hg": "inhg", "inhga": "inhg"},
)
LOAD_IN_LOGS = LogQuantity(
    "a load factor",
    {
        "g": LogUnit(1.0),
        "g-1": LogUnit(1.0, 1.0),  # reads 0 in level flight
        "-g": LogUnit(-1.0),  # reads -1 in level flight
        "m/s2": LogUnit(1.0 / GRAVITY),
    },
    {"gs": "g", "m/s^2": "m/s2", "m/s²": "m/s2", "mps2": "m/s2"},
)
ACCELERATION_IN_LOGS = LogQuantity(
    "an acceleration",
    _plain({"m/s2": 1.0, "g": GRAVITY, "-g": -GRAVITY, "mg": GRAVITY / 1000.0}),
    {"m/s^2": "m/s2", "m/s²": "m/s2", "mps2": "m/s2", "gs": "g", "ms2": "m/s2"},
)
ROTATION_IN_LOGS = LogQuantity(
    "a rate of turn",
    _plain({"rad/s": 1.0, "deg/s": math.pi / 180.0}),
    {"rads": "rad/s", "rps": "rad/s", "dps": "deg/s", "°/s": "deg/s", "degs": "deg/s", "deg/sec": "deg/s"},
)
ENGINE_IN_LOGS = LogQuantity("an engine speed", _plain({"rpm": 1.0 / 60.0, "1/s": 1.0}), {"1/min": "rpm"})
FLOW_IN_LOGS = LogQuantity(
    "a fuel flow",
    # US gallon: NIST SP 811, appendix B.8.
    _plain({"l/h": 1e-3 / 3600.0, "gal/h": 3.785411784e-3 / 3600.0}),
    {"lph": "l/h", "gph": "gal/h", "l/hr": "l/h", "gal/hr": "gal/h"},
)
NUMBER_IN_LOGS = LogQuantity("a number", {"number": LogUnit(1.0), "%": LogUnit(0.01)}, {"": "number"})

QUANTITIES = (
    SPEED_IN_LOGS,
    LENGTH_IN_LOGS,
    CLIMB_IN_LOGS,
    ANGLE_IN_LOGS,
    TEMPERATURE_IN_LOGS,
    PRESSURE_IN_LOGS,
    LOAD_IN_LOGS,
    ACCELERATION_IN_LOGS,
    ROTATION_IN_LOGS,
    ENGINE_IN_LOGS,
    FLOW_IN_LOGS,
    NUMBER_IN_LOGS,
)


def is_a_unit(text: str) -> bool:
    """Whether some quantity is written in this unit."""
    return bool(text.strip()) and any(quantity.unit(text) for quantity in QUANTITIES)
