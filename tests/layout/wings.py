"""Wings and rows for the tests of this room; all invented."""

from __future__ import annotations

import math
from typing import Any

from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation
from slowflight.wing.vane_row import VaneRow


def straight_wing(*, airfoil: str = "4415", chord: float = 1.5, span: float = 8.0) -> Wing:
    section = naca_section(airfoil, points=401, closed_trailing_edge=True)
    station = WingStation(span_station=0.0, chord=chord, washout=0.0, section=section, airfoil=airfoil)
    return Wing(span=span, incidence=0.0, stations=(station,), cabin_width=1.0)


def tapered_wing(*, root: str = "4415", tip: str = "4415", chords: tuple[float, float] = (1.5, 1.1)) -> Wing:
    stations = tuple(
        WingStation(
            span_station=place,
            chord=chord,
            washout=0.0,
            section=naca_section(airfoil, points=401, closed_trailing_edge=True),
            airfoil=airfoil,
        )
        for place, chord, airfoil in zip((0.0, 4.0), chords, (root, tip), strict=True)
    )
    return Wing(span=8.0, incidence=0.0, stations=stations, cabin_width=1.0)


def vane_row(**changes: Any) -> VaneRow:
    values: dict[str, Any] = {
        "station": 0.07,
        "height": 0.008,
        "length": 0.023,
        "pitch": 0.084,
        "gap": 0.020,
        "incidence": math.radians(16.0),
        "span_from": 0.6,
        "span_to": 3.8,
    }
    return VaneRow(**{**values, **changes})
