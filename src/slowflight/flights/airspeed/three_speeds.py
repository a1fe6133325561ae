"""True airspeed from three ground speeds alone, where headings or tracks were flown exactly.

Cross-checks beside `circle_fit`, which is the default: these have no spare leg, so no scatter to judge by.
Source: Gratton (2007) shows methods of this kind in one notation; the closed forms follow from
the wind triangle.
"""

from __future__ import annotations

import math

from slowflight.errors import InputError

SOURCES = ("Gratton2007",)


def headings_a_third_apart(first: float, second: float, third: float) -> tuple[float, float]:
    """True airspeed and wind speed from three headings exactly 120 degrees apart.

    Parameters
    ----------
    first, second, third : float
        Ground speeds [m/s].

    Returns
    -------
    true_airspeed, wind_speed : float
        [m/s]; true airspeed is taken as the larger of the two.

    Raises
    ------
    InputError
        Where no such wind exists.
    """
    mean_square = (first**2 + second**2 + third**2) / 3.0
    spread = sum((speed**2 / mean_square - 1.0) ** 2 for speed in (first, second, third)) / 6.0
    if spread > 0.25:
        raise _impossible("120 degrees apart")
    larger = 0.5 + math.sqrt(0.25 - spread)
    return math.sqrt(mean_square * larger), math.sqrt(mean_square * spread / larger)


def headings_square(ahead: float, right: float, back: float) -> tuple[float, float, float]:
    """True airspeed and wind from three headings, each 90 degrees right of the one before.

    Parameters
    ----------
    ahead, right, back : float
        Ground speeds [m/s].

    Returns
    -------
    true_airspeed, wind_ahead, wind_right : float
        [m/s], wind toward where it blows, along the first heading and to the right of it.

    Raises
    ------
    InputError
        Where no such wind exists.
    """
    total = ahead**2 + back**2
    along, across = (ahead**2 - back**2) / 4.0, (right**2 - total / 2.0) / 2.0
    inside = total**2 / 4.0 - 4.0 * (along**2 + across**2)
    if inside < 0.0:
        raise _impossible("90 degrees apart")
    true = math.sqrt((total / 2.0 + math.sqrt(inside)) / 2.0)
    return true, along / true, across / true


def tracks_square(ahead: float, right: float, back: float) -> tuple[float, float, float]:
    """True airspeed and wind from three ground tracks, each 90 degrees right of the one before.

    Parameters
    ----------
    ahead, right, back : float
        Ground speeds [m/s], above 0.

    Returns
    -------
    true_airspeed, wind_ahead, wind_right : float
        [m/s], wind toward where it blows, along the first track and to the right of it.
    """
    along, middle = (ahead - back) / 2.0, (ahead + back) / 2.0
    across = (right**2 + along**2 - middle**2) / (2.0 * right)
    return math.hypot(middle, across), along, across


def _impossible(headings: str) -> InputError:
    return InputError(
        where="wind legs",
        found="three ground speeds that no wind can give",
        needed=f"steady legs on headings {headings}",
        fix="fly them again, or use legs with their tracks",
    )
