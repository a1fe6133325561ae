"""Time of a lift curve of 26 angles on one core, also in units of one dense solve of the same size."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np
from threadpoolctl import threadpool_limits

from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.lift_curve import lift_curve
from slowflight.wing.naca import naca_section

CASES = (
    ("0012", 6e6, (0.05, 0.05)),
    ("0012", 6e6, (None, None)),
    ("4412", 1.52e6, (0.025, 0.103)),
    ("4412", 3e6, (None, None)),
    ("23012", 3e6, (None, None)),
)
ANGLES = [float(a) for a in range(-4, 22)]


def median_time(action: Callable[[], object], repeats: int) -> tuple[float, float]:
    """Median and half range of wall-clock time [s]."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        action()
        times.append(time.perf_counter() - begin)
    return statistics.median(times), 0.5 * (max(times) - min(times))


def main() -> None:
    section = naca_section("4412")
    begin = time.perf_counter()
    lift_curve(section, reynolds=3e6, angles_deg=[2.0])
    print(f"first call, compiled or read from the cache: {time.perf_counter() - begin:.1f} s")
    model = section_model(section, reynolds=3e6)
    size = model.body_stations + model.wake_nodes
    rng = np.random.default_rng(1)
    matrix = rng.normal(size=(size, size)) + size * np.eye(size)
    right = rng.normal(size=size)
    with threadpool_limits(limits=1, user_api="blas"):
        solve, _ = median_time(lambda: np.linalg.solve(matrix, right), 50)
    print(f"one dense solve of order {size}: {1e3 * solve:.2f} ms")
    for digits, reynolds, transition in CASES:
        curve = partial(
            lift_curve,
            naca_section(digits),
            reynolds=reynolds,
            angles_deg=ANGLES,
            transition=transition,
        )
        failed = sum(not p.converged for p in curve().points)
        took, noise = median_time(curve, 5)
        print(
            f"NACA {digits} Re {reynolds:.3g} trips {transition}: 26 angles in {took:.3f} +- {noise:.3f} s"
            f" = {took / solve:.0f} solves, {failed} without an answer"
        )


if __name__ == "__main__":
    main()
