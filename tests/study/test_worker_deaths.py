"""A worker that dies costs nothing but its own case; one that always dies over a case has the case named."""

from __future__ import annotations

import multiprocessing
import os
import signal
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from slowflight.errors import InputError, Interrupted, Unconverged
from slowflight.study.pool import run, stream
from slowflight.study.store import RunStore
from tests.study.cases import Square, found, squares

NUMBERS = range(12)


def logged(log: Path) -> list[str]:
    return log.read_text().splitlines() if log.exists() else []


def test_a_worker_that_is_killed_is_replaced_and_its_case_done_again(tmp_path: Path) -> None:
    log, kills = tmp_path / "log", tmp_path / "kills"
    kills.touch()
    cases = [Square(number=n, log=log, kills=kills if n == 5 else None) for n in NUMBERS]
    assert found(run(cases, RunStore(tmp_path / "runs"), workers=2)) == squares(NUMBERS)
    assert sorted(map(int, logged(log))) == sorted([*NUMBERS, 5])
    assert not multiprocessing.active_children()


def test_a_worker_that_is_killed_from_outside_is_replaced_too(tmp_path: Path) -> None:
    """Whether it is at work or has nothing to do."""
    log = tmp_path / "log"
    killed: list[int] = []
    cases = [Square(number=n, log=log, seconds=0.05) for n in NUMBERS]
    for _ in stream(cases, RunStore(tmp_path / "runs"), workers=2):
        children = multiprocessing.active_children()
        if len(killed) < 4 and children:
            victim = children[len(killed) % len(children)]
            assert victim.pid is not None
            os.kill(victim.pid, signal.SIGKILL)
            killed.append(victim.pid)
    assert len(killed) == 4
    assert found(run(cases, RunStore(tmp_path / "runs"))) == squares(NUMBERS)
    done = [line for line in logged(log) if "finished" in line]
    assert len(NUMBERS) <= len(done) <= len(NUMBERS) + len(killed)


def test_a_case_that_always_kills_is_named_and_all_others_are_kept(tmp_path: Path) -> None:
    log = tmp_path / "log"
    cases = [Square(number=n, log=log, deadly=n in (0, 7)) for n in NUMBERS]
    store = RunStore(tmp_path / "runs")
    with pytest.raises(Unconverged, match=r"2 of the cases.*the square of 0.*exit code 77.*the square of 7"):
        run(cases, store, workers=2)
    assert sorted(map(int, logged(log))) == sorted([*NUMBERS, 0, 0, 7, 7])
    harmless = [Square(number=n, log=log) for n in NUMBERS]
    assert found(run(harmless, store, workers=2)) == squares(NUMBERS)
    assert len(logged(log)) == len(NUMBERS) + 4 + 2


def test_workers_that_cannot_live_end_the_study_soon(tmp_path: Path) -> None:
    log = tmp_path / "log"
    cases = [Square(number=n, log=log, deadly=True) for n in range(100)]
    with pytest.raises(Unconverged, match="died one after the other"):
        run(cases, RunStore(tmp_path / "runs"), workers=2)
    assert len(logged(log)) <= 8


@pytest.mark.parametrize("workers", [1, 2])
def test_an_error_in_a_case_comes_up_as_it_is_and_what_is_done_is_kept(tmp_path: Path, workers: int) -> None:
    cases = [Square(number=n, bad_input=n == 8) for n in NUMBERS]
    store = RunStore(tmp_path)
    with pytest.raises(InputError, match=r"rib3\.csv: found nothing; needs points") as caught:
        run(cases, store, workers=workers)
    assert caught.value.where == "rib3.csv"
    if workers > 1:
        assert caught.value.__notes__ == ["while computing the square of 8 (square-8)"]
    assert len(list(tmp_path.glob("*.json"))) >= 7
    assert not multiprocessing.active_children()


class Stubborn(Exception):
    """An error that cannot be pickled."""

    def __reduce__(self) -> Any:
        raise TypeError


def test_an_error_that_cannot_travel_is_told_in_words(tmp_path: Path) -> None:
    cases = [Square(number=n) for n in NUMBERS]
    local: Any = type("Local", (Square,), {"__module__": __name__, "compute": _stubborn})
    globals()["Local"] = local
    with pytest.raises(RuntimeError, match=r"unpacked|Stubborn: no"):
        run([*cases[:3], local(number=99)], RunStore(tmp_path), workers=2)


def _stubborn(case: Square) -> dict[str, Any]:
    raise Stubborn("no")


@pytest.mark.parametrize("workers", [1, 2])
def test_a_study_can_be_called_off_with_what_runs(tmp_path: Path, workers: int) -> None:
    log, store = tmp_path / "log", RunStore(tmp_path / "runs")
    cases = [
        Square(number=n, log=log, seconds=0.0 if n < 4 else 1.0 if workers == 1 else 60.0) for n in range(9)
    ]
    begun = time.monotonic()
    with pytest.raises(Interrupted, match="goes on from there"):
        run(cases, store, workers=workers, stopping=lambda: len(logged(log)) > 4)
    assert time.monotonic() - begun < 30.0
    assert not multiprocessing.active_children()
    if workers > 1:
        assert not any("finished" in line for line in logged(log))
    quick = [Square(number=n, log=log) for n in range(9)]
    assert found(run(quick, store)) == squares(range(9))
    again = sorted(int(line) for line in logged(log) if "finished" not in line)
    assert [again.count(n) for n in range(4)] == [1, 1, 1, 1]


def test_a_study_that_nobody_listens_to_any_more_stops(tmp_path: Path) -> None:
    cases = [Square(number=n) for n in NUMBERS]
    results = stream(cases, RunStore(tmp_path), workers=2)
    next(results)
    results.close()  # type: ignore[attr-defined]
    assert not multiprocessing.active_children()
    assert threading.active_count() < 10
