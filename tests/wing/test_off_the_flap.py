"""Vanes are refused on skin that moves, and nowhere else."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from slowflight.errors import RangeError
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.off_the_flap import check_off_the_flap
from slowflight.wing.vane_row import VaneRow
from slowflight.wing.wing_file import read_wing_file

PLAIN = FlapPlan(kind="plain", chord=0.25, settings=(0.0, 0.5), span_from=0.5, span_to=3.0)
# 20 mm along a chord of 1 m: it ends 2 % behind its station
ROW = VaneRow(
    station=0.5, height=0.006, length=0.02 / math.cos(0.3), pitch=0.06, incidence=0.3,
    span_from=0.6, span_to=4.0,
)  # fmt: skip


def check(row: VaneRow, flap: FlapPlan | None) -> None:
    check_off_the_flap(row, flap=flap, chord_m=1.0, semi_span=4.5, where="row")


def test_a_row_ends_ahead_of_the_hinge() -> None:
    check(replace(ROW, station=0.719), PLAIN)  # ends at 73.9 %: 1.1 % ahead of the hinge
    with pytest.raises(RangeError, match="on the plain flap, which begins at 75"):
        check(replace(ROW, station=0.721), PLAIN)
    with pytest.raises(RangeError, match="flutter"):
        check(replace(ROW, station=0.85), PLAIN)


def test_what_does_not_move_is_no_flap() -> None:
    aft = replace(ROW, station=0.85)
    check(aft, None)
    check(replace(aft, span_from=3.0), PLAIN)  # outboard of it
    for kind in ("hung", "slotted"):
        check(aft, replace(PLAIN, kind=kind))
    split = replace(PLAIN, kind="split")
    check(aft, split)  # the upper skin stays
    with pytest.raises(RangeError, match="split flap"):
        check(replace(aft, surface="lower"), split)


WING = """\
[aircraft]
mass = "520 kg"
slowest_indicated_speed = "38 kt"
three_point_attitude = "12 deg"

[wing]
span = "9 m"

[[wing.section]]
chord = "1500 mm"
airfoil = "naca4415"

[flap]
kind = "plain"
chord = "25 %"
settings = ["0 deg", "25 deg"]

"""
AS_WRITTEN = """\
[[vane_row]]
station = "80 %"
height = "6 mm"
length = "18 mm"
pitch = "66 mm"
gap = "17 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
"""


@pytest.mark.parametrize(
    ("asked", "where"),
    [(AS_WRITTEN, "vane_row station"), ('[question]\npositions = ["10 %", "76 %"]\n', "question.positions")],
)
def test_a_wing_file_with_vanes_on_its_flap_is_refused(asked: str, where: str, tmp_path: Path) -> None:
    place = tmp_path / "wing.toml"
    place.write_text(WING + asked, encoding="utf-8")
    with pytest.raises(RangeError, match="on the plain flap") as refused:
        read_wing_file(place)
    assert where in str(refused.value)
