"""What the skin and the air are like, in an owner's words, and where layers turn turbulent because of it.

Each word stands for stated values: where both layers are made turbulent, and the critical amplification
factor where they are left free. None of these values was measured on the owner's wing.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from slowflight import units
from slowflight.errors import InputError, RangeError

WORDS = ("smooth", "bugs", "propwash")
LAP = "fabric_lap"
NEEDED = '"smooth", "bugs", "propwash" or { fabric_lap = "12 %" }'
STILL_AIR = 9.0  # the usual factor for smooth skins and quiet air (Drela and Giles 1987)
PROPWASH_TURBULENCE = 0.01  # velocity swing over speed behind a propeller, own choice
BUGS_STATION = 0.02  # own choice, within the nose on which insects stick
FOREMOST_LAP, AFTMOST_LAP = 0.01, 0.9  # share of chord


@dataclass(frozen=True, kw_only=True)
class SurfaceState:
    """Skin and air as far as transition goes.

    Parameters
    ----------
    words : str
        As the owner would say it.
    transition : tuple of (float or None, float or None)
        Upper and lower station where the layer is made turbulent [fraction of chord]; ``None`` leaves it
        free.
    critical_amplification : float
        Factor at which a free layer turns turbulent [-].
    basis : str
        Where the values come from.
    sources : tuple of str
        Keys of the bibliography.
    """

    words: str
    transition: tuple[float | None, float | None]
    critical_amplification: float
    basis: str
    sources: tuple[str, ...] = ()


def amplification_in_turbulence(turbulence: float) -> float:
    """Critical amplification factor in a turbulent stream, Mack (1977).

    Parameters
    ----------
    turbulence : float
        Root mean square of the velocity swing over the speed [-], 0.0007 to 0.0298.

    Returns
    -------
    float
        -8.43 - 2.4 ln(turbulence) [-].

    Raises
    ------
    RangeError
        Outside that range.
    """
    if not 7e-4 <= turbulence <= 0.0298:
        raise RangeError(where="turbulence", found=f"{turbulence:g}", needed="0.0007 to 0.0298")
    return -8.43 - 2.4 * math.log(turbulence)


SMOOTH = SurfaceState(
    words="smooth",
    transition=(None, None),
    critical_amplification=STILL_AIR,
    basis="a clean, smooth skin in still air: transition is left free at the usual factor of 9",
    sources=("DrelaGiles1987",),
)
BUGS = SurfaceState(
    words="bugs",
    transition=(BUGS_STATION, BUGS_STATION),
    critical_amplification=STILL_AIR,
    basis="both layers turbulent from 2 % of chord on; own choice, no source",
)
PROPWASH = SurfaceState(
    words="propwash",
    transition=(None, None),
    critical_amplification=amplification_in_turbulence(PROPWASH_TURBULENCE),
    basis="transition free in a stream of 1 % turbulence: Mack's formula; the 1 % is our own choice",
    sources=("Mack1977",),
)
_BY_WORD = {state.words: state for state in (SMOOTH, BUGS, PROPWASH)}


def fabric_lap(station: float) -> SurfaceState:
    """Both layers made turbulent by a lap or a tape across the skin at a station [fraction of chord].

    Raises
    ------
    RangeError
        Where the station is not between 1 and 90 %.
    """
    if not FOREMOST_LAP <= station <= AFTMOST_LAP:
        found = f"{100.0 * station:.1f} % of chord"
        raise RangeError(where="fabric lap", found=found, needed="1 % to 90 %")
    return SurfaceState(
        words=f"fabric lap at {100.0 * station:.0f} %",
        transition=(station, station),
        critical_amplification=STILL_AIR,
        basis="both layers turbulent from the lap on; own choice, and a low lap may leave a layer alone",
    )


def surface_state(value: object, *, where: str) -> SurfaceState:
    """Understand ``surface`` of a wing.toml: a word, or ``{ fabric_lap = "12 %" }``.

    Parameters
    ----------
    value : object
        As the TOML library gives it.
    where : str
        File, table and key.

    Returns
    -------
    SurfaceState

    Raises
    ------
    InputError
        Where it is none of these.
    UnitError, RangeError
        Where the place of a lap has no unit or lies off the skin.
    """
    if isinstance(value, str) and value.strip().lower() in _BY_WORD:
        return _BY_WORD[value.strip().lower()]
    if isinstance(value, dict) and set(value) == {LAP}:
        station = units.fraction(value[LAP], where=f"{where}.{LAP}")
        try:
            return fabric_lap(station)
        except RangeError as error:
            raise RangeError(where=f"{where}.{LAP}", found=error.found, needed=error.needed) from None
    fix = 'say where: surface = { fabric_lap = "12 %" }' if _mentions_lap(value) else ""
    raise InputError(where=where, found=repr(value), needed=NEEDED, fix=fix)


def _mentions_lap(value: object) -> bool:
    return isinstance(value, str) and "lap" in value.lower()
