"""Noyes' wing with an external-airfoil flap: section curves, then the lifting line on its own area.

No coordinates of its Clark Y stand in any source that was read; NACA 4412, of like thickness and camber,
stands in. The Reynolds number is assumed.
"""

import math
import tomllib
from pathlib import Path

import numpy as np

from slowflight.flow.integral.bodies.lift_curve import elements_lift_curve
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, WingLift, wing_lift
from slowflight.flow.solution import LiftCurve
from slowflight.wing.elements import Elements, hung_flap, single
from slowflight.wing.naca import naca_section
from slowflight.wing.planform import Wing, WingStation

NOYES = tomllib.loads(Path(__file__).with_name("noyes.toml").read_text(encoding="utf-8"))
STAND_IN = naca_section("4412")
ASSUMED_REYNOLDS = 6e5
ANGLES = tuple(float(a) for a in range(-6, 18))


def noyes_elements(angle_deg: float | None) -> Elements:
    """The section without flap, or with it at a setting."""
    if angle_deg is None:
        return single(STAND_IN)
    return hung_flap(
        STAND_IN, naca_section("0012"), chord=NOYES["flap_chord"], axis_aft=NOYES["axis_aft"],
        axis_below=NOYES["axis_below"], axis_in_flap=NOYES["axis_in_flap"], angle=math.radians(angle_deg),
    )  # fmt: skip


def noyes_curve(angle_deg: float | None, *, reynolds: float = ASSUMED_REYNOLDS) -> LiftCurve:
    """On the main chord."""
    return elements_lift_curve(noyes_elements(angle_deg), reynolds=reynolds, angles_deg=ANGLES)


def noyes_wing(curve: LiftCurve) -> WingLift:
    """The rectangular wing of aspect ratio 6 with this section; coefficients on wing and flap area."""
    whole = 1.0 + float(curve.reference.get("flap_chord", 0.0))
    known = [p for p in curve.points if p.cl is not None and p.cd is not None]
    section = SectionCurve(
        alpha=np.radians([p.alpha_deg for p in known]),
        cl=np.array([p.cl for p in known], dtype=float) / whole,
        cd=np.array([p.cd for p in known], dtype=float) / whole,
    )
    # chord 1 stands for wing and flap together
    station = WingStation(span_station=0.0, chord=1.0, washout=0.0, section=STAND_IN, airfoil="naca4412")
    wing = Wing(span=NOYES["aspect_ratio"], incidence=0.0, stations=(station,), cabin_width=0.1)
    stretch = SpanCurve(span_from=0.0, span_to=0.5 * wing.span, inner=section, outer=section)
    return wing_lift(wing, curve_at=(stretch,), angles=np.radians(np.arange(-4.0, 19.0)))
