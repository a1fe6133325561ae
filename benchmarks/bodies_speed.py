"""How fast, and how often, a section with a hung flap is solved.

    PYTHONPATH=src:. python benchmarks/bodies_speed.py

Prints, for the demo wing's rib with its flaperon at the demo's settings and two more, the processor time of
26 angles, the share of angles answered, and one Newton step beside a dense solution of the same order.
Compiled code is loaded before the clock starts.
"""

from __future__ import annotations

import math
import time
from pathlib import Path

import numpy as np

from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.integral.bodies.model import elements_model, outer_flow, solve_bodies
from slowflight.wing.airfoils import airfoil
from slowflight.wing.elements import Elements, hung_flap
from slowflight.wing.naca import naca_section

RIB = airfoil(str(Path("src/slowflight/demo/rib.csv")), chord=1.37)
FLAP = naca_section("2414")
# as the demo's, but with the axis 5 % below: at 3.1 % the flap crosses the wing from 21 deg on
AXIS_BELOW = 0.05
SETTINGS = (-8.0, 0.0, 16.0, 31.0, 40.0)
ANGLES = tuple(float(a) for a in range(-4, 22))
REYNOLDS = 1.9e6  # at a lift coefficient of 1, about the demo's


def hung(angle_deg: float, *, axis_below: float = AXIS_BELOW) -> Elements:
    return hung_flap(
        RIB, FLAP, chord=0.23, axis_aft=0.011, axis_below=axis_below, axis_in_flap=0.26,
        angle=math.radians(angle_deg),
    )  # fmt: skip


def main() -> None:
    elements_lift_curve(hung(0.0), reynolds=REYNOLDS, angles_deg=[2.0, 4.0])
    answered = total = 0
    for setting in SETTINGS:
        begun = time.process_time()
        curve = elements_lift_curve(
            hung(setting), reynolds=REYNOLDS, angles_deg=ANGLES, speed_follows_lift=True
        )
        seconds = time.process_time() - begun
        known = sum(p.converged for p in curve.points)
        answered, total = answered + known, total + len(ANGLES)
        top = f"{curve.cl_max or math.nan:.3f} at {curve.alpha_cl_max_deg or math.nan:.1f} deg"
        trends = sum(p.extrapolated for p in curve.points)
        print(
            f"flap {setting:5.1f} deg: {seconds:5.2f} s, {known} of {len(ANGLES)} answered,"
            f" {trends} marked as trends, maximum lift {top}"
        )
    print(f"answered in all: {answered} of {total}")
    model = elements_model(hung(16.0), reynolds=REYNOLDS)
    outer = outer_flow(model, math.radians(4.0))
    solved = solve_bodies(model, math.radians(4.0), coupled=outer)
    begun = time.process_time()
    for _ in range(20):
        solve_bodies(model, math.radians(4.0), near=solved, coupled=outer, most_iterations=1)
    check = (time.process_time() - begun) / 20
    begun = time.process_time()
    tried = [solve_bodies(model, math.radians(4.0), coupled=outer) for _ in range(5)]
    step = (time.process_time() - begun) / sum(s.iterations for s in tried)
    order = outer.D.shape[0]
    matrix = outer.D + np.eye(order)
    begun = time.process_time()
    for _ in range(20):
        np.linalg.solve(matrix, np.ones(order))
    dense = (time.process_time() - begun) / 20
    begun = time.process_time()
    for _ in range(10):
        outer_flow(model, math.radians(5.0))
    outer_time = (time.process_time() - begun) / 10
    print(f"order {order}: step {1e3 * step:.1f} ms, dense solution {1e3 * dense:.1f} ms")
    print(f"first step {1e3 * check:.1f} ms, wakes and responses of an angle {1e3 * outer_time:.1f} ms")


if __name__ == "__main__":
    main()
