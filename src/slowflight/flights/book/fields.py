"""Single values of flights.toml, with errors that name file, table and key."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

from slowflight import units
from slowflight.errors import InputError, RangeError, UnitError
from slowflight.flights.logs.log_units import (
    CLIMB_IN_LOGS,
    FLOW_IN_LOGS,
    PRESSURE_IN_LOGS,
    TEMPERATURE_IN_LOGS,
    LogQuantity,
)
from slowflight.wing.tomlfile import Table

GASOLINE = 720.0  # [kg/m^3], common practice, no source: only fuel burned on the way depends on it
UNKNOWN = ("", "unknown", "?", "not flown")


def given(table: Table, key: str) -> object | None:
    """Return a value, or None where it is missing, blank or ``"unknown"``."""
    if not table.has(key):
        return None
    value = table.value(key, needed="a value")
    return None if isinstance(value, str) and value.strip().lower() in UNKNOWN else value


def words(table: Table, key: str, default: str = "") -> str:
    """Return words; InputError where it is something else."""
    value = given(table, key)
    if value is None:
        return default
    if not isinstance(value, str):
        raise InputError(where=table.field(key), found=repr(value), needed="words in quotes")
    return value.strip()


def file(table: Table, key: str, folder: Path) -> Path | None:
    """Return a file or folder, looked for beside the book, or None."""
    name = words(table, key)
    return folder / name if name else None


def truth(table: Table, key: str) -> bool | None:
    """Return true or false, or None where it was not said; InputError where it is something else."""
    value = given(table, key)
    if isinstance(value, str) and value.lower() in ("yes", "no"):
        return value.lower() == "yes"
    if value is not None and not isinstance(value, bool):
        raise InputError(where=table.field(key), found=repr(value), needed="true or false, without quotes")
    return value


def count(table: Table, key: str, default: int, *, least: int = 0) -> int:
    """Return a whole number; InputError where it is none, or below the least."""
    value = given(table, key)
    if value is None:
        return default
    if not isinstance(value, int) or isinstance(value, bool) or value < least:
        raise InputError(where=table.field(key), found=repr(value), needed=f"a whole number from {least}")
    return value


def quantity(
    table: Table,
    key: str,
    read: Callable[..., float],
    *,
    low: float = -math.inf,
    high: float = math.inf,
    limits: str = "",
) -> float | None:
    """Return a quantity in SI within limits, or None where it was not given."""
    value = given(table, key)
    if value is None:
        return None
    number = read(value, where=table.field(key))
    if not low <= number <= high:
        raise RangeError(
            where=table.field(key), found=repr(value), needed=limits, fix="check the number and its unit"
        )
    return number


def degrees(table: Table, key: str) -> float | None:
    """Return a flap setting in degrees, from 20 up to 90 down, or None."""
    found = quantity(table, key, units.angle, low=-0.36, high=1.58, limits='a flap setting such as "20 deg"')
    return None if found is None else round(math.degrees(found), 2)


def mass(table: Table, key: str) -> float | None:
    """Return a mass of a light aircraft [kg], or None."""
    return quantity(table, key, units.mass, low=80.0, high=6000.0, limits="80 to 6000 kg")


def speed(table: Table, key: str, *, high: float = 150.0) -> float | None:
    """Return a speed [m/s], or None."""
    return quantity(table, key, units.speed, low=0.0, high=high, limits=f"0 to {high:.0f} m/s")


def wind(table: Table, key: str) -> float:
    """Return a wind along something [m/s], from behind with a minus; 0 where not given."""
    return quantity(table, key, units.speed, low=-20.0, high=20.0, limits="-20 to 20 m/s") or 0.0


def climb(table: Table, key: str) -> float | None:
    """Return a rate of sink [m/s], or None."""
    return _of(table, key, CLIMB_IN_LOGS, example="600 ft/min")


def temperature(table: Table, key: str) -> float | None:
    """Return a temperature [K], or None."""
    return _of(table, key, TEMPERATURE_IN_LOGS, example="12 C")


def pitch(table: Table, key: str) -> float | None:
    """Return a pitch [rad], nose up positive, or None."""
    return quantity(table, key, units.angle, low=-0.5, high=0.5, limits="-28 to 28 deg")


def pressure(table: Table, key: str) -> float | None:
    """Return a pressure at sea level [Pa], or None."""
    found = _of(table, key, PRESSURE_IN_LOGS, example="1013 hPa")
    if found is not None and not 85_000.0 <= found <= 109_000.0:
        raise RangeError(where=table.field(key), found=f"{found:.0f} Pa", needed="850 to 1090 hPa")
    return found


def flow(table: Table, key: str) -> float | None:
    """Return a fuel flow [m^3/s], or None."""
    return _of(table, key, FLOW_IN_LOGS, example="14 l/h")


def burn(table: Table, key: str) -> float:
    """Return the mass of fuel burned [kg/s] from ``"14 l/h"`` or ``"10 kg/h"``; 0 where not given."""
    value = given(table, key)
    if value is None:
        return 0.0
    text = str(value).strip()
    if text.endswith("/h") and units.MASS.unit(text[:-2].lstrip("0123456789. ")) is not None:
        return units.mass(text[:-2], where=table.field(key)) / 3600.0
    return GASOLINE * (flow(table, key) or 0.0)


def seconds(table: Table, key: str, *, most: float = 5.0) -> float:
    """Return a time [s] from ``"0.5 s"``; 0 where not given."""
    value = given(table, key)
    if value is None:
        return 0.0
    text = str(value).strip()
    try:
        found = float(text.removesuffix("s"))
    except ValueError:
        found = math.nan
    if not (text.endswith("s") and 0.0 <= found <= most):
        raise InputError(
            where=table.field(key), found=repr(value), needed=f'0 to {most:g} seconds, like "0.5 s"'
        )
    return found


def signed_seconds(table: Table, key: str) -> float | None:
    """Return a time [s] from ``"-3600 s"``, or None where not given."""
    value = given(table, key)
    if value is None:
        return None
    try:
        return float(str(value).strip().replace("−", "-").removesuffix("s"))
    except ValueError:
        raise InputError(
            where=table.field(key), found=repr(value), needed='seconds, like "-3600.4 s"'
        ) from None


def _of(table: Table, key: str, kind: LogQuantity, *, example: str) -> float | None:
    value = given(table, key)
    if value is None:
        return None
    text = str(value).strip().replace("−", "-")
    number = text.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/°% ")
    unit = kind.unit(text[len(number) :])
    try:
        scale = kind.units[unit or ""]
        return scale.factor * float(number) + scale.offset
    except (KeyError, ValueError):
        raise UnitError(
            where=table.field(key),
            found=repr(value),
            needed=f"{kind.name} in {', '.join(kind.units)}",
            fix=f'write it like "{example}"',
        ) from None
