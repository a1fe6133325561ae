"""The index says what the files say, whatever happened to it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slowflight.study import index
from slowflight.study.array_file import Column, encode_arrays
from slowflight.study.index import INDEX, kept_results
from slowflight.study.pool import run
from slowflight.study.store import RunStore
from tests.study.cases import Square


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Return a folder with four results and things that are none."""
    store = RunStore(tmp_path)
    run([Square(number=n) for n in range(3)], store)
    content = encode_arrays(
        key="field-1",
        title="a field",
        description={"kind": "field", "chord_m": 1.3, "code": {"slowflight": "0", "code": "def"}},
        numbers={},
        arrays={"x": np.arange(3.0)},
        columns={"x": Column(axes=("x",), unit="1", meaning="a place")},
    )
    store.keep("field-1", content, suffix=".nc")
    store.keep("prediction", b'{"verdict": "cannot tell"}', suffix=".json")
    store.keep("torn", b'{"format": 1, "key": "to', suffix=".json")
    store.keep("torn", content[:700], suffix=".nc")
    return tmp_path


def files(folder: Path, **asked: Any) -> list[str]:
    return [kept.file for kept in kept_results(folder, **asked)]


ALL = ["field-1.nc", "square-0.json", "square-1.json", "square-2.json"]


def test_it_lists_results_and_nothing_else(folder: Path) -> None:
    assert files(folder) == ALL
    first = kept_results(folder)[0]
    assert (first.key, first.kind, first.version, first.code) == ("field-1", "field", "0", "def")
    assert first.input["chord_m"] == 1.3


def test_it_answers_questions_about_inputs(folder: Path) -> None:
    assert files(folder, where="kind = ?", values=("square",)) == ALL[1:]
    assert files(folder, where="json_extract(input, '$.number') > ?", values=(0,)) == ALL[2:]
    assert files(folder, where="code != 'abc' OR kind = 'square'") == ALL


def test_deleting_it_loses_nothing(folder: Path) -> None:
    before = kept_results(folder)
    (folder / INDEX).unlink()
    assert kept_results(folder) == before


@pytest.mark.parametrize("damage", ["torn", "noise", "empty", "other table"])
def test_a_damaged_one_is_made_anew(folder: Path, damage: str) -> None:
    before = kept_results(folder)
    path = folder / INDEX
    content = path.read_bytes()
    if damage == "torn":
        path.write_bytes(content[: len(content) // 2])
    elif damage == "noise":
        path.write_bytes(b"no database" * 1000)
    elif damage == "empty":
        path.write_bytes(b"")
    else:
        import contextlib
        import sqlite3

        with contextlib.closing(sqlite3.connect(path)) as other:
            other.execute("DROP TABLE results")
            other.execute("CREATE TABLE results (a)")
            other.commit()
    assert kept_results(folder) == before


def test_it_follows_the_files(folder: Path) -> None:
    kept_results(folder)
    (folder / "square-1.json").unlink()
    record = json.loads((folder / "square-2.json").read_text())
    record["input"]["kind"] = "changed by hand"
    (folder / "square-2.json").write_text(json.dumps(record))
    run([Square(number=7)], RunStore(folder))
    assert files(folder) == ["field-1.nc", "square-0.json", "square-2.json", "square-7.json"]
    assert files(folder, where="kind = ?", values=("changed by hand",)) == ["square-2.json"]


def test_files_are_read_once(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    before = kept_results(folder)
    monkeypatch.setattr(index, "_head", lambda path: pytest.fail(f"{path.name} was opened again"))
    assert kept_results(folder) == before


def test_it_is_not_needed_where_it_cannot_be_written(folder: Path) -> None:
    (folder / INDEX).mkdir()  # in the way, and not to be removed like a file
    assert files(folder) == ALL


def test_results_of_later_code_are_listed_as_such(folder: Path) -> None:
    record = json.loads((folder / "square-2.json").read_text())
    record["format"] = 2
    (folder / "square-2.json").write_text(json.dumps(record))
    assert [kept.file for kept in kept_results(folder) if not kept.readable] == ["square-2.json"]


def test_no_folder_holds_nothing(tmp_path: Path) -> None:
    assert kept_results(tmp_path / "runs") == ()
    assert not (tmp_path / "runs").exists()
