"""A wing seen from above: span, chords, washout and the sections it is built of.

Both halves are alike. Between two stations everything is drawn straight, as over straight spars; inboard of
the first station the wing goes on as it is there, through the cabin to the centerline.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from slowflight import units
from slowflight.errors import RangeError
from slowflight.wing.section import Section
from slowflight.wing.surface_state import SMOOTH, SurfaceState

# How near the last station has to come to the tip [share of the semi-span].
TIP_TOLERANCE = 1e-6


@dataclass(frozen=True, kw_only=True)
class WingStation:
    """What the wing is at one place along the span.

    Parameters
    ----------
    span_station : float
        From the aircraft's centerline [m].
    chord : float
        Of the main wing, flap not counted [m].
    washout : float
        Nose down against the root [rad], positive downward.
    section : Section
        The airfoil there.
    airfoil : str
        How the owner named it: a NACA name or a file.

    Raises
    ------
    RangeError
        Where a number is not finite, the place is beyond the centerline or the chord is not above zero.
    """

    span_station: float
    chord: float
    washout: float
    section: Section
    airfoil: str

    def __post_init__(self) -> None:
        for name in ("span_station", "chord", "washout"):
            value = getattr(self, name)
            if not math.isfinite(value):
                raise RangeError(where=f"wing section {name}", found=str(value), needed="a finite number")
        if self.span_station < 0.0:
            raise RangeError(
                where="wing section span_station", found=f"{self.span_station} m", needed="zero or more"
            )
        if self.chord <= 0.0:
            raise RangeError(where="wing section chord", found=f"{self.chord} m", needed="a chord above zero")


@dataclass(frozen=True, kw_only=True)
class Wing:
    """A wing of two like halves.

    Parameters
    ----------
    span : float
        Tip to tip [m].
    incidence : float
        Chord line of the root above the line on the fuselage from which the three-point attitude is measured
        [rad].
    stations : tuple of WingStation
        From the root outward. A single one stands for a wing of constant chord; of several, the last lies at
        the tip.
    cabin_width : float
        Where the wing crosses the fuselage [m].
    surface : SurfaceState
        What skin and air are like, as far as transition goes.

    Raises
    ------
    RangeError
        Where a number is not finite, span or cabin width are not above zero, there is no station, stations do
        not run outward, or the last of several is not at the tip.
    """

    span: float
    incidence: float
    stations: tuple[WingStation, ...]
    cabin_width: float
    surface: SurfaceState = SMOOTH

    def __post_init__(self) -> None:
        if not (math.isfinite(self.span) and self.span > 0.0):
            raise RangeError(where="wing span", found=f"{self.span} m", needed="a span above zero")
        if not math.isfinite(self.incidence):
            raise RangeError(where="wing incidence", found=str(self.incidence), needed="a finite angle")
        if not (math.isfinite(self.cabin_width) and 0.0 < self.cabin_width < self.span):
            raise RangeError(
                where="wing cabin_width",
                found=f"{self.cabin_width} m",
                needed="a width above zero and below the span",
            )
        if not self.stations:
            raise RangeError(where="wing section", found="no section", needed="at least one")
        places = [station.span_station for station in self.stations]
        for inner, outer in itertools.pairwise(places):
            if outer <= inner:
                raise RangeError(
                    where="wing section span_station",
                    found=f"{_m(outer)} after {_m(inner)}",
                    needed="sections from the root outward, each at a place of its own",
                )
        if len(places) > 1 and abs(places[-1] - self.semi_span) > TIP_TOLERANCE * self.semi_span:
            raise RangeError(
                where="wing section span_station",
                found=f"the last section at {_m(places[-1])}",
                needed=f"the last of several at the tip, {_m(self.semi_span)} from the centerline",
            )
        if places[0] > self.semi_span:
            raise RangeError(
                where="wing section span_station",
                found=f"a section at {_m(places[0])}",
                needed=f"a place on the wing, up to {_m(self.semi_span)} from the centerline",
            )

    @property
    def semi_span(self) -> float:
        """From centerline to tip [m]."""
        return 0.5 * self.span

    @property
    def area(self) -> float:
        """Of both halves, through the cabin to the centerline, flap not counted [m2]."""
        first = self.stations[0]
        if len(self.stations) == 1:
            return self.span * first.chord
        half = first.span_station * first.chord
        for inner, outer in itertools.pairwise(self.stations):
            half += 0.5 * (inner.chord + outer.chord) * (outer.span_station - inner.span_station)
        return 2.0 * half

    @property
    def mean_chord(self) -> float:
        """Area over span [m]."""
        return self.area / self.span

    @property
    def aspect_ratio(self) -> float:
        """Span squared over area [-]."""
        return self.span**2 / self.area

    def neighbors(self, span_station: float) -> tuple[WingStation, WingStation, float]:
        """Find the stations on both sides of a place.

        Parameters
        ----------
        span_station : float
            From the centerline, on either half [m].

        Returns
        -------
        tuple of (WingStation, WingStation, float)
            The inner one, the outer one and the share of the outer [-], 0 to 1. Inboard of the first station,
            and on a wing of one station, both are the same and the share is 0.

        Raises
        ------
        RangeError
            Where the place is beyond the tip.
        """
        place = abs(span_station)
        if not place <= self.semi_span * (1.0 + TIP_TOLERANCE):
            raise RangeError(
                where="place along the span",
                found=f"{span_station} m",
                needed=f"up to {_m(self.semi_span)} from the centerline",
            )
        first = self.stations[0]
        if len(self.stations) == 1 or place <= first.span_station:
            return first, first, 0.0
        for inner, outer in itertools.pairwise(self.stations):
            if place <= outer.span_station:
                width = outer.span_station - inner.span_station
                return inner, outer, (place - inner.span_station) / width
        return self.stations[-2], self.stations[-1], 1.0

    def chord_at(self, span_station: float) -> float:
        """Chord at a place along the span [m]; errors as for `neighbors`."""
        inner, outer, share = self.neighbors(span_station)
        return inner.chord + share * (outer.chord - inner.chord)

    def washout_at(self, span_station: float) -> float:
        """Washout at a place along the span [rad]; errors as for `neighbors`."""
        inner, outer, share = self.neighbors(span_station)
        return inner.washout + share * (outer.washout - inner.washout)


def _m(value: float) -> str:
    return units.format_length(value, "m", decimals=3)
