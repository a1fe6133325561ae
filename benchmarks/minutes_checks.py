"""The minutes tier beside published numbers on one grid or more: NACA 0012 and 4412.

    nice python benchmarks/minutes_checks.py [preview] [default] [fine]

Times are processor time of this process: on a shared machine an upper bound. Figures of the last run and its
date stand in docs/minutes-tier.md.
"""

from __future__ import annotations

import math
import resource
import sys
import time

import numpy as np

from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.rans.forces import force
from slowflight.flow.rans.given_flow import GivenFlow
from slowflight.flow.rans.given_sweep import given_sweep
from slowflight.flow.rans.grid import Grid, section_grid
from slowflight.flow.rans.gridded import gridded_section
from slowflight.flow.rans.newton import Flow, Marching
from slowflight.flow.rans.surface import reversed_stretches, skin, trailing_separation
from slowflight.wing.naca import naca_section
from slowflight.wing.section import Section

# NASA Turbulence Modeling Resource, model of Spalart and Allmaras, Mach 0.15, seven solvers on 897 x 257
# nodes; lift is to be multiplied by sqrt(1 - 0.15^2) = 0.9887 for incompressible flow (Prandtl, Glauert)
PUBLISHED_0012 = {
    0.0: "drag 0.00812 to 0.00830",
    10.0: "lift 1.0891 to 1.1000 (x 0.9887 = 1.0768 to 1.0876), drag 0.01225 to 0.01245, grid limit 0.01221",
    15.0: "lift 1.5446 to 1.5642 (x 0.9887 = 1.5271 to 1.5465), drag 0.02073 to 0.02159",
}
PUBLISHED_4412 = {
    13.87: "lift 1.717 to 1.721 with this model; measured 1.668 and reversal first between 0.84 and 0.90"
}


def main(families: list[str]) -> None:
    symmetric = naca_section("naca0012", points=401, extended_trailing_edge=True)
    for family in families:
        report(symmetric, 6e6, family, PUBLISHED_0012)
        report(naca_section("naca4412", points=401), 1.52e6, family, PUBLISHED_4412)
        print(f"most memory so far {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6:.2f} GB")


def report(section: Section, reynolds: float, family: str, published: dict[float, str]) -> None:
    grid = section_grid(section, reynolds=reynolds, family=family)
    print(f"{section.name}, {family} grid of {grid.cells} cells, Reynolds number {reynolds:.3g}")
    begun = time.process_time()

    def show(here: Marching, found: GivenFlow) -> None:
        nonlocal begun
        now, flow = time.process_time(), found.flow
        print(line(here, grid, flow), f"{now - begun:.0f} s;", published[round(math.degrees(flow.alpha), 6)])
        begun = now

    given_sweep(
        gridded_section(grid, reynolds=reynolds),
        angles=[float(np.radians(a)) for a in published],
        model=section_model(section, reynolds=reynolds),
        on_solved=show,
    )


def line(here: Marching, grid: Grid, flow: Flow) -> str:
    problem = here.at(flow.alpha, flow.circulation)
    found = force(problem, flow.q, alpha=flow.alpha)
    back = trailing_separation(reversed_stretches(skin(problem, grid, flow.q), "upper"))
    return (
        f"  {math.degrees(flow.alpha):6.2f} deg: lift {found.lift:.4f} drag {found.drag:.5f}"
        f" (pressure {found.pressure_drag:.5f}) reversed from {'nowhere' if back is None else f'{back:.3f}'};"
        f" residual {flow.residual:.0e}, {flow.steps} steps, {flow.factors} factors,"
        f" {flow.iterations} solutions,"
    )


if __name__ == "__main__":
    main(sys.argv[1:] or ["preview", "default"])
