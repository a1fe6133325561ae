"""From section curves to the wing: lift, drag and where stall starts, by the nonlinear lifting line.

Three steps: the wing becomes *strips* (``strips``), the air set moving by all of them becomes one matrix
(``induced``), and the angle each strip sees is found so that strip and section curve agree (``agreement``),
followed upward from attached flow (``followed``, ``through_stall``). ``wing_lift`` puts them together for
halves that are alike, ``whole`` for those that are not; ``ground`` and ``jumps`` add the ground and the ends
of flaps.
"""

from slowflight.flow.lifting_line.linear import LinearLift, linear_lift
from slowflight.flow.lifting_line.section_curve import SectionCurve
from slowflight.flow.lifting_line.strips import SpanCurve
from slowflight.flow.lifting_line.whole import WholeWing, whole_wing
from slowflight.flow.lifting_line.wing_lift import wing_lift
from slowflight.flow.lifting_line.wing_result import WingLift

__all__ = [
    "LinearLift",
    "SectionCurve",
    "SpanCurve",
    "WholeWing",
    "WingLift",
    "linear_lift",
    "whole_wing",
    "wing_lift",
]
