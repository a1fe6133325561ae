"""The ``[in_the_air]`` table: what is read, what may stay open, what is refused."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from slowflight.errors import InputError, RangeError, UnitError
from slowflight.wing.in_the_air import NOTHING_SAID, Glide, InTheAir, Junction, StickReading
from slowflight.wing.wing_file import read_wing_file
from tests.wing.wing_files import GOOD, written


def read(folder: Path, lines: str) -> InTheAir:
    return read_wing_file(written(folder, f"{GOOD}\n[in_the_air]\n{lines}\n")).in_the_air


def test_nothing_is_guessed_where_nothing_is_said(tmp_path: Path) -> None:
    file = read_wing_file(written(tmp_path, GOOD))
    assert file.in_the_air == NOTHING_SAID
    assert not any(a.field.startswith("in_the_air") for a in file.assumptions)
    assert read(tmp_path, 'static_thrust = "unknown"\nglides = "unknown"') == NOTHING_SAID


def test_readings_in_owners_units(tmp_path: Path) -> None:
    found = read(
        tmp_path,
        'gear = "tail wheel"\non_rib = ["14.2 deg", "-15.8 deg"]\nstatic_thrust = "300 lbf"\n'
        'load_factor = "3.8 g"\nglides = ["50 kt, 600 ft/min, 900 rpm"]\n'
        'stick = ["60 kt, 45 %", "42 kt, 80 %"]\njunctions = ["strut, 2.2 m"]',
    )
    assert found.gear == "tail wheel"
    assert found.on_rib == pytest.approx((math.radians(14.2), math.radians(-15.8)))
    # NIST SP 811, appendix B.8: 1 lbf = 4.4482216152605 N
    assert found.static_thrust == pytest.approx(1334.46648457815)
    assert found.load_factor == 3.8
    knot = 1852.0 / 3600.0
    assert found.glides == (
        Glide(speed=50.0 * knot, sink=600.0 * (0.3048 / 60.0), turns=900.0 * (1.0 / 60.0)),
    )
    assert found.stick[1] == StickReading(speed=42.0 * knot, back=0.8)
    assert found.junctions == (Junction(kind="strut", span_station=2.2),)


@pytest.mark.parametrize(
    ("line", "error", "named"),
    [
        ('static_thrust = "300"', UnitError, "static_thrust"),
        ('static_thrust = "30 kN"', RangeError, "static_thrust"),
        ('glides = ["50 kt, 600 ft/min"]', InputError, "glides"),
        ('glides = ["50 kt, 600, 900 rpm"]', UnitError, "glides"),
        ('stick = ["60 kt, 45 %"]', InputError, "stick"),
        ('on_rib = ["14 deg", "-14 deg", "14 deg"]', InputError, "on_rib"),
        ('junctions = ["sticker, 2 m"]', InputError, "junctions"),
        ('junctions = ["strut, 40 m"]', RangeError, "junctions"),
        ('balance = ["31 %", "22 %"]', InputError, "balance"),
        ('gear = "skids"', InputError, "gear"),
    ],
)
def test_refused(line: str, error: type[InputError], named: str, tmp_path: Path) -> None:
    with pytest.raises(error, match=named):
        read(tmp_path, line)
