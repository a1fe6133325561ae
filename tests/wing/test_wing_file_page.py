"""The page about wing.toml: no key missing, none too many, its example read."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.wing.wing_file import TABLES, read_wing_file
from tests.wing.wing_files import GOOD, LEAST, written

PAGE = (Path(__file__).parents[2] / "docs" / "wing-file.md").read_text(encoding="utf-8")
HEADINGS = (
    "[aircraft]",
    "[wing]",
    "[[wing.section]]",
    "[flap]",
    "[[candidate]]",
    "[[vane_row]]",
    "[question]",
    "[in_the_air]",
)
ROW = """
[[vane_row]]
station = "6 %"
height = "8 mm"
length = "24 mm"
incidence = "16 deg"
arrangement = "counter-rotating"
opening = "downstream"
pitch = "80 mm"
gap = "20 mm"

[in_the_air]
gear = "unknown"
"""
# What a row shares with a candidate is in the candidate's table.
SHARED = ("height", "length", "pitch", "gap", "incidence", "arrangement", "opening", "shape")


def keys_told(heading: str) -> set[str]:
    """The keys in the first column of a table of the page."""
    part = PAGE.split(f"\n## `{heading}`\n", 1)[1].split("\n## ", 1)[0]
    rows = re.findall(r"^\| (`.*?) \|", part, re.MULTILINE)
    told = {key for row in rows for key in re.findall(r"`(\w+)`", row)}
    return told | set(SHARED) if heading == "[[vane_row]]" else told


def keys_known(heading: str, folder: Path) -> set[str]:
    """The keys the reader names when it meets one that it does not know."""
    text = (GOOD + ROW).replace(f"{heading}\n", f'{heading}\nno_such_key_at_all = "1"\n', 1)
    with pytest.raises(InputError, match="no_such_key_at_all") as caught:
        read_wing_file(written(folder, text))
    listed = re.search(r"needs keys among (.*?);", str(caught.value))
    assert listed is not None
    return set(listed[1].split(", "))


@pytest.mark.parametrize("heading", HEADINGS)
def test_the_page_has_every_key_and_no_other(heading: str, tmp_path: Path) -> None:
    known = keys_known(heading, tmp_path)
    if heading == "[wing]":
        known -= {"section"}  # has a table of its own
    assert keys_told(heading) == known


def test_the_page_has_every_table() -> None:
    assert {heading.strip("[]").split(".")[0] for heading in HEADINGS} == set(TABLES)


def test_the_example_is_read_as_it_stands(tmp_path: Path) -> None:
    example = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)
    assert example is not None
    found = read_wing_file(written(tmp_path, example[1]))
    assert found.wing.area == pytest.approx((31 * 12 + 2) * 56 * 0.0254**2)  # square inches
    assert found.aircraft.mass == pytest.approx(1170 * 0.45359237)


def test_the_page_tells_every_stand_in(tmp_path: Path) -> None:
    """What stands in where least is given is on the page, number for number."""
    found = read_wing_file(written(tmp_path, LEAST))
    for assumption in found.assumptions:
        table, _, key = assumption.field.rpartition(".")
        if key in ("name", "slowest_flap_setting", "cruise_speed", "candidate", "row_from", "row_to"):
            continue  # derived from the owner's other values
        heading = "[[wing.section]]" if table == "wing.section.0" else f"[{table}]"
        part = PAGE.split(f"\n## `{heading}`\n", 1)[1].split("\n## ", 1)[0]
        (line,) = [line for line in part.splitlines() if re.match(rf"\| [^|]*`{key}`[^|]* \|", line)]
        assert assumption.value in line.rpartition(" | ")[2]
