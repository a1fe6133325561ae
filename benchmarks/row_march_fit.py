"""Fit designed rows on a plate in saturating form, and print the constants and residuals of the documents.

Usage: ``python benchmarks/row_march_fit.py [cases]`` (160). The last fifth of the cases is kept out.
"""

from __future__ import annotations

import sys

import numpy as np
from scipy.optimize import least_squares

from slowflight.flow.row_march.designed import designed_case
from slowflight.flow.row_march.fitted import PLACES, saturating
from slowflight.flow.row_march.row_march import march_row
from slowflight.flow.row_march.start import vane_circulation
from slowflight.flow.solution import FloatArray

FIRST_GUESS = np.array([0.2, 0.25, 1.5, 0.3, -0.3, 0.2, 2.5, 0.6])
LEAST = np.array([0.0, 0.005, 0.5, -1.0, -3.0, -1.0, 0.0, 0.1])
MOST = np.array([1.0, 2.0, 3.0, 5.0, 3.0, 1.0, 40.0, 2.0])


def collected(count: int) -> tuple[FloatArray, FloatArray]:
    """Inputs (n, 6) and answers (n, 2 k): fall of shape factor and largest shear at each of k places."""
    inputs, answers = [], []
    for number in range(count):
        case = designed_case(number, plate=True)
        found = march_row(
            row=case.row, layer=case.layer, arc=case.arc, edge_speed=case.edge_speed, reynolds=case.reynolds
        )
        if found.status != "ran":
            print("left out:", number, found.status, found.warnings)
            continue
        row = case.row
        strength = vane_circulation(sizes=row, thickness=1.0) * row.per_pitch / row.pitch
        single = 1.0 if row.arrangement == "co-rotating" else 0.0
        gap = row.trailing_gap / row.pitch
        inputs.append([strength, row.height, row.pitch / row.height, gap, case.re_theta, single])
        at = [round(p) for p in PLACES]
        answers.append([*found.shape_factor_fall[at], *found.shear[at].max(axis=1)])
    return np.array(inputs), np.array(answers)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 160
    inputs, answers = collected(count)
    kept = len(inputs) - len(inputs) // 5
    names = [f"fall of H at {p:g} h" for p in PLACES] + [f"shear at {p:g} h" for p in PLACES]
    for column, name in enumerate(names):
        wanted = answers[:, column]
        scale = float(np.abs(wanted).max())

        def miss(c: FloatArray, wanted: FloatArray = wanted, scale: float = scale) -> FloatArray:
            return (saturating(c, inputs[:kept]) - wanted[:kept]) / scale

        guess = FIRST_GUESS.copy()
        guess[0] = scale
        most = MOST.copy()
        most[0] = 2.5 * scale
        found = least_squares(miss, guess, bounds=(LEAST, most), loss="soft_l1", f_scale=0.05)
        error = saturating(found.x, inputs) - wanted
        constants = ", ".join(f"{v:.4g}" for v in found.x)
        print(f"{name}: ({constants})")
        print(
            f"    range {wanted.min():.4f} to {wanted.max():.4f}; residual rms fitted"
            f" {np.sqrt((error[:kept] ** 2).mean()):.4f}, kept out {np.sqrt((error[kept:] ** 2).mean()):.4f},"
            f" largest {np.abs(error).max():.4f}"
        )


if __name__ == "__main__":
    main()
