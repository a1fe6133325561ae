"""A hung or slotted flap read from a file: where everything is, and what each slip says."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.wing.own_airfoil_flap_file import flap_kind, read_own_airfoil_flap

HUNG = """\
[flap]
kind = "hung"
airfoil = "naca0012"
chord = "22 %"
settings = ["0 deg", "25 deg"]
axis_aft = "1.2 %"
axis_below = "2.6 %"
axis_in_flap = "24 %"
"""


def written(folder: Path, text: str) -> Path:
    path = folder / "flap.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_every_value_is_read(tmp_path: Path) -> None:
    found = read_own_airfoil_flap(written(tmp_path, HUNG))
    plan = found.plan
    assert plan.kind == "hung"
    places = [plan.chord, plan.axis_aft, plan.axis_below, plan.axis_in_flap]
    assert places == pytest.approx([0.22, 0.012, 0.026, 0.24])
    assert plan.settings == pytest.approx((0.0, math.radians(25.0)))
    assert found.section.max_thickness == pytest.approx(0.12, abs=1e-3)
    assert flap_kind(tmp_path / "flap.toml") == "hung"


@pytest.mark.parametrize(
    ("before", "after", "says"),
    [
        ('"hung"', '"plain"', "an airfoil of its own"),
        ('airfoil = "naca0012"\n', "", "airfoil"),
        ('"naca0012"', '"nothing.csv"', "flap airfoil"),
        ('"naca0012"', "12", "flap airfoil"),
        ('axis_below = "2.6 %"\n', "", "axis_below"),
        ('"2.6 %"', "2.6", "axis_below"),
        ("axis_aft", "axis_after", "axis_aft"),
        ('["0 deg", "25 deg"]', "[]", "settings"),
        ("[flap]\n", "[wing]\n", "no [flap]"),
    ],
)
def test_slips_are_one_line(tmp_path: Path, before: str, after: str, says: str) -> None:
    assert before in HUNG
    with pytest.raises(InputError) as error:
        read_own_airfoil_flap(written(tmp_path, HUNG.replace(before, after)))
    assert says in str(error.value)
    assert "flap.toml" in str(error.value)
    assert "\n" not in str(error.value)
