"""Round targets in a gray picture, to a fraction of a pixel, whatever the light."""

from __future__ import annotations

import numpy as np
from scipy import ndimage

from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.cards import RING

# Sizes of ring and dot as shares of each other, and how near their middles are; own choice, tried out.
RATIO_LOW, RATIO_HIGH, OFF_CENTER = 1.9, 3.0, 0.16
SMALLEST_DOT = 5  # pixels across
DARK_SHARE = 0.6


def white_level(gray: FloatArray, *, reach: int, coarse: int = 8) -> FloatArray:
    """How bright white paper would be at every pixel: the brightest nearby, smoothed.

    Parameters
    ----------
    gray : FloatArray
        Picture, 0 to 1, shape (rows, columns).
    reach : int
        Farther than any dark thing is wide [pixels].
    coarse : int, optional
        Pixels lumped together on the way.

    Returns
    -------
    FloatArray
        Shape of the picture, above zero.
    """
    rows, columns = (max(1, size // coarse) for size in gray.shape)
    small = gray[: rows * coarse, : columns * coarse].reshape(rows, coarse, columns, coarse).mean(axis=(1, 3))
    width = max(3, 2 * (reach // (2 * coarse)) + 1)
    bright = ndimage.maximum_filter(small, size=width, mode="nearest")
    smooth = ndimage.gaussian_filter(bright, 0.35 * width, mode="nearest")
    zoomed = ndimage.zoom(smooth, coarse, order=1, mode="nearest", grid_mode=True)
    pad = [(0, whole - part) for whole, part in zip(gray.shape, zoomed.shape, strict=True)]
    return np.asarray(np.maximum(np.pad(zoomed, pad, mode="edge"), 1e-3))


def find_targets(gray: FloatArray) -> FloatArray:
    """Find the middles of all round targets.

    Parameters
    ----------
    gray : FloatArray
        Picture, 0 to 1, shape (rows, columns).

    Returns
    -------
    FloatArray
        Across and down from the middle of the first pixel, shape (n, 2) [pixels].

    Notes
    -----
    A target is a dark round patch with a dark ring of the right size about the same middle, both darker than
    three fifths of the white nearby. Its middle is that of all its darkness, so that it hangs on hundreds of
    pixels.
    """
    white = white_level(gray, reach=max(gray.shape) // 24)
    labels, count = ndimage.label(gray < DARK_SHARE * white)
    if count == 0:
        return np.empty((0, 2))
    boxes = ndimage.find_objects(labels)
    areas = np.bincount(labels.ravel(), minlength=count + 1)[1:]
    size = np.array([[b[1].stop - b[1].start, b[0].stop - b[0].start] for b in boxes], dtype=float)
    middle = np.array([[b[1].stop + b[1].start - 1, b[0].stop + b[0].start - 1] for b in boxes]) / 2.0
    filled = areas / (0.25 * np.pi * size[:, 0] * size[:, 1])
    round_ones = (size.min(axis=1) >= SMALLEST_DOT) & (size.max(axis=1) < 2.5 * size.min(axis=1))
    dots = np.flatnonzero(round_ones & (filled > 0.8) & (filled < 1.25))
    rings = np.flatnonzero(round_ones & (filled > 0.25) & (filled < 0.75))
    found = []
    for dot in dots:
        ratio = size[rings] / size[dot]
        near = np.hypot(*(middle[rings] - middle[dot]).T) < OFF_CENTER * size[rings].mean(axis=1)
        fits = near & np.all((ratio > RATIO_LOW) & (ratio < RATIO_HIGH), axis=1)
        if np.any(fits):
            found.append(_middle_of_darkness(gray, white, middle[dot], size[rings[fits][0]]))
    return np.array(found).reshape(-1, 2)


def _middle_of_darkness(gray: FloatArray, white: FloatArray, at: FloatArray, size: FloatArray) -> FloatArray:
    """Weighted middle of a target, over an ellipse a little larger than its ring."""
    reach = 0.5 * size * (RING + 1.5) / RING
    best = at
    for _ in range(3):
        left, top = (np.floor(best - reach) - 1).astype(int)
        right, low = (np.ceil(best + reach) + 2).astype(int)
        left, top = max(left, 0), max(top, 0)
        patch = gray[top:low, left:right]
        down, across = np.mgrid[top : top + patch.shape[0], left : left + patch.shape[1]]
        inside = ((across - best[0]) / reach[0]) ** 2 + ((down - best[1]) / reach[1]) ** 2 <= 1.0
        level = np.quantile(patch[inside], 0.9) if np.any(inside) else 1.0
        weight = np.where(inside, np.clip(1.0 - patch / max(level, 1e-6) - 0.15, 0.0, None), 0.0)
        total = float(weight.sum())
        if total <= 0.0:
            return at
        best = np.array([float((across * weight).sum()), float((down * weight).sum())]) / total
    return best
