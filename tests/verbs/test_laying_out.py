"""Rows of wing.toml on paper: what one layout leaves behind, and what the next does with it."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from slowflight import verbs

WING = """\
[aircraft]
mass = "520 kg"
slowest_indicated_speed = "42 kt"
three_point_attitude = "11 deg"

[wing]
span = "9 m"

[[wing.section]]
chord = "1500 mm"
airfoil = "naca4415"

[flap]
kind = "none"
"""
ROW = """
[[vane_row]]
name = "{name}"
station = "{station} %"
height = "7 mm"
length = "20 mm"
incidence = "17 deg"
pitch = "72 mm"
{kind}
span_from = "{start} m"
span_to = "{end} m"
"""
PAIRS = 'arrangement = "counter-rotating"\nopening = "downstream"\ngap = "20 mm"'
SINGLE = 'arrangement = "co-rotating"'
SOLIDS = (
    *(f"-{part}.{kind}" for part in ("vane-A", "vane-B", "jig", "coupon") for kind in ("stl", "3mf")),
    "-print-notes.txt",
    "-log-entry.txt",
    "-checklists-a4.pdf",
    "-checklists-letter.pdf",
)
SUFFIXES = (
    "-a4.pdf",
    "-letter.pdf",
    "-a3.pdf",
    "-roll.pdf",
    ".svg",
    ".dxf",
    "-positions.csv",
    ".toml",
    *SOLIDS,
)


def row(
    *, name: str = "inner", station: int = 9, kind: str = PAIRS, start: float = 0.6, end: float = 1.0
) -> str:
    return ROW.format(name=name, station=station, kind=kind, start=start, end=end)


def names(folder: Path) -> set[str]:
    return {path.name for path in (folder / "layout").iterdir()}


def test_sheets_of_an_earlier_layout_do_not_lie_beside_the_new_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Called from two places, so that the paths differ; what is not ours stays."""
    folder = tmp_path / "wing"
    folder.mkdir()
    (folder / "wing.toml").write_text(WING + row() + row(name="outer", start=2.0, end=2.4), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    two = verbs.layout("wing")
    assert names(folder) == {f"row-{n}{s}" for n in (1, 2) for s in SUFFIXES} | {
        "layout.json",
        "installed-form.csv",
    }
    # by hand: a pair is 20 + 2 x 20 sin 17 = 31.7 mm wide, (400 - 31.7) / 72 = 5.1: six pairs in each row
    assert (two["counts"]["left"]["total"], len(two["vanes"])) == (24, 48)
    (folder / "layout" / "row notes.txt").write_text("mine", encoding="utf-8")
    (folder / "wing.toml").write_text(WING + row(), encoding="utf-8")
    monkeypatch.chdir(folder)
    verbs.layout(".")
    assert names(folder) == {f"row{s}" for s in SUFFIXES} | {
        "layout.json",
        "installed-form.csv",
        "row notes.txt",
    }


@pytest.mark.parametrize("name", ["Fl\u00fcgel \U0001f642", "plain", 'say \\"row\\"'])
@pytest.mark.parametrize("kind", [PAIRS, SINGLE])
def test_the_row_can_be_copied_back(tmp_path: Path, name: str, kind: str) -> None:
    """The file with the row is TOML, and a wing.toml with it lays out the same vanes."""
    (tmp_path / "wing.toml").write_text(WING + row(name=name, kind=kind), encoding="utf-8")
    first = verbs.layout(tmp_path)
    copied = (tmp_path / "layout" / "row.toml").read_text(encoding="utf-8")
    tomllib.loads(copied)
    (tmp_path / "wing.toml").write_text(WING + copied, encoding="utf-8")
    assert verbs.layout(tmp_path)["vanes"] == first["vanes"]
