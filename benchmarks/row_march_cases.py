"""March designed rows: which ran, stopped or were refused, and whether any is wrong in silence.

Usage: ``python benchmarks/row_march_cases.py [cases]`` (200). Times are of one core, compilation left out.
"""

from __future__ import annotations

import sys
import time

import numpy as np

from slowflight.flow.row_march.designed import designed_case
from slowflight.flow.row_march.row_march import RowMarch, march_row

# what a warning has to say to count as a flag: a remark on the fit of circulation is none
FLAGS = ("shape factor above", "budget", "wake reverses", "ran away", "found room")


def suspicion(found: RowMarch) -> str:
    """What looks unphysical where the march says it is valid."""
    good = np.isfinite(found.shape_factor)
    if not good.any():
        return ""
    said = []
    if (found.shape_factor[good] > 2.8).any() or (found.shape_factor[good] < 1.05).any():
        said.append("shape factor")
    if (np.abs(found.budget_residual[good]) > 0.03).any():
        said.append(f"budget {np.nanmax(np.abs(found.budget_residual[good])):.3f}")
    if (found.circulation[good] > 1.6 * found.start_circulation).any():
        said.append("circulation")
    if (found.friction_low[good] < 0.0).any():
        said.append("reversal")
    if (found.axial[good] < -1e-12).any() or np.abs(found.shear[good]).max() > 0.1:
        said.append("stress")
    return ", ".join(said)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    march_case(1)
    seconds: list[float] = []
    tally: dict[str, int] = {}
    silent = 0
    for number in range(count):
        start = time.process_time()
        found = march_case(number)
        seconds.append(time.process_time() - start)
        odd = suspicion(found)
        tally[found.status] = tally.get(found.status, 0) + 1
        case = designed_case(number)
        if found.status != "ran" or odd or found.warnings:
            height, reach = case.row.height, found.valid_to / case.arc[-1]
            print(
                f"{number:4d} {found.status:28s} h/d {height:.2f} slowing {case.slowing:+.4f}"
                f" H {case.layer.shape_factor:.2f} reach {reach:.2f}"
                f" clean {found.clean_valid_to / case.arc[-1]:.2f}"
                f" {odd} | {'; '.join(found.warnings)}"
            )
        if odd and not any(word in w for w in found.warnings for word in FLAGS):
            silent += 1
    print(tally, f"wrong in silence: {silent}")
    print(
        f"CPU seconds a case: median {np.median(seconds):.2f}, 90 % {np.quantile(seconds, 0.9):.2f},"
        f" most {max(seconds):.2f}"
    )


def march_case(number: int) -> RowMarch:
    case = designed_case(number)
    return march_row(
        row=case.row, layer=case.layer, arc=case.arc, edge_speed=case.edge_speed, reynolds=case.reynolds
    )


if __name__ == "__main__":
    main()
