"""An end to how full a layer can get on its way into a slot.

There a turbulent layer is sped up two- or threefold within a tenth of the chord. Turbulence dies under such
acceleration and the layer turns laminar again; the turbulent closure instead runs towards H = 1, where the
logarithm of H - 1 has no bottom and the least change upstream decides whether the layer separates behind the
slot. ``too_full`` takes the drive away smoothly. A wake that is sped up beside a flap would even have less
than no defect. Own construction; the layers of single sections do not get as full as where it begins, so that
it is nothing to them.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.solution import FloatArray

# h = ln(H - 1) from which on acceleration fills a layer, or a wake, less and less
FULLEST, FULLEST_WAKE = np.log(0.12), np.log(0.03)


@kernel
def too_full(h: float, x: float, fullest: float) -> tuple[float, float, float]:
    """What is added to the energy equation over an interval, and its derivatives with respect to h and x.

    The equation's drive is (H - 1) x with x the change of ln u; at h = fullest - 0.3 nothing is left of it.
    """
    short = fullest - h
    if short <= 0.0 or x <= 0.0:
        return 0.0, 0.0, 0.0
    size = np.exp(fullest) / 0.12
    return size * x * short * short, -2.0 * size * x * short, size * short * short


@kernel
def hold_up(
    q1: FloatArray, q2: FloatArray, fullest: float, R: FloatArray, J1: FloatArray, J2: FloatArray
) -> None:
    """Add it to the equations of an interval from station q1 to q2."""
    added, by_h, by_x = too_full(q2[1], q2[4] - q1[4], fullest)
    R[1] += added
    J1[1, 4] -= by_x
    J2[1, 4] += by_x
    J2[1, 1] += by_h
