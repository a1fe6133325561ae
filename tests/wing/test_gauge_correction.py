"""Daylight under a gauge: a wing smaller than its drawing comes back."""

from __future__ import annotations

import math

import numpy as np
import pytest

from slowflight.errors import RangeError
from slowflight.wing.gauge_correction import Daylight, corrected_outline
from slowflight.wing.naca import naca_section
from slowflight.wing.skin import skin_station

SECTION = naca_section("4415", points=201)
CHORD = 1.4


def bump(along: float) -> float:
    """A dent up to 1.2 mm deep on the upper side, 100 mm long, from the foremost point aft [m]."""
    return 0.6e-3 * (1.0 - math.cos(2.0 * math.pi * along / 0.1)) if 0.0 < along < 0.1 else 0.0


def test_readings_every_ten_millimeters_give_the_dent() -> None:
    """Points half as far apart as the readings lie within 0.05 mm of the dent, square to the drawing."""
    places = [0.01 * n for n in range(13)]
    readings = [Daylight(side="upper", along_skin=at, gap=bump(at)) for at in places]
    readings += [Daylight(side="lower", along_skin=at, gap=0.0) for at in (0.02, 0.05)]
    points = corrected_outline(SECTION, chord=CHORD, readings=readings)
    fine = naca_section("4415", points=4999)
    exact = CHORD * np.column_stack((fine.x, fine.y))
    for station in (0.005, 0.01, 0.02, 0.03, 0.04, 0.06):
        spot = skin_station(SECTION, station=station)
        along = CHORD * spot.skin_distance
        at = int(np.argmin(np.abs(exact[2499:, 0] - station * CHORD))) + 2499
        way = exact[at + 1] - exact[at - 1]
        normal = np.array([-way[1], way[0]]) / np.hypot(*way)
        wanted = exact[at] - bump(along) * normal
        off = points - wanted
        beside = np.abs(off @ (way / np.hypot(*way))) < 0.002
        assert np.min(np.abs(off[beside] @ normal)) < 0.05e-3


def test_without_daylight_the_drawing_stays() -> None:
    readings = [Daylight(side="upper", along_skin=at, gap=0.0) for at in (0.0, 0.05, 0.1)]
    points = corrected_outline(SECTION, chord=CHORD, readings=readings)
    kept = np.isin(np.round(points[:, 0], 9), np.round(CHORD * SECTION.x, 9))
    assert kept.sum() >= SECTION.x.size - 2
    assert points[0] == pytest.approx(CHORD * np.array([SECTION.x[0], SECTION.y[0]]))


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        (Daylight(side="upper", along_skin=0.05, gap=-0.001), "0 to 6 mm"),
        (Daylight(side="upper", along_skin=0.05, gap=0.02), "0 to 6 mm"),
        (Daylight(side="lower", along_skin=1.6, gap=0.001), "beyond the gauge"),
    ],
)
def test_readings_that_make_no_sense(reading: Daylight, said: str) -> None:
    good = [Daylight(side="upper", along_skin=at, gap=0.0) for at in (0.0, 0.1)]
    with pytest.raises(RangeError, match=said):
        corrected_outline(SECTION, chord=CHORD, readings=[*good, reading])
    with pytest.raises(RangeError, match="three or more"):
        corrected_outline(SECTION, chord=CHORD, readings=good)
