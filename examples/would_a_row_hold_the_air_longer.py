"""Would a row of vanes hold the air on this section longer? The picture of the README.

NACA 4412 at Re 1.52 million, tripped as in the tunnel of Coles and Wadcock (1979), clean and with a row at
10 % of a 1.4 m chord. What the row gains is predicted and uncalibrated.
"""

from __future__ import annotations

import math
import sys
from pathlib import Path

from slowflight.flow.lift_curve import lift_curve
from slowflight.flow.solution import LiftCurve
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

CHORD_M = 1.4
MEASURED = "measured, clean (Coles and Wadcock 1979)"
ROW = VaneRow(station=0.10, height=0.006, length=0.016, pitch=0.06, gap=0.015, incidence=math.radians(16.0))
ANGLES = [float(a) for a in range(-4, 21)]


def answer() -> tuple[LiftCurve, LiftCurve]:
    """Lift curves clean and with the row."""
    section = naca_section("4412")
    curves = [
        lift_curve(
            section,
            reynolds=1.52e6,
            angles_deg=ANGLES,
            transition=(0.025, 0.103),
            vane_rows=rows,
            chord_m=CHORD_M,
        )
        for rows in ((), (ROW,))
    ]
    return curves[0], curves[1]


def draw(clean: LiftCurve, with_row: LiftCurve, path: Path) -> None:
    """Draw lift and the place where the air lets go over the angle of attack."""
    import matplotlib

    matplotlib.use("Agg")
    from matplotlib import pyplot as plt

    figure, (left, right) = plt.subplots(1, 2, figsize=(10.0, 4.4), constrained_layout=True)
    for curve, color, dashes, label in (
        (clean, "#1f3a5f", "-", "clean"),
        (with_row, "#c8553d", "--", "with a row of vanes at 10 %"),
    ):
        points = [p for p in curve.points if p.cl is not None]
        inside = [p for p in points if not p.extrapolated]
        everywhere = [p.alpha_deg for p in points]
        left.plot(everywhere, [p.cl for p in points], dashes, color=color, lw=1, alpha=0.4)
        left.plot(
            [p.alpha_deg for p in inside], [p.cl for p in inside], dashes, color=color, lw=2, label=label
        )
        right.plot(
            [p.alpha_deg for p in inside],
            [100.0 * (1.0 if p.separation_upper is None else p.separation_upper) for p in inside],
            dashes,
            color=color,
            lw=2,
            label=label,
        )
    left.plot([13.87], [1.668], "o", color="black", ms=7, mfc="white", label=MEASURED)
    right.plot([13.87, 13.87], [84, 90], color="black", lw=3, label=MEASURED)
    left.set(xlabel="angle of attack, degrees", ylabel="lift coefficient", title="Lift of the section")
    right.set(xlabel="angle of attack, degrees", ylabel="per cent of chord", title="Where the air lets go")
    right.set_ylim(0, 103)
    left.grid(alpha=0.25)
    right.grid(alpha=0.25)
    left.legend(frameon=False, fontsize=9, loc="lower right")
    right.legend(frameon=False, fontsize=9, loc="lower left")
    figure.suptitle(
        "NACA 4412, Re 1.52 million. Predicted; faint: beyond the method.\n"
        "The gain from vanes is uncalibrated, and of the size of the method's miss of the clean measurement.",
        fontsize=10,
    )
    figure.savefig(path, dpi=110)


if __name__ == "__main__":
    without, row = answer()
    if without.cl_max is None or row.cl_max is None:
        sys.exit("maximum lift was not bracketed")
    print(f"clean: {without.cl_max:.3f} at {without.alpha_cl_max_deg:.1f} deg")
    print(f"with the row (predicted, uncalibrated): {row.cl_max:.3f} at {row.alpha_cl_max_deg:.1f} deg")
    if len(sys.argv) > 1:
        draw(without, row, Path(sys.argv[1]))
