"""Numbers without a unit as an owner writes them: read, and refused where they make no sense."""

from __future__ import annotations

import math

from slowflight import units
from slowflight.errors import InputError, RangeError

MOST_ANGLES = 2000
LOWEST_ANGLE, HIGHEST_ANGLE = -30.0, 40.0  # of attack [deg]
FINEST_STEP = 0.01  # [deg]
# A sweep this narrow in steps this fine is what degrees turned into radians look like.
RADIAN_RANGE, RADIAN_STEP = 0.7, 0.05
FURTHEST_UP, FURTHEST_DOWN = -20.0, 60.0  # of a flap [deg]

_ANGLES_NEEDED = "degrees as FROM:TO:STEP, such as -4:18:1"


def number(text: object, *, where: str, lowest: float, highest: float, what: str) -> float:
    """Read a plain number within bounds.

    Parameters
    ----------
    text : str or float
        What the owner wrote, such as ``"1.5e6"``.
    where : str
        Option or field, for the message.
    lowest, highest : float
        The bounds, both allowed.
    what : str
        What it is, for the message: ``"a Reynolds number"``.

    Returns
    -------
    float

    Raises
    ------
    RangeError
        Where it is no number or outside the bounds.
    """
    value = _float(text)
    if value is None or not lowest <= value <= highest:
        raise RangeError(where=where, found=repr(text), needed=f"{what} from {lowest:g} to {highest:g}")
    return value


def angles(text: str, *, where: str) -> tuple[float, ...]:
    """Read angles of attack written ``FROM:TO:STEP``, TO included.

    Where the step does not reach TO evenly, TO comes last after a shorter step.

    Parameters
    ----------
    text : str
        Such as ``"-4:18:1"`` [deg].
    where : str
        Option or field, for the message.

    Returns
    -------
    tuple of float
        The angles, rising [deg].

    Raises
    ------
    InputError
        Where it is not of that form.
    RangeError
        Where an angle is outside -30 to 40, the step is not above 0, there are more than 2,000 angles, or the
        numbers look like radians.

    Examples
    --------
    >>> angles("0:2:0.5", where="--angles")
    (0.0, 0.5, 1.0, 1.5, 2.0)
    """
    parts = [_float(part) for part in text.split(":")]
    if len(parts) != 3 or any(part is None for part in parts):
        raise InputError(where=where, found=repr(text), needed=_ANGLES_NEEDED)
    first, last, step = (part for part in parts if part is not None)
    if not (LOWEST_ANGLE <= first <= HIGHEST_ANGLE and LOWEST_ANGLE <= last <= HIGHEST_ANGLE):
        needed = f"angles from {LOWEST_ANGLE:g} to {HIGHEST_ANGLE:g} degrees"
        raise RangeError(where=where, found=repr(text), needed=needed)
    if last < first or step <= 0.0:
        raise RangeError(where=where, found=repr(text), needed="FROM not above TO, and a STEP above 0")
    narrow = first != last and max(abs(first), abs(last)) < RADIAN_RANGE and step < RADIAN_STEP
    if step < FINEST_STEP or narrow:
        fix = "if these are radians, multiply by 57.3" if narrow else "widen the step"
        least = RADIAN_STEP if narrow else FINEST_STEP
        needed = f"degrees in steps of at least {least:g}"
        raise RangeError(where=where, found=repr(text), needed=needed, fix=fix)
    whole_steps = math.floor((last - first) / step + 1e-9)
    if whole_steps + 1 > MOST_ANGLES:
        found = f"{text!r}, which is {whole_steps + 1:,} angles"
        raise RangeError(where=where, found=found, needed=f"at most {MOST_ANGLES:,}", fix="widen the step")
    # Rounded so that 0.1 + 0.2 is written as 0.3 in every result.
    rising = [round(first + count * step, 9) for count in range(whole_steps + 1)]
    if last - rising[-1] > 1e-9:
        rising.append(last)
    return tuple(min(angle, last) for angle in rising)


def transition(text: str, *, where: str) -> tuple[float | None, float | None]:
    """Read where the layer is made turbulent: ``free``, a share of chord, or upper and lower apart.

    Parameters
    ----------
    text : str
        ``"free"``, ``"5 %"``, ``"0.05"``, ``"0.025,0.103"`` or ``"free,0.1"``.
    where : str
        Option or field, for the message.

    Returns
    -------
    tuple of (float or None, float or None)
        Upper and lower station [fraction of chord], None where free.

    Raises
    ------
    InputError
        Where it is none of these, or not above 0 and at most 1.
    """
    parts = [part.strip() for part in text.split(",")]
    if len(parts) > 2:
        needed = "'free', one share of chord, or two as UPPER,LOWER"
        raise InputError(where=where, found=repr(text), needed=needed)
    stations = [None if part.lower() == "free" else _station(part, where=where) for part in parts]
    return stations[0], stations[-1]


def flap_angle(text: object, *, where: str) -> float:
    """Read a flap angle in degrees, trailing edge down positive.

    Parameters
    ----------
    text : str or float
        A number of degrees, or text with its unit.
    where : str
        Option or field, for the message.

    Returns
    -------
    float
        [rad].

    Raises
    ------
    RangeError
        Outside -20 to 60 degrees, or a bare number between -1 and 1 other than 0, as radians would be.
    UnitError
        Where it is no angle.
    """
    degrees = _float(text)
    if degrees is None:
        radians = units.angle(text, where=where)
    elif 0.0 < abs(degrees) < 1.0:
        fix = f'write "{degrees:g} deg" or "{degrees:g} rad"'
        raise RangeError(where=where, found=repr(text), needed="degrees, or an angle with its unit", fix=fix)
    else:
        radians = math.radians(degrees)
    if not math.radians(FURTHEST_UP) <= radians <= math.radians(FURTHEST_DOWN):
        needed = f"a flap angle from {FURTHEST_UP:g} to {FURTHEST_DOWN:g} degrees"
        raise RangeError(where=where, found=repr(text), needed=needed)
    return radians


def _station(text: str, *, where: str) -> float:
    share = units.fraction(text, where=where)
    if not 0.0 < share <= 1.0:
        raise RangeError(
            where=where, found=repr(text), needed="'free' or a share of chord above 0, at most 1"
        )
    return share


def _float(text: object) -> float | None:
    """Return a finite number, or None."""
    if isinstance(text, bool) or not isinstance(text, str | int | float):
        return None
    try:
        value = float(text)
    except ValueError:
        return None
    # float() also reads "1_000", which no owner means.
    return value if math.isfinite(value) and "_" not in str(text) else None
