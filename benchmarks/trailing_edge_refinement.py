"""Does stalled lift still move when panels are refined? NACA 4412, Re 1.52e6, 13.87 degrees, tripped."""

from __future__ import annotations

import numpy as np

from slowflight.flow.integral import results
from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.integral.sweep import sweep
from slowflight.wing.naca import naca_section

ANGLES = (4.0, 8.0, 12.0, 13.87)


def main() -> None:
    print("panels   lift at " + "  ".join(f"{a:g} deg" for a in ANGLES))
    for panels in (120, 160, 200, 240, 320, 480):
        model = section_model(naca_section("4412"), reynolds=1.52e6, transition=(0.025, 0.103), panels=panels)
        lifts = []
        for point in sweep(model, [float(np.radians(a)) for a in ANGLES]):
            known = point.solved is not None and point.solved.converged
            lifts.append(
                results.coefficients(model, point.solved).cl if known and point.solved else float("nan")
            )
        print(f"{panels:6d}   " + "  ".join(f"{cl:.4f}" for cl in lifts))


if __name__ == "__main__":
    main()
