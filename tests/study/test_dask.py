"""The same study by the workers of a Dask scheduler: same numbers, and the same answer to what goes wrong.

Where Dask is missing these fail; none is left out.
"""

from __future__ import annotations

import builtins
import json
import logging
import math
import os
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import dask
import distributed
import pytest

from slowflight.errors import InputError, Interrupted, Unconverged
from slowflight.study import crew_dask
from slowflight.study.code_version import code_version
from slowflight.study.crew_dask import DaskCrew, is_dask
from slowflight.study.pool import run, stream
from slowflight.study.section_case import SectionCase
from slowflight.study.store import RunStore
from slowflight.study.work import Stopped, compute, stop
from slowflight.wing.naca import naca_section
from tests.study.cases import Square, found, squares

NUMBERS = range(12)


@pytest.fixture(scope="module")
def scheduler() -> Iterator[Any]:
    """Return a cluster that is not the study's own: it was there before and stays."""
    with dask.config.set({"distributed.scheduler.allowed-failures": 0}):
        cluster = some_cluster(2)
    yield cluster
    cluster.close()


def some_cluster(workers: int) -> Any:
    make: Any = distributed.LocalCluster
    return make(
        n_workers=workers,
        threads_per_worker=1,
        host="127.0.0.1",
        dashboard_address="127.0.0.1:0",
        worker_dashboard_address=None,
        silence_logs=logging.CRITICAL,
    )


def client_of(cluster: Any) -> Any:
    make: Any = distributed.Client
    return make(cluster, set_as_default=False)


def logged(log: Path) -> list[str]:
    return log.read_text().splitlines() if log.exists() else []


REAL = [
    SectionCase(
        section=naca_section("naca4415"),
        chord=1.3,
        reynolds_at_unit_lift=reynolds,
        angles_deg=(0.0, 4.0, 8.0),
    )
    for reynolds in (1.0e6, 1.5e6, 2.0e6, 3.0e6)
]


@pytest.fixture(scope="module")
def here(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the results of real cases, computed in this process."""
    folder = tmp_path_factory.mktemp("here")
    run(REAL, RunStore(folder))
    return folder


def alike(one: object, other: object) -> None:
    """Fail where plain data differ by more than round-off."""
    if isinstance(one, dict):
        assert isinstance(other, dict)
        assert one.keys() == other.keys()
        for key, value in one.items():
            alike(value, other[key])
    elif isinstance(one, list | tuple):
        assert isinstance(other, list | tuple)
        assert len(one) == len(other)
        for a, b in zip(one, other, strict=True):
            alike(a, b)
    elif isinstance(one, float):
        assert other == pytest.approx(one, rel=1e-7, abs=1e-8, nan_ok=True)
    else:
        assert one == other


@pytest.mark.parametrize("workers", [2, "cluster:1", "cluster:2", "cluster:4"])
def test_real_cases_come_to_the_same_numbers_as_here(tmp_path: Path, here: Path, workers: int | str) -> None:
    """To round-off: a process that compiled for itself may add up in another order than one that did not."""
    results = run(REAL, RunStore(tmp_path), workers=workers)
    alike(results, run(REAL, RunStore(here)))
    for case in REAL:
        name = f"{case.key}.json"
        alike(json.loads((tmp_path / name).read_text(encoding="utf-8"))["result"], results[case.key])
    # What is kept is not computed again: no cluster is even made.
    begun = time.monotonic()
    assert run(REAL, RunStore(tmp_path), workers=workers) == results
    assert time.monotonic() - begun < 1.0


def test_by_address_results_are_kept_as_they_come(tmp_path: Path, scheduler: Any) -> None:
    store = RunStore(tmp_path / "runs")
    told: list[tuple[int, int]] = []
    cases = [Square(number=n) for n in NUMBERS]
    for number, (key, result) in enumerate(
        stream(
            cases, store, workers=scheduler.scheduler_address, on_done=lambda *counts: told.append(counts)
        ),
        start=1,
    ):
        assert store.path(key, suffix=".json").is_file()
        assert len(list(store.folder.glob("*.json"))) == number
        assert result["square"] == int(key.split("-")[1]) ** 2
    assert told == [(n, len(NUMBERS)) for n in range(len(NUMBERS) + 1)]


def test_a_worker_that_is_killed_is_replaced_and_its_case_done_again(tmp_path: Path) -> None:
    log, kills = tmp_path / "log", tmp_path / "kills"
    kills.touch()
    cases = [Square(number=n, log=log, kills=kills if n == 5 else None) for n in NUMBERS]
    assert found(run(cases, RunStore(tmp_path / "runs"), workers="cluster:2")) == squares(NUMBERS)
    begun = [int(line) for line in logged(log)]
    assert begun.count(5) == 2
    # One that waited at the dead worker may have been begun there, no other.
    assert len(begun) <= len(NUMBERS) + 2


def test_a_case_that_always_kills_is_named_and_all_others_are_kept(tmp_path: Path) -> None:
    log, store = tmp_path / "log", RunStore(tmp_path / "runs")
    cases = [Square(number=n, log=log, deadly=n == 7) for n in NUMBERS]
    with pytest.raises(Unconverged, match=r"1 of the cases.*the square of 7") as caught:
        run(cases, store, workers="cluster:2")
    assert str(caught.value).count("the square of") == 1
    assert logged(log).count("7") == 3
    assert len(list(store.folder.glob("*.json"))) == len(NUMBERS) - 1


def test_calling_off_stops_what_runs_and_leaves_the_cluster_to_others(tmp_path: Path, scheduler: Any) -> None:
    log = tmp_path / "log"
    cases = [Square(number=n, log=log, seconds=0.0 if n < 4 else 300.0) for n in range(9)]
    with client_of(scheduler) as client:
        pids = set(client.run(os.getpid).values())
        with pytest.raises(Interrupted, match="goes on from there"):
            run(
                cases,
                RunStore(tmp_path / "runs"),
                workers=scheduler.scheduler_address,
                stopping=lambda: len(logged(log)) > 4,
            )
        until = time.monotonic() + 20.0
        while any(client.processing().values()) or any(client.run(_busy).values()):
            assert time.monotonic() < until, "a case that was called off still runs"
            time.sleep(0.1)
        assert set(client.run(os.getpid).values()) == pids, "workers of others were restarted"
    assert not any("finished" in line for line in logged(log))
    assert found(run([Square(number=n) for n in range(9)], RunStore(tmp_path / "runs"))) == squares(range(9))


def _busy() -> bool:
    from slowflight.study import work

    return bool(work._under_way)


def test_an_error_in_a_case_comes_up_as_it_is(tmp_path: Path, scheduler: Any) -> None:
    cases = [Square(number=n, bad_input=n == 8) for n in NUMBERS]
    with pytest.raises(InputError, match=r"rib3\.csv: found nothing; needs points"):
        run(cases, RunStore(tmp_path), workers=scheduler.scheduler_address)


def test_a_worker_with_other_code_refuses(
    tmp_path: Path, scheduler: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    theirs = {**code_version(), "slowflight": "99.0"}
    monkeypatch.setattr(crew_dask, "code_version", lambda: theirs)
    with pytest.raises(InputError, match=r"a worker of the study: found other code.*needs slowflight 99\.0"):
        run([Square(number=1)], RunStore(tmp_path), workers=scheduler.scheduler_address)
    assert not list(tmp_path.iterdir())


def test_losing_the_scheduler_ends_the_study_and_loses_nothing_finished(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(crew_dask, "_PATIENCE", 5.0)
    cluster = some_cluster(1)
    store = RunStore(tmp_path)
    cases = [Square(number=n, seconds=0.05) for n in range(200)]
    results = stream(cases, store, workers=cluster.scheduler_address)
    for _ in range(5):
        next(results)
    cluster.close()
    with pytest.raises(Interrupted, match="is gone; what was finished is kept"):
        for _ in results:
            pass
    assert 5 <= len(list(tmp_path.glob("*.json"))) < 200


def test_no_scheduler_at_the_address_is_one_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(crew_dask, "_PATIENCE", 1.0)
    with pytest.raises(InputError, match=r"--scheduler tcp://127\.0\.0\.1:9: found no scheduler"):
        run([Square(number=1)], RunStore(tmp_path), workers="tcp://127.0.0.1:9")


def test_without_dask_it_says_how_to_get_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = builtins.__import__

    def without(name: str, *rest: Any) -> Any:
        if name == "distributed":
            raise ImportError(name)
        return usual(name, *rest)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(InputError, match=r"found no Dask.*slowflight\[cluster\]"):
        run([Square(number=1)], RunStore(tmp_path), workers="cluster")
    assert found(run([Square(number=n) for n in NUMBERS], RunStore(tmp_path))) == squares(NUMBERS)


def test_never_more_in_hand_than_the_workers_can_use(scheduler: Any) -> None:
    crew = DaskCrew(scheduler.scheduler_address, cores=1)
    try:
        assert crew.room() == 4
    finally:
        crew.close()


def test_many_small_cases_cost_little_and_wait_in_no_ones_memory(
    tmp_path: Path, scheduler: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Processor time of client, scheduler and writer together, which are all in this process.

    Ten thousand, with times by the clock, are in ``benchmarks/study_dask.py``.
    """
    in_hand: list[int] = []
    give = DaskCrew.give

    def counted(crew: DaskCrew, number: int, case: Square) -> None:
        give(crew, number, case)
        in_hand.append(len(crew._flying))

    monkeypatch.setattr(DaskCrew, "give", counted)
    number = 300
    cases = [Square(number=n) for n in range(number)]
    begun, spent = time.monotonic(), time.process_time()
    results = run(cases, RunStore(tmp_path), workers=scheduler.scheduler_address)
    took, spent = time.monotonic() - begun, time.process_time() - spent
    assert found(results) == squares(range(number))
    assert len(in_hand) == number
    assert max(in_hand) <= 4
    assert spent / number < 0.020, f"{1e3 * took / number:.1f} ms by the clock"


def test_words_for_schedulers() -> None:
    assert [is_dask(word) for word in ("cluster", "cluster:4", "tcp://10.0.0.5:8786", "tls://a:1")] == [
        True
    ] * 4
    assert [is_dask(word) for word in ("local", "cluster:", "clusters", "cluster:x", "http://a")] == [
        False
    ] * 5


class Endless(Square):
    """A case that computes on and on."""

    def compute(self) -> dict[str, Any]:
        value = 0.0
        while True:
            value = math.sin(value + 1.0)


def test_stopping_reaches_a_computation_and_not_what_its_thread_does_next() -> None:
    ended: list[str] = []

    def work() -> None:
        packed = compute(Endless(number=1), code=code_version(), study="one")
        ended.append(type(packed.rebuilt_error()).__name__)
        after = compute(Square(number=3), code=code_version(), study="another")
        ended.append("whole" if after.content else "hit")
        late = compute(Square(number=3), code=code_version(), study="one")
        ended.append(type(late.rebuilt_error()).__name__)

    thread = threading.Thread(target=work)
    thread.start()
    until = time.monotonic() + 10.0
    while not stop("one"):
        assert time.monotonic() < until
        time.sleep(0.01)
    thread.join(10.0)
    assert ended == [Stopped.__name__, "whole", Stopped.__name__]
    assert stop("one") == 0


def test_a_worker_killed_from_outside_by_address(tmp_path: Path, scheduler: Any) -> None:
    store, killed = RunStore(tmp_path / "runs"), False
    cases = [Square(number=n, seconds=0.05) for n in NUMBERS]
    for _ in stream(cases, store, workers=scheduler.scheduler_address):
        if not killed:
            with client_of(scheduler) as client:
                os.kill(next(iter(client.run(os.getpid).values())), signal.SIGKILL)
            killed = True
    assert killed
    assert found(run(cases, store)) == squares(NUMBERS)
