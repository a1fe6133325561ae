"""The minutes tier beside the measured wing with an external-airfoil flap, NACA TN 524.

    nice python -m benchmarks.minutes_noyes [preview | medium | default]

NACA 4412 for Clark Y, Re 0.6 million and fully turbulent: assumed, not read (``tests/flow/bodies/noyes``).
Section curves go through the lifting line, on wing and flap area. Figures of the last run and its date stand
in docs/minutes-tier.md.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace

from slowflight.errors import SectionError
from slowflight.flow.rans.bodies_lift_curve import bodies_lift_curve
from slowflight.flow.rans.lift_curve import rans_lift_curve
from slowflight.flow.solution import LiftCurve
from tests.flow.bodies.noyes import ASSUMED_REYNOLDS, NOYES, STAND_IN, noyes_elements, noyes_wing

ANGLES = tuple(float(a) for a in range(-6, 19, 2))


def curve_at(setting: float | None, grid: str) -> LiftCurve:
    """Fully turbulent, without flap (None) or with it at a setting [deg], on the main chord."""
    if setting is None:
        return rans_lift_curve(STAND_IN, reynolds=ASSUMED_REYNOLDS, angles_deg=ANGLES, grid=grid)
    curve = bodies_lift_curve(
        noyes_elements(setting), reynolds=ASSUMED_REYNOLDS, angles_deg=ANGLES, grid=grid
    )
    return replace(curve, reference={**curve.reference, "flap_chord": NOYES["flap_chord"]})


def main(grid: str) -> None:
    """Print sections, wings, and errors against the measurement."""
    lifts: dict[float | None, float] = {}
    drags: dict[float | None, float] = {}
    for setting in (None, NOYES["maximum_lift_flap_deg"], NOYES["least_drag_flap_deg"]):
        begun = time.process_time()
        try:
            curve = curve_at(setting, grid)
        except SectionError as error:
            print(f"flap {setting}: {error}")
            continue
        print(f"flap {setting}, {grid}, {time.process_time() - begun:.0f} s of processor time")
        for p in curve.points:
            said = "no answer" if p.cl is None or p.cd is None else f"{p.cl:7.3f} {p.cd:8.4f}"
            print(f"  {p.alpha_deg:5.1f} {said}", flush=True)
        wing = noyes_wing(curve)
        if wing.cl_max_first_station is not None:
            lifts[setting] = wing.cl_max_first_station
        drags[setting] = min(
            (p.cd / (1.0 + (0.0 if setting is None else NOYES["flap_chord"]))) for p in curve.points if p.cd
        )
        print(f"  wing: largest lift {lifts.get(setting)}, least drag of the section {drags[setting]:.4f}")
    down, up = NOYES["maximum_lift_flap_deg"], NOYES["least_drag_flap_deg"]
    for name, found, measured in (
        ("largest lift, plain", lifts.get(None), NOYES["maximum_lift_plain"]),
        ("largest lift, 45 deg", lifts.get(down), NOYES["maximum_lift_flap"]),
        ("least drag, plain", drags.get(None), NOYES["least_drag_plain"]),
        ("least drag, -5 deg", drags.get(up), NOYES["least_drag_flap"]),
    ):
        said = "none" if found is None else f"{found:.4f}, error {100.0 * (found / measured - 1.0):+.0f} %"
        print(f"{name}: measured {measured:.4f}, predicted {said}")
    if None in lifts and down in lifts:
        gain, measured = lifts[down] - lifts[None], NOYES["maximum_lift_flap"] - NOYES["maximum_lift_plain"]
        off = 100.0 * (gain / measured - 1.0)
        print(f"gain of lift: measured {measured:.3f}, predicted {gain:.3f}, error {off:+.0f} %")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else "preview")
