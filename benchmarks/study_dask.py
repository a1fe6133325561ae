"""What the scheduler costs: the same lift curves by 1, 2 and 4 Dask workers, and 10,000 cases of nothing.

Run it as ``python benchmarks/study_dask.py`` on a machine that is otherwise idle; it prints how idle it was.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import tempfile
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight.study.minutes_section_case import MinutesSectionCase, of_section
from slowflight.study.pool import Workers, stream, usable_cores
from slowflight.study.record_file import decode_record, encode_record
from slowflight.study.section_case import SectionCase
from slowflight.study.store import RunStore
from slowflight.wing.naca import naca_section

Found = dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class Nothing:
    """A case that costs nothing, so that what is measured is what it costs to have it done."""

    number: int

    @property
    def key(self) -> str:
        return f"nothing-{self.number}"

    @property
    def suffix(self) -> str:
        return ".json"

    def compute(self) -> Found:
        return {"number": self.number}

    def encode(self, result: Mapping[str, Any]) -> bytes:
        return encode_record(key=self.key, description={"number": self.number}, result=result)

    def decode(self, content: bytes) -> Found:
        return decode_record(content, key=self.key)


class Nothings(Sequence[Nothing]):
    """So many of them, each made when it is asked for."""

    def __init__(self, number: int) -> None:
        self._number = number

    def __len__(self) -> int:
        return self._number

    def __getitem__(self, which: Any) -> Any:
        if not 0 <= which < self._number:
            raise IndexError
        return Nothing(number=which)


def curves(number: int) -> list[SectionCase]:
    """So many lift curves through stall."""
    section = naca_section("naca4415")
    angles = tuple(float(angle) for angle in range(0, 21, 1))
    return [
        SectionCase(
            section=section, chord=1.3, reynolds_at_unit_lift=1.0e6 * (1.0 + 0.01 * n), angles_deg=angles
        )
        for n in range(number)
    ]


def minutes_curves(number: int) -> list[MinutesSectionCase]:
    """So many short lift curves of the minutes tier."""
    return [
        of_section(case, reynolds=1.0e6 * (1.0 + 0.01 * n), angles_deg=(4.0, 8.0, 12.0), grid="preview")
        for n, case in enumerate(curves(number))
    ]


def timed(cases: Sequence[Any], workers: Workers) -> tuple[float, float, dict[str, Found]]:
    """Return the seconds to the first result, those from there to the last, and the results."""
    with tempfile.TemporaryDirectory() as folder:
        begun = time.perf_counter()
        first = 0.0
        results: dict[str, Found] = {}
        for key, result in stream(cases, RunStore(Path(folder)), workers=workers):
            first = first or time.perf_counter()
            results[key] = result
        return first - begun, time.perf_counter() - first, results


def efficiency(cases: Sequence[Any], what: str, repeats: int) -> None:
    """Compare the time of many lift curves with that of the same ones in this process."""
    timed(cases[:1], 1)  # compiles
    here = [timed(cases, 1) for _ in range(repeats)]
    alone = statistics.median(rest for _, rest, _ in here)
    spread = max(rest for _, rest, _ in here) / min(rest for _, rest, _ in here)
    print(f"{len(cases)} {what} in this process: {alone:.2f} s; slowest/fastest {spread:.2f}")
    print("workers        start [s]  rest [s]  efficiency on the cores there are  same numbers")
    ways: list[Workers] = [2, "cluster:1", "cluster:2", "cluster:4"]
    for workers in ways:
        tries = [timed(cases, workers) for _ in range(repeats)]
        start = statistics.median(start for start, _, _ in tries)
        rest = statistics.median(rest for _, rest, _ in tries)
        used = min(usable_cores(), int(str(workers).partition(":")[2] or workers))
        same = all(_numbers(results) == _numbers(here[0][2]) for _, _, results in tries)
        print(f"{workers!s:14} {start:9.2f} {rest:9.2f} {alone / rest / used:10.0%} {'':24}{same}")


def _numbers(results: Mapping[str, Found]) -> dict[str, Found]:
    """Results without how long they took."""
    return {key: {k: v for k, v in found.items() if k != "seconds"} for key, found in results.items()}


def overhead(number: int) -> None:
    """Time cases of nothing, and watch the memory of this process, in which the scheduler runs too."""
    print(f"{number} cases of nothing")
    print("workers        per case [ms]  of it scheduler [ms CPU]  memory before, most [MB]")
    ways: list[Workers] = [1, 2, "cluster:2"]
    for workers in ways:
        with tempfile.TemporaryDirectory() as folder:
            before, most = memory(), 0.0
            first, cpu, done = 0.0, 0.0, 0
            for _ in stream(Nothings(number), RunStore(Path(folder)), workers=workers):
                if not first:
                    first, cpu = time.perf_counter(), time.process_time()
                done += 1
                if done % 100 == 0:
                    most = max(most, memory())
            took, used = time.perf_counter() - first, time.process_time() - cpu
        assert done == number
        per, load = 1e3 * took / (number - 1), 1e3 * used / (number - 1)
        print(f"{workers!s:14} {per:13.2f} {load:25.2f}  {before:.0f}, {most:.0f}")


def memory() -> float:
    """Memory of this process now [MB]; the most there was where the system does not tell."""
    try:
        pages = int(Path("/proc/self/statm").read_text().split()[1])
        return float(pages * os.sysconf("SC_PAGE_SIZE")) / 1e6
    except OSError:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3


def scheduler_alone(number: int) -> None:
    """Time a scheduler that is fed in batches and answers no one else: an upper limit of its rate."""
    import distributed

    cluster: Any = distributed.LocalCluster(
        n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address="127.0.0.1:0"
    )  # type: ignore[no-untyped-call]
    client: Any = distributed.Client(cluster)  # type: ignore[no-untyped-call]
    client.gather(client.map(_same, range(100), pure=False))
    begun, cpu = time.perf_counter(), time.process_time()
    client.gather(client.map(_same, range(number), pure=False))
    took, used = time.perf_counter() - begun, time.process_time() - cpu
    print(
        f"scheduler with its client, {number} numbers in one batch: "
        f"{1e3 * took / number:.2f} ms each, {1e3 * used / number:.2f} ms CPU"
    )
    client.close()
    cluster.close()


def _same(number: int) -> int:
    return number


def busy() -> Iterator[str]:
    """Tell how noisy this machine is: load, and the spread of a fixed piece of work."""
    if hasattr(os, "getloadavg"):
        yield f"load average {os.getloadavg()[0]:.1f} on {usable_cores()} cores"
    tries = []
    for _ in range(20):
        begun = time.perf_counter()
        sum(n * n for n in range(300_000))
        tries.append(time.perf_counter() - begun)
    yield f"a fixed piece of work: median/fastest {statistics.median(tries) / min(tries):.2f}"
    yield f"slowest/fastest {max(tries) / min(tries):.2f}; threads {threading.active_count()}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--curves", type=int, default=60)
    parser.add_argument("--minutes", type=int, default=0, help="lift curves of the minutes tier, such as 12")
    parser.add_argument("--repeats", type=int, default=3)
    parser.add_argument("--nothings", type=int, default=10_000)
    asked = parser.parse_args()
    print("; ".join(busy()))
    if asked.curves:
        efficiency(curves(asked.curves), "lift curves of 21 angles", asked.repeats)
    if asked.minutes:
        efficiency(
            minutes_curves(asked.minutes), "lift curves of 3 angles by the minutes tier", asked.repeats
        )
    if asked.nothings:
        overhead(asked.nothings)
        scheduler_alone(asked.nothings)
    print("; ".join(busy()))


if __name__ == "__main__":
    main()
