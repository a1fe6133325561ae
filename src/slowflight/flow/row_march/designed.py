"""Designed cases: rows and layers drawn at random from what owners build, for checks."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.flow.row_march.run import RowLayer
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.solution import FloatArray

HEIGHTS = 60.0  # how far a case is marched [vane heights]
PLACES = 61


@dataclass(frozen=True, kw_only=True)
class DesignedCase:
    """One row on one layer of thickness 1; lengths in layer thicknesses, speeds over that at the row.

    Parameters
    ----------
    row : VaneSizes
        The vanes.
    layer : RowLayer
        The layer.
    arc, edge_speed : FloatArray
        Places and speeds, shape (k,).
    reynolds : float
        On the layer's thickness.
    re_theta : float
        On its momentum thickness.
    slowing : float
        Fall of edge speed per layer thickness.
    """

    row: VaneSizes
    layer: RowLayer
    arc: FloatArray
    edge_speed: FloatArray
    reynolds: float
    re_theta: float
    slowing: float


def designed_case(number: int) -> DesignedCase:
    """Draw case ``number`` at random; the same number gives the same case.

    Parameters
    ----------
    number : int
        From 0.

    Returns
    -------
    DesignedCase
        Height 0.2 to 2.5 layer thicknesses, incidence 8 to 24 deg, length 1.5 to 3.5 heights, pairs at a
        pitch of 4.5 to 12 heights and a trailing gap of 1.2 to 3.5 (of at most 0.65 pitches), or one in
        four single vanes at 3 to 8; Reynolds number on momentum thickness 800 to 6000; shape factor 1.3 to
        1.6; edge speed rising by 0.4 % or falling by up to 1.2 % per layer thickness.
    """
    x = np.random.default_rng(number).random(9)
    ratio = 0.2 * (2.5 / 0.2) ** x[0]
    single = x[8] < 0.25
    pitch = (3.0 + 5.0 * x[3]) if single else (4.5 + 7.5 * x[3])
    gap = 0.0 if single else min(1.2 + 2.3 * x[4], 0.65 * pitch)
    re_theta = 800.0 * (6000.0 / 800.0) ** x[5]
    shape = 1.3 + 0.3 * x[6]
    slowing = -0.004 + 0.016 * x[7]
    theta = 1.0 / (3.15 + 1.72 / (shape - 1.0) + shape)
    arc = np.linspace(0.0, HEIGHTS * ratio, PLACES)
    return DesignedCase(
        row=VaneSizes(
            height=ratio,
            length=(1.5 + 2.0 * x[2]) * ratio,
            pitch=pitch * ratio,
            incidence=math.radians(8.0 + 16.0 * x[1]),
            trailing_gap=gap * ratio,
            arrangement="co-rotating" if single else "counter-rotating",
        ),
        layer=RowLayer(thickness=1.0, momentum_thickness=theta, shape_factor=shape),
        arc=arc,
        edge_speed=np.maximum(1.0 - slowing * arc, 0.2),
        reynolds=re_theta / theta,
        re_theta=re_theta,
        slowing=slowing,
    )
