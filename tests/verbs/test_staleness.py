"""A saved record that no longer belongs to the wing.toml beside it says so wherever it is shown."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from slowflight import verbs
from slowflight.project import Project, open_project, write_demo
from slowflight.verbs import staleness
from slowflight.verbs.staleness import made_from, why_old
from tests.report import example

WING = """\
[wing]
span = "9 m"   # tip to tip
[[wing.section]]
chord = "1.5 m"
airfoil = "rib.csv"
"""


@pytest.fixture
def project(tmp_path: Path) -> Project:
    (tmp_path / "wing.toml").write_text(WING, encoding="utf-8")
    (tmp_path / "rib.csv").write_text("1 0\n0 0\n", encoding="utf-8")
    return open_project(tmp_path)


def changed(project: Project, record: dict[str, Any]) -> tuple[str, ...]:
    return why_old(project, record, file=project.runs / "prediction.json", what="prediction")


def test_nothing_changed_is_nothing_said_and_remarks_do_not_count(project: Project) -> None:
    record = {"made_from": made_from(project)}
    assert changed(project, record) == ()
    text = WING.replace("# tip to tip", "# measured again").replace("[wing]\n", "\n[wing]\n")
    project.wing_file.write_text(text, encoding="utf-8")
    assert changed(project, record) == ()


@pytest.mark.parametrize(
    ("name", "text"), [("wing.toml", WING.replace("9 m", "9.1 m")), ("rib.csv", "1 0\n0 0.01\n")]
)
def test_a_changed_value_or_airfoil_is_said(project: Project, name: str, text: str) -> None:
    record = {"made_from": made_from(project)}
    (project.folder / name).write_text(text, encoding="utf-8")
    (said,) = changed(project, record)
    assert "has changed since this prediction was made: run 'slowflight predict' again" in said


def test_other_code_is_said(project: Project, monkeypatch: pytest.MonkeyPatch) -> None:
    record = {"made_from": made_from(project), "version": "0.0.1"}
    monkeypatch.setattr(staleness, "code_version", lambda: {"code": "another"})
    (said,) = changed(project, record)
    assert "made by other code (version 0.0.1)" in said


def test_a_record_that_does_not_say_goes_by_its_file(project: Project) -> None:
    file = project.ready(project.runs) / "prediction.json"
    file.write_text("{}", encoding="utf-8")
    at = project.wing_file.stat().st_mtime
    os.utime(file, (at + 10.0, at + 10.0))
    assert changed(project, {}) == ()
    os.utime(file, (at - 10.0, at - 10.0))
    assert "wing.toml has changed" in changed(project, {})[0]


def test_the_page_says_it_before_its_reasons(project: Project) -> None:
    record = {**example.prediction(), "pictures": [], "made_from": made_from(project)}
    file = project.ready(project.runs) / "prediction.json"
    file.write_text(json.dumps(record), encoding="utf-8")
    assert "has changed since" not in verbs.report(project.folder).read_text(encoding="utf-8")
    project.wing_file.write_text(WING.replace("9 m", "8 m"), encoding="utf-8")
    page = verbs.report(project.folder).read_text(encoding="utf-8")
    said = page.index("has changed since this prediction was made")
    assert said < page.index(record["verdict"]["reasons"][0])
    assert page.count("has changed since this prediction was made") == 2  # among the warnings too


def test_a_layout_depends_on_what_fit_toml_says_and_a_prediction_does_not(tmp_path: Path) -> None:
    project = write_demo(tmp_path / "demo")
    record = {"made_from": made_from(project)}
    project.fit_file.write_text('[part]\ntape = "1 mm"\n', encoding="utf-8")
    for what, changed in (("layout", True), ("prediction", False)):
        said = why_old(project, record, file=tmp_path / "none", what=what)
        assert any("fit.toml has changed" in words for words in said) == changed
