"""A study whose process is killed, or whose disk is full, loses the running point and nothing else."""

from __future__ import annotations

import errno
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from slowflight.errors import InputError
from slowflight.study.index import kept_results
from slowflight.study.pool import run, stream
from slowflight.study.store import PART_IS_OLD, RunStore
from tests.study.cases import Square, found, squares

ROOT = Path(__file__).parents[2]
KILLS = 50
# Large enough that most of the time goes into writing.
WRITER = """
import sys
from pathlib import Path
from slowflight.study.index import kept_results
from slowflight.study.pool import stream
from slowflight.study.store import RunStore
from tests.study.cases import Square

if __name__ == "__main__":
    folder, workers, padding, seconds = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3]), float(sys.argv[4])
    cases = [Square(number=n, padding=padding, seconds=seconds) for n in range(int(sys.argv[5]))]
    told = lambda done, total: print(done, flush=True)
    workers = int(workers) if workers.isdecimal() else workers
    for number, _ in enumerate(stream(cases, RunStore(folder), workers=workers, on_done=told)):
        if number % 5 == 0:
            kept_results(folder)
    print("whole", flush=True)
"""


def begin(
    tmp_path: Path, *, workers: str, padding: int, seconds: float, number: int
) -> subprocess.Popen[str]:
    """Start a study in a process group of its own, and wait until it has begun."""
    script = tmp_path / "writer.py"
    script.write_text(WRITER, encoding="utf-8")
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join((str(ROOT / "src"), str(ROOT)))}
    folder = str(tmp_path / "runs")
    process = subprocess.Popen(
        [sys.executable, str(script), folder, workers, str(padding), str(seconds), str(number)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env=environment,
        start_new_session=True,
        # tests run in the background have the signal ignored, which children would inherit
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert process.stdout is not None
    assert process.stdout.readline() != "", process.stderr and process.stderr.read()
    return process


def last_told(process: subprocess.Popen[str]) -> int:
    """Return how many were done when the process last said so."""
    told, _ = process.communicate(timeout=60)
    numbers = [int(line) for line in told.split() if line.isdecimal()]
    return numbers[-1] if numbers else 0


def test_killed_at_random_moments_of_writing(tmp_path: Path) -> None:
    """What has its name is whole, what was told of is there, and a second run comes to the same numbers."""
    chance = random.Random(11)
    half_written = lost = 0
    for number in range(KILLS):
        place = tmp_path / str(number)
        place.mkdir()
        process = begin(place, workers="1", padding=300_000, seconds=0.0, number=1000)
        time.sleep(chance.uniform(0.0, 0.12))
        process.kill()
        told = last_told(process)
        assert process.returncode == -signal.SIGKILL
        folder = place / "runs"
        kept = sorted(folder.glob("square-*.json"))
        for path in kept:
            case = Square(number=int(path.stem.split("-")[1]))
            assert case.decode(path.read_bytes())["square"] == case.number**2
        assert told <= len(kept) <= told + 1
        lost += len(kept) - told
        half_written += len(list(folder.glob(".*.part")))
        assert [entry.file for entry in kept_results(folder)] == [path.name for path in kept]
        cases = [Square(number=n, padding=300_000) for n in range(3)]
        assert found(run(cases, RunStore(folder))) == squares(range(3))
        for path in folder.iterdir():
            path.unlink()
    assert half_written > 0, "no kill fell into writing: the test shows nothing"


@pytest.mark.parametrize("workers", ["2", "cluster:2"])
def test_killed_with_its_workers_at_work_it_goes_on(tmp_path: Path, workers: str) -> None:
    process = begin(tmp_path, workers=workers, padding=10, seconds=0.1, number=30)
    assert process.stdout is not None
    assert "7" in iter(lambda: process.stdout.readline().strip(), "")  # type: ignore[union-attr]
    process.kill()
    told = max(7, last_told(process))
    folder = tmp_path / "runs"
    assert told <= len(list(folder.glob("square-*.json"))) <= told + 1
    begun: list[int] = []
    cases = [Square(number=n, padding=10) for n in range(30)]
    results = run(cases, RunStore(folder), on_done=lambda done, _: begun.append(done))
    assert found(results) == squares(range(30))
    assert begun[0] >= told
    assert nobody_left(process.pid)


@pytest.mark.parametrize("workers", ["1", "2", "cluster:2"])
def test_interrupted_at_the_keyboard_it_ends_soon(tmp_path: Path, workers: str) -> None:
    """Ctrl-C goes to every process of the group."""
    process = begin(tmp_path, workers=workers, padding=10, seconds=0.2, number=200)
    assert process.stdout is not None
    assert "4" in iter(lambda: process.stdout.readline().strip(), "")  # type: ignore[union-attr]
    os.killpg(process.pid, signal.SIGINT)
    told, said = process.communicate(timeout=60)
    assert "whole" not in told
    assert said.rstrip().endswith("KeyboardInterrupt")
    kept = len(list((tmp_path / "runs").glob("square-*.json")))
    assert 4 <= kept < 200
    assert not list((tmp_path / "runs").glob(".*.part"))
    assert nobody_left(process.pid)


def nobody_left(group: int) -> bool:
    """Whether all processes of a group are gone, within ten seconds."""
    until = time.monotonic() + 10.0
    while time.monotonic() < until:
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.1)
    return False


class Full:
    """A file on a disk with room for so many more bytes."""

    def __init__(self, stream: Any, room: list[int]) -> None:
        self._stream, self._room = stream, room

    def __enter__(self) -> Full:
        return self

    def __exit__(self, *error: object) -> None:
        self._stream.close()

    def write(self, content: bytes) -> None:
        self._stream.write(content[: self._room[0]])
        self._room[0] -= len(content)
        if self._room[0] < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)


@pytest.fixture
def room(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Give the disk room for some bytes; the test says how many."""
    left = [10**9]
    opened = os.fdopen
    monkeypatch.setattr("os.fdopen", lambda handle, mode: Full(opened(handle, mode), left))
    return left


@pytest.mark.parametrize("workers", [1, 2, "cluster:2"])
def test_a_full_disk_stops_it_in_one_line_and_it_goes_on_when_there_is_room(
    tmp_path: Path, room: list[int], workers: int | str
) -> None:
    log = tmp_path / "log"
    cases = [Square(number=n, log=log, padding=1000) for n in range(10)]
    store = RunStore(tmp_path / "runs")
    room[0] = 5500
    with pytest.raises(InputError, match=r"No space left on device.*free some space"):
        run(cases, store, workers=workers)
    kept = list(store.folder.iterdir())
    assert sorted(path.suffix for path in kept) == [".json"] * len(kept)
    assert len(kept) == 4
    room[0] = 10**9
    log.unlink()
    assert found(run(cases, store, workers=workers)) == squares(range(10))
    assert len(log.read_text().split()) == 6


def test_leftovers_of_a_killed_process_are_swept_up_once_they_are_old(tmp_path: Path) -> None:
    old, fresh = tmp_path / ".abc.part", tmp_path / ".def.part"
    for path in (old, fresh):
        path.write_bytes(b"half")
    past = time.time() - 2.0 * PART_IS_OLD
    os.utime(old, (past, past))
    run([Square(number=1)], RunStore(tmp_path))
    assert not old.exists()
    assert fresh.exists()


def test_results_are_handed_out_and_let_go(tmp_path: Path) -> None:
    """Memory does not grow with the number of cases."""
    import tracemalloc

    cases = [Square(number=n, padding=200_000) for n in range(200)]
    tracemalloc.start()
    try:
        seen = sum(result["square"] for _, result in stream(cases, RunStore(tmp_path)))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert seen == sum(n**2 for n in range(200))
    assert most < 10 * 200_000  # all of them would be 200
