"""What each lag constant does to the calibrating cases, and which is least wrong.

Only the two calibrating cases are read: NACA 0012 at Re 6e6, tripped (Ladson, NASA TM 4074: maximum lift
1.623 at 17.17 deg, the mean of its three grits), and NACA 4412 at Re 1.52e6, tripped (Coles and Wadcock 1979:
lift 1.668 from the measured pressures at 13.87 deg, nominally maximum lift). Weights are the aims of the
project: 8 % of maximum lift, 1.5 degrees of its angle; the badness of lift alone is printed beside.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.integral import results
from slowflight.flow.integral.section_flow import LAG, section_model
from slowflight.flow.integral.sweep import sweep
from slowflight.flow.maximum_lift import maximum_lift
from slowflight.wing.naca import naca_section

LADSON = (17.17, 1.623)
COLES_WADCOCK = (13.87, 1.668)
LIFT_AIM, ANGLE_AIM = 0.08, 1.5


def curve(
    digits: str, reynolds: float, trips: tuple[float, float], angles: list[float], lag: float
) -> dict[float, float]:
    """Lift coefficient by angle [deg], answered angles only."""
    section = naca_section(digits, closed_trailing_edge=digits == "0012")
    model = section_model(section, reynolds=reynolds, transition=trips, lag=lag)
    found = {}
    for angle, point in zip(angles, sweep(model, [float(np.radians(a)) for a in angles]), strict=True):
        if point.solved is not None and point.solved.converged:
            found[angle] = results.coefficients(model, point.solved).cl
    return found


def main() -> None:
    best = (np.inf, 0.0)
    for lag in np.arange(4.2, 8.01, 0.2):
        thin = maximum_lift(
            list(curve("0012", 6e6, (0.05, 0.05), [float(a) for a in np.arange(14, 21.1, 0.5)], lag).items())
        )
        angles = [12.0, 12.5, 13.0, 13.5, 13.87, 14.5, 15.0, 15.5, 16.0, 16.5]
        cambered = curve("4412", 1.52e6, (0.025, 0.103), angles, lag)
        top = maximum_lift(list(cambered.items()))
        if thin is None or top is None:
            print(f"{lag:.1f}: no maximum bracketed")
            continue
        at = cambered[COLES_WADCOCK[0]]
        parts = (
            (thin[1] / LADSON[1] - 1.0) / LIFT_AIM,
            (thin[0] - LADSON[0]) / ANGLE_AIM,
            (at / COLES_WADCOCK[1] - 1.0) / LIFT_AIM,
            (top[0] - COLES_WADCOCK[0]) / ANGLE_AIM,
        )
        badness = sum(p * p for p in parts)
        of_lift = parts[0] ** 2 + parts[2] ** 2
        best = min(best, (badness, float(lag)))
        print(
            f"{lag:.1f}: 0012 {thin[1]:.3f} at {thin[0]:.1f}; 4412 {at:.3f} at 13.87,"
            f" {top[1]:.3f} at {top[0]:.1f}; badness {badness:.2f}, of lift alone {of_lift:.2f}"
        )
    print(f"least wrong: {best[1]:.1f}; in use: {LAG:g}")


if __name__ == "__main__":
    main()
