"""The as-installed form through a project folder."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from slowflight import verbs
from slowflight.errors import InputError
from slowflight.project import open_project
from slowflight.verbs.installing import saved_installed, verdict_of_installed
from tests.verbs.test_laying_out import WING, row


def fill(folder: Path, *, off: float) -> Path:
    with (folder / "layout" / "installed-form.csv").open(encoding="utf-8", newline="") as file:
        cells = list(csv.DictReader(file))
    for line in cells:
        line["measured_skin_mm"] = line["planned_skin_mm"]
        line["measured_toe_deg"] = line["planned_toe_deg"]
    cells[0]["measured_skin_mm"] = str(float(cells[0]["planned_skin_mm"]) + off)
    path = folder / "mine.csv"
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, cells[0].keys())
        table.writeheader()
        table.writerows(cells)
    return path


def test_unequal_wings_block_until_they_match_and_a_new_layout_starts_again(tmp_path: Path) -> None:
    (tmp_path / "wing.toml").write_text(
        WING + row() + row(name="outer", start=2.0, end=2.4), encoding="utf-8"
    )
    with pytest.raises(InputError, match="run 'slowflight layout' first"):
        verbs.installed(tmp_path, tmp_path / "mine.csv")
    project = open_project(tmp_path)
    assert verdict_of_installed(project) is None
    verbs.layout(tmp_path)
    verdict = verdict_of_installed(project)
    assert verdict is not None
    assert (verdict.measured, verdict.blocked) == (False, False)
    record = verbs.installed(tmp_path, fill(tmp_path, off=4.0))
    assert record["blocked"]
    assert record["counts"]["left"] == {"laid_out": 24, "there": 24}
    assert all(Path(file).is_file() for file in record["files"])
    assert record["effects"][0]["change_kt"] is None
    verdict = verdict_of_installed(project)
    assert verdict is not None
    assert verdict.blocked
    with pytest.raises(InputError, match="left and right alike before the next test card"):
        verbs.plan_flights(tmp_path)
    assert not verbs.installed(tmp_path, fill(tmp_path, off=0.5))["blocked"]
    assert saved_installed(project) is not None
    (tmp_path / "wing.toml").write_text(WING + row(station=10), encoding="utf-8")
    verbs.layout(tmp_path)
    verdict = verdict_of_installed(project)
    assert verdict is not None
    assert not verdict.measured
    assert "revision" in verdict.reasons[0]


def test_the_patch_trial_and_a_bought_vane_come_with_the_layout(tmp_path: Path) -> None:
    (tmp_path / "wing.toml").write_text(WING + row(end=3.0), encoding="utf-8")
    patches = "".join(
        f'[[patch]]\nname = "P{n}"\nstation = "{n} %"\nspan_from = "{at} m"\nspan_to = "{at + 0.3} m"\n'
        for n, at in ((5, 1.0), (10, 1.9))
    )
    bought = (
        '[bought]\nheight = "7 mm"\nlength = "20 mm"\ntop_length = "10 mm"\nforward_edge = "straight"\n'
        'base_length = "22 mm"\nbase_width = "9 mm"\nedge_radius = "0.6 mm"\n'
    )
    (tmp_path / "fit.toml").write_text(patches + bought, encoding="utf-8")
    record = verbs.layout(tmp_path)
    assert [patch["name"] for patch in record["patch_trial"]["patches"]] == ["P5", "P10"]
    assert record["bought"]["shape"] == "trapezoidal"
    assert any("bought vane" in words for words in record["warnings"])
    made = {path.name for path in (tmp_path / "layout").iterdir()}
    assert {"patch-trial-a4.pdf", "patch-1-letter.pdf"} <= made
    (tmp_path / "fit.toml").write_text(patches.replace("5 %", "10 %"), encoding="utf-8")
    with pytest.raises(InputError, match="one station twice"):
        verbs.layout(tmp_path)
    (tmp_path / "fit.toml").unlink()
    verbs.layout(tmp_path)
    assert not any(path.name.startswith("patch") for path in (tmp_path / "layout").iterdir())
