"""The edge of a dark shape on a white ground, to a fraction of a pixel, in uneven light."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy import ndimage

from slowflight.errors import InputError
from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.targets import white_level

# Own choices, tried out on drawn pictures: what counts as dark against the white nearby; how far inside and
# outside of the edge its two sides are read; what contrast and sharpness are asked for.
DARK = 0.45
REACH, NEAR = 9.0, 4.5
LEAST_CONTRAST, BLURRED_PX = 0.3, 7.0
LOST_SHARE = 0.03


@dataclass(frozen=True, eq=False, kw_only=True)
class Silhouette:
    """A closed edge.

    Parameters
    ----------
    edge : FloatArray
        Points along it in order [pixels], shape (n, 2).
    contrast : float
        Median of what the inside is darker than the outside, as a share of the outside.
    blur_px : float
        Median width of the edge from a fifth to four fifths of its step [pixels].
    """

    edge: FloatArray
    contrast: float
    blur_px: float


def find_silhouette(gray: FloatArray, *, where: str) -> Silhouette:
    """Follow the edge of the largest dark shape.

    Parameters
    ----------
    gray : FloatArray
        Picture, 0 to 1, shape (rows, columns).
    where : str
        The file, for messages.

    Returns
    -------
    Silhouette

    Raises
    ------
    InputError
        Where there is no such shape, it runs out of the picture, or its edge is faint or blurred.
    """
    white = white_level(gray, reach=max(gray.shape) // 4)
    soft = ndimage.gaussian_filter(gray, 1.0)
    labels, count = ndimage.label(soft < DARK * white)
    if count == 0:
        raise _refused(where, "no dark shape", "a dark rib or tracing on a plain white ground")
    areas = np.bincount(labels.ravel())[1:]
    shape = ndimage.binary_fill_holes(labels == 1 + int(np.argmax(areas)))
    rows, columns = np.flatnonzero(shape.any(axis=1)), np.flatnonzero(shape.any(axis=0))
    if rows[0] == 0 or columns[0] == 0 or rows[-1] == gray.shape[0] - 1 or columns[-1] == gray.shape[1] - 1:
        raise _refused(
            where, "a dark shape that runs out of the picture", "the whole rib on a plain white ground",
            fix="step back; cover or brighten what else is dark at the border",
        )  # fmt: skip
    rough = _border(shape)
    return _sharpened(soft, rough, where=where)


def _refused(where: str, found: str, needed: str, *, fix: str = "") -> InputError:
    return InputError(where=where, found=found, needed=needed, fix=fix or "take the picture again")


def _border(shape: np.ndarray) -> FloatArray:
    """Points in order round a filled shape, where its smoothed indicator is one half."""
    from contourpy import contour_generator

    lines = contour_generator(z=ndimage.gaussian_filter(shape.astype(np.float64), 1.0)).lines(0.5)
    every = [np.asarray(line, dtype=np.float64) for line in lines]
    return max(every, key=len)[:-1]


def _sharpened(soft: FloatArray, rough: FloatArray, *, where: str) -> Silhouette:
    """Move every point along its normal to halfway between what lies inside and outside just there."""
    ahead, behind = np.roll(rough, -6, axis=0), np.roll(rough, 6, axis=0)
    along = ahead - behind
    along /= np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    normal = np.column_stack((along[:, 1], -along[:, 0]))
    depth = np.linspace(-REACH, REACH, 73)
    spots = rough[:, None, :] + depth[None, :, None] * normal[:, None, :]
    values = ndimage.map_coordinates(soft, [spots[..., 1], spots[..., 0]], order=1, mode="nearest")
    if np.median(values[:, -1]) < np.median(values[:, 0]):
        values, normal = values[:, ::-1], -normal
    inside = np.median(values[:, depth < -NEAR], axis=1)
    outside = np.median(values[:, depth > NEAR], axis=1)
    step = outside - inside
    contrast = float(np.median(step / np.maximum(outside, 1e-6)))
    if contrast < LEAST_CONTRAST:
        raise _refused(
            where, f"an edge with {100 * contrast:.0f} % of contrast",
            f"{100 * LEAST_CONTRAST:.0f} % at least",
            fix="darken the rib or brighten the ground, and light both evenly",
        )  # fmt: skip
    share = (values - inside[:, None]) / np.where(np.abs(step) > 1e-6, step, 1e-6)[:, None]
    crossing, width = (
        _crossing(share, depth, 0.5),
        _crossing(share, depth, 0.8) - _crossing(share, depth, 0.2),
    )
    good = (step > 0.3 * np.median(step)) & np.isfinite(crossing) & (np.abs(crossing) < 0.7 * REACH)
    if np.mean(~good) > LOST_SHARE:
        raise _refused(
            where, f"{100 * float(np.mean(~good)):.0f} % of the edge hidden or doubtful",
            f"{100 * LOST_SHARE:.0f} % at most", fix="take away what touches or shades the rib's edge",
        )  # fmt: skip
    blur = float(np.nanmedian(np.abs(width)))
    if blur > BLURRED_PX:
        raise _refused(
            where, f"an edge blurred over {blur:.0f} pixels", f"{BLURRED_PX:.0f} at most",
            fix="focus on the rib, rest the camera, use more light",
        )  # fmt: skip
    moved = rough + np.where(good, crossing, 0.0)[:, None] * normal
    return Silhouette(edge=moved[good], contrast=contrast, blur_px=blur)


def _crossing(share: FloatArray, depth: FloatArray, level: float) -> FloatArray:
    """Where each profile last passes a level on its way out, by straight interpolation; NaN where never."""
    below = share[:, :-1] < level
    passes = below & (share[:, 1:] >= level)
    middle = np.abs(0.5 * (depth[:-1] + depth[1:]))
    # The passage nearest to the rough edge is meant.
    cost = np.where(passes, middle[None, :], np.inf)
    at = np.argmin(cost, axis=1)
    rows = np.arange(len(share))
    low, high = share[rows, at], share[rows, at + 1]
    place = depth[at] + (level - low) / np.where(high > low, high - low, 1.0) * (depth[at + 1] - depth[at])
    return np.where(np.isfinite(cost[rows, at]), place, np.nan)
