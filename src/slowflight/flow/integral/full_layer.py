"""An end to how full a layer can get on its way into a slot.

There a turbulent layer is sped up two- or threefold within a tenth of the chord. Turbulence dies under such
acceleration and the layer turns laminar again; the turbulent closure instead runs towards H = 1, where the
logarithm of H - 1 has no bottom and the least change upstream decides whether the layer separates behind the
slot. ``too_full`` takes the drive away smoothly. Own construction; the layers of single sections do not get
as full as where it begins, so that it is nothing to them.
"""

from __future__ import annotations

import numpy as np

from slowflight.flow.compiled import kernel

FULLEST = np.log(0.12)  # h = ln(H - 1) from which on acceleration fills a layer less and less


@kernel
def too_full(h: float, x: float) -> tuple[float, float, float]:
    """What is added to the energy equation over an interval, and its derivatives with respect to h and x.

    The equation's drive is (H - 1) x with x the change of ln u; at h = FULLEST - 0.3 nothing is left of it.
    """
    short = FULLEST - h
    if short <= 0.0 or x <= 0.0:
        return 0.0, 0.0, 0.0
    return x * short * short, -2.0 * x * short, short * short
