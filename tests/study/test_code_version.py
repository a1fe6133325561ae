"""What counts as other code, and that its results are neither taken for ours nor touched."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from slowflight.errors import InputError
from slowflight.study import section_case
from slowflight.study.code_version import PACKAGE, code_hash, code_version
from slowflight.study.pool import run
from slowflight.study.section_case import SectionCase
from slowflight.study.store import SET_ASIDE, RunStore
from slowflight.study.work import compute
from slowflight.wing.naca import naca_section
from tests.study.cases import Square

CASE = SectionCase(
    section=naca_section("naca4415"), chord=1.3, reynolds_at_unit_lift=1.5e6, angles_deg=(0.0, 4.0)
)


@pytest.fixture
def package(tmp_path: Path) -> Path:
    """Return a copy of the package to change."""
    return Path(shutil.copytree(PACKAGE, tmp_path / "slowflight"))


def test_a_copy_is_the_same_code(package: Path) -> None:
    assert code_hash(package) == code_hash(PACKAGE)


@pytest.mark.parametrize(
    ("file", "old", "new", "other"),
    [
        ("flow/lift_curve.py", "\nfrom __future__", "\n# a remark\nfrom __future__", False),
        ("flow/lift_curve.py", '"""', '"""Changed words. ', False),
        ("wing/naca.py", "0.2969", "0.2968", True),
        ("air.py", "288.15", "288.16", True),
        ("compare/help_strip.py", "LEAST_SHARE = 0.005", "LEAST_SHARE = 0.006", True),
        ("study/section_case.py", '"cl_max": curve.cl_max', '"cl_max": None', True),
        ("cli/app.py", "\nfrom __future__", "\nimport os\nfrom __future__", False),
    ],
)
def test_what_is_other_code(package: Path, file: str, old: str, new: str, other: bool) -> None:
    before = code_hash(package)
    path = package / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    assert (code_hash(package) != before) == other


def test_a_new_file_and_changed_data_are_other_code(package: Path) -> None:
    hashes = {code_hash(package)}
    (package / "flow" / "new.py").write_text("ANSWER = 42\n", encoding="utf-8")
    hashes.add(code_hash(package))
    (package / "flow" / "table.csv").write_text("1,2\n", encoding="utf-8")
    hashes.add(code_hash(package))
    (package / "flow" / "table.csv").write_text("1,3\n", encoding="utf-8")
    hashes.add(code_hash(package))
    assert len(hashes) == 4


@pytest.mark.parametrize("other", [{"slowflight": "99.0"}, {"code": "0" * 24}, {"numpy": "0.1"}])
def test_results_of_other_code_are_neither_used_nor_touched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: dict[str, str]
) -> None:
    """Older or newer: what decides is that it is another."""
    store = RunStore(tmp_path)
    facts = {**code_version(), **other}
    with monkeypatch.context() as patched:
        patched.setattr(section_case, "code_version", lambda: facts)
        theirs = replace(CASE)
        fake = {"points": [{"cl": 9.0}, {"cl": 9.0}], "cl_max": 9.0}
        path = store.keep(theirs.key, theirs.encode(fake), suffix=".json")
    before = path.read_bytes()
    ours = replace(CASE)
    assert ours.key != theirs.key
    result = run([ours], store)[ours.key]
    assert result["points"][0]["cl"] < 2.0
    assert path.read_bytes() == before
    assert len(list(tmp_path.glob("*.json"))) == 2


@pytest.mark.parametrize("workers", [1, 2])
def test_a_file_of_a_newer_format_under_our_name_is_put_aside_whole(tmp_path: Path, workers: int) -> None:
    store, cases = RunStore(tmp_path), [Square(number=n) for n in range(4)]
    record = json.loads(cases[2].encode({"square": 5, "padding": ""}))
    newer = json.dumps({**record, "format": 2, "result": {"squared": [5]}}).encode()
    for _ in range(2):
        store.keep(cases[2].key, newer, suffix=".json")
        assert run(cases, store, workers=workers)[cases[2].key]["square"] == 4
    aside = sorted((tmp_path / SET_ASIDE).iterdir())
    assert [path.read_bytes() for path in aside] == [newer, newer]


def test_a_worker_with_other_code_refuses() -> None:
    theirs = {**code_version(), "slowflight": "99.0"}
    packed = compute(Square(number=3), code=theirs, study="")
    assert packed.content is None
    error = packed.rebuilt_error()
    assert isinstance(error, InputError)
    assert "slowflight 99.0" in str(error)
    assert compute(Square(number=3), code=code_version(), study="").content is not None
