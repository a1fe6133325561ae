"""Tables that owners type: commas, or semicolons with decimal commas, never one read as the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.verbs.readings_table import number_in, read_readings

NEEDED = ("angle_deg", "gap_mm")


def numbers(folder: Path, text: str) -> list[list[float]]:
    file = folder / "readings.csv"
    file.write_text(text, encoding="utf-8")
    return [
        [number_in(cells, name, where) for name in NEEDED] for where, cells in read_readings(file, NEEDED)
    ]


@pytest.mark.parametrize(
    "text",
    [
        "angle_deg, gap_mm\n0, 20.5\n# again\n16, -1.5\n",
        "angle_deg;gap_mm;remark\n0;20,5;cold, wet\n16;-1,5;\n",
        "angle_deg;gap_mm\n0;20.5\n16;-1.5\n",
        "angle_deg,gap_mm,,\n0,20.5,,\n16,-1.5,,\n",
    ],
)
def test_both_ways_to_write_a_table(text: str, tmp_path: Path) -> None:
    assert numbers(tmp_path, text) == [[0.0, 20.5], [16.0, -1.5]]


def test_decimal_commas_between_commas_are_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="semicolons"):
        numbers(tmp_path, "angle_deg,gap_mm\n0,20,5\n")


def test_a_unit_behind_a_number_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="without its unit"):
        numbers(tmp_path, "angle_deg,gap_mm\n0,20 mm\n")
