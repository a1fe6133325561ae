"""Airfoils from the NACA four- and five-digit formulas.

A thickness is laid off square to a mean line, half to each side. Stations follow a cosine law, dense at the
nose and at the trailing edge.

Sources
-------
Jacobs, Ward and Pinkerton, NACA Report 460, 1933: the four-digit family, its thickness and mean lines.
Jacobs and Pinkerton, NACA Report 537, 1936: the five-digit family, simple and reflexed mean lines.
Abbott, von Doenhoff and Stivers, NACA Report 824, 1945: both families in one place.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from slowflight.errors import InputError, RangeError
from slowflight.wing.outline import FloatArray
from slowflight.wing.section import MOST_POINTS, Section

DEFAULT_POINTS = 201
THICKEST_PERCENT = 40

_NAME = re.compile(r"\s*(?:naca[\s_-]*)?(\d{4,5})\s*", re.IGNORECASE)


@dataclass(frozen=True)
class FiveDigitLine:
    """Constants of a five-digit mean line at a design lift coefficient of 0.3.

    Parameters
    ----------
    camber_station : float
        Where the mean line is highest [chords].
    join : float
        Where its forward cubic joins the aft part, m in the reports [chords].
    forward, ratio : float
        The reports' k1, and k2/k1 (0 for a simple line, whose aft part is straight) [-].
    """

    camber_station: float
    join: float
    forward: float
    ratio: float = 0.0


# NACA Report 537, tables of the simple and reflexed mean lines; keyed by the second and third digit.
FIVE_DIGIT_LINES = {
    "10": FiveDigitLine(0.05, 0.0580, 361.4),
    "20": FiveDigitLine(0.10, 0.1260, 51.64),
    "30": FiveDigitLine(0.15, 0.2025, 15.957),
    "40": FiveDigitLine(0.20, 0.2900, 6.643),
    "50": FiveDigitLine(0.25, 0.3910, 3.230),
    "21": FiveDigitLine(0.10, 0.1300, 51.99, 0.000764),
    "31": FiveDigitLine(0.15, 0.2170, 15.793, 0.00677),
    "41": FiveDigitLine(0.20, 0.3180, 6.520, 0.0303),
    "51": FiveDigitLine(0.25, 0.4410, 3.191, 0.1355),
}


def naca_digits(text: str) -> str | None:
    """Return the four or five digits of a name such as ``"naca4412"`` or ``"NACA 23012"``, else ``None``."""
    found = _NAME.fullmatch(text)
    return found.group(1) if found else None


def naca_section(
    name_or_digits: str,
    *,
    points: int = DEFAULT_POINTS,
    closed_trailing_edge: bool = False,
    extended_trailing_edge: bool = False,
) -> Section:
    """Draw a NACA four- or five-digit airfoil from its formula.

    Parameters
    ----------
    name_or_digits : str
        ``"4412"``, ``"naca4412"`` or ``"NACA 23012"``.
    points : int, optional
        Points of the outline, an odd number from 41 to 4,999 [-].
    closed_trailing_edge : bool, optional
        Close the trailing edge by the change of the last thickness coefficient from 0.1015 to 0.1036
        (common practice, no source). The formula itself leaves it open by 2.1 % of the thickness.
    extended_trailing_edge : bool, optional
        Close it instead by following the formula past the chord to where it closes and scaling the thickness
        back to unit chord, as the NASA Turbulence Modeling Resource does for the 0012.

    Returns
    -------
    Section
        With the nose end of the chord line at (0, 0) and the chord of the formula, not redrawn about its
        foremost point.

    Raises
    ------
    InputError
        Where the name is none of this family, or both ways of closing are asked for.
    RangeError
        Where the thickness or the number of points is out of range.
    SectionError
        Where the formula crosses itself, as it does for a thick section about a mean line bent at the nose.

    Notes
    -----
    Four digits mpTT: camber m per cent at p tenths of chord, thickness TT per cent (NACA Report 460). Five
    digits LPSTT: design lift coefficient 0.15 L, highest camber at P/20 of chord, S 0 simple or 1 reflexed
    (NACA Report 537).

    Examples
    --------
    >>> round(naca_section("0012").max_thickness, 3)
    0.12
    """
    digits = naca_digits(name_or_digits)
    if digits is None:
        raise InputError(
            where="airfoil",
            found=repr(name_or_digits),
            needed="a NACA four- or five-digit name such as naca4412 or naca23012",
        )
    if points < 41 or points > MOST_POINTS or points % 2 == 0:
        raise RangeError(
            where=f"points of NACA {digits}",
            found=str(points),
            needed=f"an odd number from 41 to {MOST_POINTS - 1:,}",
        )
    if closed_trailing_edge and extended_trailing_edge:
        raise InputError(
            where=f"trailing edge of NACA {digits}", found="two ways of closing it", needed="one of them"
        )
    thickness = int(digits[-2:]) / 100.0
    if not 1 <= int(digits[-2:]) <= THICKEST_PERCENT:
        raise RangeError(
            where=f"airfoil NACA {digits}",
            found=f"a thickness of {int(digits[-2:])} %",
            needed=f"1 to {THICKEST_PERCENT} %",
        )
    station = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, points // 2 + 1)))
    if len(digits) == 4:
        height, slope = _four_digit_mean_line(digits, station)
    else:
        height, slope = _five_digit_mean_line(digits, station)
    if extended_trailing_edge:
        half = half_thickness(station * closing_station(), thickness=thickness) / closing_station()
    else:
        half = half_thickness(station, thickness=thickness, closed=closed_trailing_edge)
    if closed_trailing_edge or extended_trailing_edge:
        half[-1] = 0.0
    cosine = 1.0 / np.hypot(1.0, slope)
    sine = slope * cosine
    upper = np.column_stack((station - half * sine, height + half * cosine))
    lower = np.column_stack((station + half * sine, height - half * cosine))
    whole = np.concatenate((lower[:0:-1], upper))
    family = (
        "four-digit formula, NACA Report 460" if len(digits) == 4 else "five-digit formula, NACA Report 537"
    )
    ending = "closed by its last coefficient" if closed_trailing_edge else "as the formula leaves it"
    if extended_trailing_edge:
        ending = "closed by following the formula past the chord"
    return Section(
        name=f"NACA {digits}",
        x=whole[:, 0],
        y=whole[:, 1],
        source=f"NACA {digits}: {family}",
        notes=(f"trailing edge {ending}",),
    )


def half_thickness(station: FloatArray, *, thickness: float, closed: bool = False) -> FloatArray:
    """Half thickness of the four- and five-digit families, square to the mean line.

    Parameters
    ----------
    station : FloatArray
        Along the chord from the nose [chords], shape (n,).
    thickness : float
        Greatest thickness [chords].
    closed : bool, optional
        Use 0.1036 for the last coefficient, which closes the trailing edge (common practice, no source).

    Returns
    -------
    FloatArray
        [chords], shape (n,).

    Notes
    -----
    NACA Report 460, the thickness equation; nose radius 1.1019 times the thickness squared.
    """
    last = 0.1036 if closed else 0.1015
    series = 0.2969 * np.sqrt(station) + station * (
        -0.1260 + station * (-0.3516 + station * (0.2843 - station * last))
    )
    return np.asarray(thickness / 0.20 * series)


def closing_station() -> float:
    """Where the open thickness formula closes, a little behind the chord [chords].

    Newton's method from 1.01; the NASA Turbulence Modeling Resource prints 1.008930411365.
    """
    at = 1.01
    for _ in range(20):
        value = 0.2969 * at**0.5 - 0.1260 * at - 0.3516 * at**2 + 0.2843 * at**3 - 0.1015 * at**4
        slope = 0.14845 * at**-0.5 - 0.1260 - 0.7032 * at + 0.8529 * at**2 - 0.4060 * at**3
        at -= value / slope
    return at


def _four_digit_mean_line(digits: str, station: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Height [chords] and slope [-] of the two parabolas of NACA Report 460."""
    camber, place = int(digits[0]) / 100.0, int(digits[1]) / 10.0
    if camber == 0.0 and place == 0.0:
        return np.zeros_like(station), np.zeros_like(station)
    if camber == 0.0 or place == 0.0:
        raise InputError(
            where="airfoil",
            found=f"NACA {digits}",
            needed="camber and its place both zero or both more",
            fix=f"write naca00{digits[2:]} for a symmetrical section",
        )
    ahead = station < place
    scale = np.where(ahead, camber / place**2, camber / (1.0 - place) ** 2)
    height = scale * np.where(
        ahead, station * (2.0 * place - station), 1.0 - 2.0 * place + station * (2.0 * place - station)
    )
    return height, 2.0 * scale * (place - station)


def _five_digit_mean_line(digits: str, station: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Height [chords] and slope [-] of the cubic mean lines of NACA Report 537."""
    line = FIVE_DIGIT_LINES.get(digits[1:3])
    if line is None or digits[0] == "0":
        raise InputError(
            where="airfoil",
            found=f"NACA {digits}",
            needed="a first digit of 1 to 9 and second and third digits among " + ", ".join(FIVE_DIGIT_LINES),
        )
    # The tables hold for a first digit of 2, a design lift coefficient of 0.3; the mean line scales with it.
    scale = line.forward / 6.0 * int(digits[0]) / 2.0
    m, ratio = line.join, line.ratio
    tail = ratio * (1.0 - m) ** 3 + m**3
    beyond = station - m
    cubic = np.where(beyond < 0.0, 1.0, ratio) * beyond**3
    return scale * (cubic - tail * station + m**3), scale * (
        3.0 * np.where(beyond < 0.0, 1.0, ratio) * beyond**2 - tail
    )
