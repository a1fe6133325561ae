"""A case file: read whole, or refused with one line that says what is wrong."""

from __future__ import annotations

from pathlib import Path

import pytest

from slowflight.compare.evidence.case_file import read_case
from slowflight.errors import InputError
from tests.compare.evidence.comparisons import WHOLE, write_case

SECTION = """\
title = "a section"
kind = "section"
role = "checks"
source = "Ladson1988"
place = "a table"
how_read = "as printed"
provenance = "read"
airfoil = "naca0012"
closed_trailing_edge = true
angles_deg = { from = -2, to = 2, step = 1 }
table = "lift.csv"

[conditions]
reynolds = 6e6
mach = 0.15
transition = [0.05, "free"]
trips = "grit"
turbulence = "not stated"
aspect_ratio = "between walls"
tunnel = "not stated"

[[measured]]
quantity = "lift slope"
reading_error = 0.001
span = [-4.5, 8.5]
"""
TABLE = "# lift\nalpha_deg,cl\n0,0\n4,0.44\n"


def test_a_section_with_its_table(tmp_path: Path) -> None:
    path = write_case(tmp_path, "s", SECTION)
    (path.parent / "lift.csv").write_text(TABLE, encoding="utf-8")
    case = read_case(path)
    assert case.name == "s"
    assert case.angles_deg == (-2.0, -1.0, 0.0, 1.0, 2.0)
    assert case.conditions.reynolds == 6e6
    assert case.conditions.transition == (0.05, None)
    assert case.table == {"alpha_deg": (0.0, 4.0), "cl": (0.0, 0.44)}
    assert case.measured[0].span == (-4.5, 8.5)
    assert case.why_not("integral") is None


def test_reasons_by_tier(tmp_path: Path) -> None:
    text = (
        WHOLE.replace("wing = { aspect_ratio = 6, taper = 1 }\n", "")
        + '\n[not_run]\nintegral = "two bodies"\n'
    )
    case = read_case(write_case(tmp_path, "flap", text))
    assert case.why_not("integral") == "two bodies"
    assert case.why_not("rans") is None


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('source = "Glauert1926"', 'source = "Nobody1900"', "no entry 'Nobody1900'"),
        ('source = "Glauert1926"\n', "", "source: found nothing; needs text"),
        ('role = "checks"\n', "", "role: found nothing; needs text"),
        ('role = "checks"', 'role = "both"', "role: found 'both'; needs one of calibrates, checks"),
        ('kind = "wing"', 'kind = "tail"', "kind: found 'tail'"),
        ('provenance = "exact"\n', "", "provenance: found nothing"),
        ('provenance = "exact"', 'provenance = "rumor"', "provenance: found 'rumor'"),
        ("reading_error = 1e-6\n", "", "reading_error: found 'nothing'; needs a number"),
        ("reading_error = 1e-6", "reading_error = -1", "reading_error: found -1; needs 0 or more"),
        ("value = 4.530425\n", "", "neither a value nor a table"),
        ("value = 4.530425", "value = true", "needs a number"),
        ("value = 4.530425", "value = nan", "needs a number"),
        (
            'quantity = "wing lift slope"',
            'quantity = "lift of the tail"',
            "quantity: found 'lift of the tail'",
        ),
        ("reading_error = 1e-6", "reading_error = 1e-6\ncolor = 1", "an unknown key 'color'"),
        ("[conditions]\n", "[weather]\n", "an unknown key 'weather'"),
        ('tunnel = "none"\n', "", "conditions: tunnel: found nothing"),
        ("wing = { aspect_ratio = 6, taper = 1 }\n", "", "nothing to compute"),
        ("wing = { aspect_ratio = 6, taper = 1 }", "wing = 6", "aspect_ratio and taper"),
        ("wing = { aspect_ratio = 6, taper = 1 }", 'airfoil = "clarky"', "a NACA name by formula"),
        ("wing = { aspect_ratio = 6, taper = 1 }", 'airfoil = "naca0012"', "an airfoil without its air"),
        ('title = "a wing"', 'title = "a wing"\ntable = "none.csv"', "no file 'none.csv' beside it"),
        ('title = "a wing"', 'title = "a wing"\nangles_deg = {from = 1, to = 0, step = 1}', "from below to"),
        ('title = "a wing"', 'title = "a wing', "no TOML"),
        ('tunnel = "none"', 'tunnel = "none"\ntransition = 0.05', "a list for upper and lower side"),
    ],
)
def test_a_fault_is_named_in_one_line(tmp_path: Path, old: str, new: str, problem: str) -> None:
    assert old in WHOLE
    path = write_case(tmp_path, "faulty", WHOLE.replace(old, new, 1))
    with pytest.raises(InputError) as caught:
        read_case(path)
    assert problem in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_remembered_value_cannot_calibrate(tmp_path: Path) -> None:
    text = WHOLE.replace('"checks"', '"calibrates"').replace('"exact"', '"from memory"')
    with pytest.raises(InputError, match="a remembered value that calibrates"):
        read_case(write_case(tmp_path, "remembered", text))


@pytest.mark.parametrize(
    ("text", "problem"), [("alpha_deg,cl\n", "no rows"), ("alpha_deg,cl\n0,x\n", "a number")]
)
def test_a_faulty_table_is_refused(tmp_path: Path, text: str, problem: str) -> None:
    path = write_case(tmp_path, "s", SECTION)
    (path.parent / "lift.csv").write_text(text, encoding="utf-8")
    with pytest.raises(InputError, match=problem):
        read_case(path)


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ('"lift slope"', '"maximum lift"', "maximum lift: found no value"),
        ('"lift slope"', '"mean drag"', "mean drag: found no column 'cd'"),
        ('quantity = "lift slope"', 'quantity = "mean drag"\nagainst = "cm"', "against: found 'cm'"),
        ('quantity = "lift slope"', 'quantity = "lift"\nvalue = 1', "lift: found no angle_deg; needs one of"),
        (
            'quantity = "lift slope"',
            'quantity = "lift"\nvalue = 1\nangle_deg = 1.5',
            "angle_deg = 1.5; needs one of",
        ),
        ("[[measured]]", '[not_run]\nany = "cannot be run"\n\n[[measured]]', "lift slope: found no value"),
    ],
)
def test_a_number_that_could_not_be_compared_is_refused(
    tmp_path: Path, old: str, new: str, problem: str
) -> None:
    path = write_case(tmp_path, "s", SECTION.replace(old, new, 1))
    (path.parent / "lift.csv").write_text(TABLE, encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_case(path)
    assert problem in str(caught.value)
