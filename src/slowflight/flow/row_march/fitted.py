"""A fit of marched rows for sweeps and sliders, where a march for every point would take too long."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.row_march.start import vane_circulation
from slowflight.flow.solution import FloatArray

PLACES = (10.0, 30.0, 60.0)  # behind the vanes, where falls and shears are fitted [heights]

# as benchmarks/row_march_fit.py prints them; residuals stand in the documents
FALLS = np.array(
    (
        (0.2491, 0.051, 1.637, 3.582, 0.5579, -0.2331, 0.8339, 1.084),
        (0.2639, 0.02053, 1.044, 2.377, 0.05247, -0.215, 11.79, 0.5981),
        (0.2133, 0.01833, 1.367, 2.329, 0.5531, -0.2493, 20.39, 0.4359),
    )
)
SHEARS = np.array(
    (
        (0.03908, 2, 0.9163, -0.3412, -0.8664, 0.03072, 1.782e-14, 0.3917),
        (0.0261, 1.078, 1.082, -0.1016, 0.07659, -0.05575, 4.57, 0.5221),
        (0.006103, 0.2365, 1.18, 0.4784, 1.076, -0.03887, 8.733, 0.5338),
    )
)
FALL_ERROR, SHEAR_ERROR = (
    (0.0237, 0.0174, 0.0175),
    (0.0012, 0.0004, 0.0003),
)  # rms over the cases kept out of the fit


@dataclass(frozen=True, kw_only=True)
class FittedMixing:
    """What a row does to a plate's layer, by the fit.

    Parameters
    ----------
    shape_factor_fall : FloatArray
        At `PLACES` behind the vanes [-], shape (3,).
    shear : FloatArray
        Largest -<u~ v~> over square of edge speed there [-], shape (3,).
    inside : bool
        Whether the row is inside what was fitted.
    """

    shape_factor_fall: FloatArray
    shear: FloatArray
    inside: bool


def saturating(constants: FloatArray, inputs: FloatArray) -> FloatArray:
    """Effect that grows with the square of a weak circulation and levels off.

    Parameters
    ----------
    constants : FloatArray
        Limit; circulation per pitch at half of it; its power; powers of height over layer (times 1 + its
        square), of pitch over height and of Reynolds number; sharpness of the best gap; factor of single
        vanes; shape (8,).
    inputs : FloatArray
        Circulation of the vanes of one pitch over pitch and edge speed, height over layer thickness, pitch
        over height, trailing gap over pitch, Reynolds number on momentum thickness, 1 for co-rotating rows
        else 0; shape (n, 6).

    Returns
    -------
    FloatArray
        Shape (n,).
    """
    most, half, power, height, pitch, reynolds, sharp, single = constants
    g, ratio, wide, gap, re_theta, alone = inputs.T
    x = (g / abs(half)) ** abs(power)
    x = x * (ratio / (1.0 + 0.5 * ratio**2)) ** height
    x = x * (wide / 6.0) ** pitch * (re_theta / 2500.0) ** reynolds
    x = x * np.where(alone > 0.5, abs(single), np.exp(-abs(sharp) * (gap - 0.4) ** 2))
    return np.asarray(most * x / (1.0 + x), dtype=np.float64)


def fitted_mixing(*, row: VaneSizes, thickness: float, re_theta: float) -> FittedMixing:
    """Evaluate the fit.

    Parameters
    ----------
    row : VaneSizes
        The vanes.
    thickness : float
        Of the layer at the row, in the same unit of length.
    re_theta : float
        Reynolds number on its momentum thickness.

    Returns
    -------
    FittedMixing

    Notes
    -----
    Fitted on heights of 0.2 to 2.5 layer thicknesses, incidence 8 to 24 deg, lengths of 1.5 to 3.5 heights,
    pitches of 4.5 to 12 heights (3 to 8 co-rotating), trailing gaps of 1.2 to 3.5 heights, Reynolds numbers
    of 800 to 6000, pairs that open downstream, even edge speed. Not measured: a fit of computed rows.
    """
    if row.height <= 0.0:
        return FittedMixing(shape_factor_fall=np.zeros(3), shear=np.zeros(3), inside=True)
    strength = vane_circulation(sizes=row, thickness=thickness) * row.per_pitch / row.pitch
    single = row.arrangement == "co-rotating"
    ratio, wide = row.height / thickness, row.pitch / row.height
    gap, long = row.trailing_gap / row.height, row.length / row.height
    degrees = np.degrees(row.incidence)
    pitches = 3.0 <= wide <= 8.0 if single else 4.5 <= wide <= 12.0
    gaps = single or (1.2 <= gap <= 3.5 and row.opening == "downstream")
    inside = bool(
        0.2 <= ratio <= 2.5 and 8.0 <= degrees <= 24.0 and 1.5 <= long <= 3.5 and pitches and gaps
        and 800.0 <= re_theta <= 6000.0
    )  # fmt: skip
    share = 0.0 if single else row.trailing_gap / row.pitch
    inputs = np.array([[strength, ratio, wide, share, re_theta, 1.0 if single else 0.0]])
    return FittedMixing(
        shape_factor_fall=np.array([saturating(c, inputs)[0] for c in FALLS]),
        shear=np.array([saturating(c, inputs)[0] for c in SHEARS]),
        inside=inside,
    )
