"""Prisms in the three directions that parts are built from."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from manifold3d import CrossSection

# From a profile (u, v) drawn out along w to x aft, y across, z up.
ALONG = [[0.0, 0.0, 1.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 1.0, 0.0, 0.0]]
ACROSS = [[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, -1.0, 0.0], [0.0, 1.0, 0.0, 0.0]]


def profile(points: Sequence[tuple[float, float]]) -> Any:
    """A filled polygon, whichever way round its corners run [mm]."""
    area = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(points, [*points[1:], points[0]], strict=True))
    # A polygon that runs clockwise would be taken for a hole, and vanish.
    return CrossSection([list(points) if area > 0.0 else list(points)[::-1]])


def along(section: Any, length: float) -> Any:
    """Draw a profile of (across, up) out from x = 0 to `length` [mm]."""
    return section.extrude(length).transform(ALONG)


def across(section: Any, width: float) -> Any:
    """Draw a profile of (aft, up) out over `width` across, centered on y = 0 [mm]."""
    return section.extrude(width).transform(ACROSS).translate([0.0, 0.5 * width, 0.0])
