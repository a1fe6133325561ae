"""Area, mean chord and interpolation of a wing, against hand geometry."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slowflight.errors import RangeError
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation

SECTION = naca_section("naca2414")


def station(place: float, chord: float, washout: float = 0.0) -> WingStation:
    return WingStation(span_station=place, chord=chord, washout=washout, section=SECTION, airfoil="naca2414")


def wing(*stations: WingStation, span: float = 10.0) -> Wing:
    return Wing(span=span, incidence=0.03, stations=stations, cabin_width=1.1)


def test_a_single_section_is_a_rectangle() -> None:
    """Plane geometry: 10 m by 1.4 m."""
    plain = wing(station(0.0, 1.4))
    assert plain.area == pytest.approx(14.0)
    assert plain.mean_chord == pytest.approx(1.4)
    assert plain.aspect_ratio == pytest.approx(10.0 / 1.4)
    assert plain.neighbors(3.0) == (plain.stations[0], plain.stations[0], 0.0)


def test_a_tapered_wing_is_two_trapezoids() -> None:
    """Plane geometry: half the sum of the parallel sides times the height, (1.6 + 1.0) / 2 x 5 m, twice."""
    tapered = wing(station(0.0, 1.6), station(5.0, 1.0, 0.04))
    assert tapered.area == pytest.approx(13.0)
    assert tapered.mean_chord == pytest.approx(1.3)
    assert tapered.aspect_ratio == pytest.approx(100.0 / 13.0)
    assert tapered.chord_at(2.0) == pytest.approx(1.36)
    assert tapered.washout_at(-2.0) == pytest.approx(0.016)


def test_a_center_section_goes_on_to_the_centerline() -> None:
    """Plane geometry: 1.5 m x 2 m of rectangle and (1.5 + 0.9) / 2 x 3 m of trapezoid, on each side."""
    cranked = wing(station(2.0, 1.5, 0.01), station(5.0, 0.9, 0.05))
    assert cranked.area == pytest.approx(2.0 * (3.0 + 3.6))
    assert cranked.chord_at(0.4) == 1.5
    assert cranked.washout_at(1.9) == 0.01
    inner, outer, share = cranked.neighbors(-3.5)
    assert (inner, outer) == cranked.stations
    assert share == pytest.approx(0.5)


def test_the_tip_itself_belongs_to_the_wing() -> None:
    tapered = wing(station(0.0, 1.6), station(5.0, 1.0))
    assert tapered.neighbors(5.0)[2] == pytest.approx(1.0)
    assert tapered.chord_at(5.0 * (1.0 + 1e-9)) == pytest.approx(1.0)


@given(
    chords=st.lists(st.floats(0.4, 3.0), min_size=2, max_size=6),
    places=st.lists(st.floats(0.05, 0.95), min_size=6, max_size=6, unique=True),
    first=st.floats(0.0, 0.04),
)
def test_the_area_is_the_integral_of_the_chord(
    chords: list[float], places: list[float], first: float
) -> None:
    """The area counted in thin strips."""
    shares = [first, *sorted(places)[: len(chords) - 2], 1.0]
    built = wing(*(station(5.0 * share, chord) for share, chord in zip(shares, chords, strict=True)))
    strips = 4000
    counted = math.fsum(
        built.chord_at(5.0 * (index + 0.5) / strips) * 5.0 / strips for index in range(strips)
    )
    assert built.area == pytest.approx(2.0 * counted, rel=1e-4)


@pytest.mark.parametrize(
    ("stations", "message"),
    [
        ((), "no section"),
        ((station(1.0, 1.4), station(1.0, 1.2)), "1.000 m after 1.000 m"),
        ((station(0.0, 1.4), station(4.0, 1.2)), "the last of several at the tip, 5.000 m"),
        ((station(6.0, 1.4),), "a place on the wing"),
    ],
)
def test_stations_that_make_no_wing(stations: tuple[WingStation, ...], message: str) -> None:
    with pytest.raises(RangeError, match=re.escape(message)):
        wing(*stations)


@pytest.mark.parametrize("value", [math.nan, math.inf, 0.0, -1.0])
def test_sizes_that_are_none(value: float) -> None:
    with pytest.raises(RangeError, match="chord"):
        station(0.0, value)
    with pytest.raises(RangeError, match="span"):
        wing(station(0.0, 1.4), span=value)


@pytest.mark.parametrize("place", [5.01, math.nan, -6.0])
def test_a_place_beyond_the_tip(place: float) -> None:
    with pytest.raises(RangeError, match=r"up to 5\.000 m from the centerline"):
        wing(station(0.0, 1.4)).chord_at(place)
