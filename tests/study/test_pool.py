"""Cases are computed once, kept at once, and found again."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from slowflight.errors import InputError
from slowflight.study.field_case import FieldCase
from slowflight.study.pool import run, usable_cores
from slowflight.study.section_case import SectionCase
from slowflight.study.store import RunStore
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

ROW = VaneRow(station=0.08, height=0.005, length=0.018, pitch=0.07, gap=0.02, incidence=0.27)
CASE = SectionCase(
    section=naca_section("naca4415"),
    chord=1.3,
    reynolds_at_unit_lift=1.5e6,
    angles_deg=(0.0, 4.0),
    rows=(ROW,),
)


@dataclass(frozen=True)
class Counted:
    """A case that notes in a file that it was computed."""

    name: str
    log: Path
    stops: bool = False

    @property
    def key(self) -> str:
        return self.name

    @property
    def suffix(self) -> str:
        return ".json"

    def compute(self) -> dict[str, Any]:
        with self.log.open("a", encoding="utf-8") as stream:
            stream.write(f"{self.name}\n")
        if self.stops:
            raise KeyboardInterrupt
        return {"square": int(self.name) ** 2}

    def encode(self, result: Any) -> bytes:
        return json.dumps(dict(result)).encode()

    def decode(self, content: bytes) -> dict[str, Any]:
        found: dict[str, Any] = json.loads(content)
        return found


@pytest.mark.parametrize("workers", [1, 2])
def test_every_case_is_computed_once_and_found_again(tmp_path: Path, workers: int) -> None:
    log, store = tmp_path / "log", RunStore(tmp_path / "runs")
    cases = [Counted(str(n), log) for n in (1, 2, 3, 4, 2)]
    told: list[tuple[int, int]] = []
    results = run(cases, store, workers=workers, on_done=lambda done, of: told.append((done, of)))
    assert results == {str(n): {"square": n * n} for n in (1, 2, 3, 4)}
    assert told == [(n, 4) for n in range(5)]
    told.clear()
    again = run(
        [*cases, Counted("5", log)], store, workers=workers, on_done=lambda done, of: told.append((done, of))
    )
    assert told == [(4, 5), (5, 5)]  # what is kept counts as done from the start
    assert again == {**results, "5": {"square": 25}}
    assert sorted(log.read_text().split()) == ["1", "2", "3", "4", "5"]


def test_a_run_that_was_stopped_goes_on_where_it_was(tmp_path: Path) -> None:
    log, store = tmp_path / "log", RunStore(tmp_path / "runs")
    cases = [Counted(str(n), log, stops=n == 3) for n in range(1, 6)]
    with pytest.raises(KeyboardInterrupt):
        run(cases, store)
    assert log.read_text().split() == ["1", "2", "3"]
    run([replace(case, stops=False) for case in cases], store)
    assert log.read_text().split() == ["1", "2", "3", "3", "4", "5"]


def test_a_damaged_file_is_computed_anew(tmp_path: Path) -> None:
    store = RunStore(tmp_path)
    first = run([CASE], store)
    path = store.path(CASE.key, suffix=".json")
    path.write_text(path.read_text()[:200])
    assert run([CASE], store) == first
    assert json.loads(path.read_text())["key"] == CASE.key
    assert not list(tmp_path.glob(".*"))


def test_a_folder_that_cannot_be_made_is_one_error(tmp_path: Path) -> None:
    (tmp_path / "runs").write_text("a file in the way")
    with pytest.raises(InputError, match="cannot be written"):
        run([Counted("1", tmp_path / "log")], RunStore(tmp_path / "runs"))


def test_key_follows_what_matters_and_nothing_else() -> None:
    alike = replace(CASE, rows=(replace(ROW, name="tape", span_from=0.6, span_to=4.0),))
    assert alike.key == CASE.key
    others = [
        replace(CASE, chord=1.31),
        replace(CASE, rows=(replace(ROW, station=0.0801),)),
        replace(CASE, section=naca_section("naca4414")),
        replace(CASE, angles_deg=(0.0, 4.5)),
        replace(CASE, transition=(0.05, None)),
    ]
    assert len({CASE.key, *(other.key for other in others)}) == 1 + len(others)


def test_section_case_keeps_speed_lift_and_what_the_row_met(tmp_path: Path) -> None:
    result = run([CASE], RunStore(tmp_path))[CASE.key]
    point = result["points"][1]
    assert point["reynolds"] * point["cl"] ** 0.5 == pytest.approx(1.5e6, rel=1e-3)
    assert 0.0 < point["vanes"][0]["layer_thickness"] < 0.01
    assert result == CASE.decode(CASE.encode(result))


def test_field_case_survives_its_file(tmp_path: Path) -> None:
    case = FieldCase(case=CASE, alpha_deg=6.0)
    store = RunStore(tmp_path)
    made = run([case], store)[case.key]
    kept = run([case], store)[case.key]
    assert np.array_equal(made["u"], kept["u"], equal_nan=True)
    assert kept["cl"] == made["cl"]
    assert kept["separation_upper"] == made["separation_upper"]
    with pytest.raises(ValueError, match="another case"):
        replace(case, alpha_deg=7.0).decode(case.encode(made))
    with pytest.raises(ValueError, match="damaged file"):
        case.decode(case.encode(made)[:1000])


def test_there_is_a_core() -> None:
    assert usable_cores() >= 1
