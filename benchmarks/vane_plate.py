"""What the vane model does to a flat plate, beside a colleague's vane-resolved computation of the same plate.

Re_theta 2500, counter-rotating rectangular vanes 2.5 heights long at 16.5 degrees, no vane wake. The figures
to compare with are computed, not measured: fall of the span-mean shape factor at 10, 30 and 60 heights.
"""

from __future__ import annotations

import math

from slowflight.flow.integral import vanes
from slowflight.flow.integral.closure import turbulent_closure
from slowflight.flow.integral.section_flow import LAG

RE_THETA = 2500.0
# height over thickness, pitch over height: fall of H at 10, 30 and 60 heights
COMPUTED = {
    (0.5, 6.0): (0.094, 0.162, 0.164),
    (1.0, 6.0): (0.179, 0.221, 0.198),
    (1.5, 6.0): (0.190, 0.213, 0.182),
    (2.0, 6.0): (0.184, 0.204, 0.163),
    (2.5, 6.0): (0.174, 0.197, 0.155),
    (1.0, 10.0): (math.nan, 0.169, 0.176),
    (1.0, 14.0): (math.nan, 0.134, 0.135),
}


def rates(H: float, theta: float, S: float, mixing: float) -> tuple[float, float, float]:
    """Growth of theta, H and S per length on a plate, in units of the first momentum thickness."""
    z = turbulent_closure(H, math.log(theta * RE_THETA), S, False)
    growth = z[3]
    energy = (z[6] - z[3]) / theta
    thickness = theta * (3.15 + 1.72 / (H - 1.0) + H)
    target = math.sqrt(z[10] ** 2 + mixing * z[13] / 0.46)
    return growth, (energy - z[2] * growth / theta) / z[1], S * 0.5 * LAG * (target - S) / thickness


def equilibrium() -> tuple[float, float]:
    """H and S of the plate's own layer."""
    H, S = 1.36, 0.04
    for _ in range(4000):
        S += 0.05 * (turbulent_closure(H, math.log(RE_THETA), S, False)[10] - S)
        H += 0.02 * rates(H, 1.0, S, 0.0)[1]
    return H, S


def fall(height_ratio: float, pitch_ratio: float) -> list[float]:
    """Fall of H against the same plate without vanes at 10, 30 and 60 heights."""
    H, S = equilibrium()
    thickness = 3.15 + 1.72 / (H - 1.0) + H
    height = height_ratio * thickness
    loop = vanes.circulation(math.radians(16.5), 1.0, 2.5 * height, height, thickness, 1.0)
    per_pitch = 2.0 * loop / (pitch_ratio * height) * min(1.0, 1.0 / height_ratio) ** vanes.TALL_POWER
    step, per_height = 0.01 * height, 100
    with_vanes, without = [H, 1.0, S], [H, 1.0, S]
    found = []
    for k in range(60 * per_height):
        mixing = vanes.mixing_strength(per_pitch * math.exp(-k * step / (vanes.REACH * height)))
        for layer, added in ((with_vanes, mixing), (without, 0.0)):
            d_theta, d_h, d_s = rates(layer[0], layer[1], layer[2], added)
            layer[0] += d_h * step
            layer[1] += d_theta * step
            layer[2] += d_s * step
        if k + 1 in (10 * per_height, 30 * per_height, 60 * per_height):
            found.append(without[0] - with_vanes[0])
    return found


def main() -> None:
    print("height/layer  pitch/height   here: 10 h 30 h 60 h      computed")
    for (height, pitch), known in COMPUTED.items():
        here = "  ".join(f"{v:.3f}" for v in fall(height, pitch))
        print(f"{height:12g}  {pitch:12g}   {here}     {'  '.join(f'{v:.3f}' for v in known)}")


if __name__ == "__main__":
    main()
