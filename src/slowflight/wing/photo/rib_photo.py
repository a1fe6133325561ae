"""One photograph of a rib with both cards, made into an airfoil's points at full size."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.interpolate import CubicSpline, make_smoothing_spline

from slowflight.errors import InputError, library_missing
from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.camera import Camera, solve_camera
from slowflight.wing.photo.silhouette import Silhouette, find_silhouette
from slowflight.wing.photo.targets import find_targets

# Own choices, no source: coarser than this the nose is a guess; targets off by more mean a bent card or lens;
# a chord off by more means a card printed to another scale.
COARSEST_MM, WORST_TARGETS_MM, SCALE_OFF = 1.0, 0.5, 0.01
# Edge points averaged into one [mm].
BIN_MM = 1.5
POINTS = 301
MOST_PIXELS = 60_000_000


@dataclass(frozen=True, eq=False, kw_only=True)
class RibOutline:
    """A rib's outline.

    Parameters
    ----------
    points : FloatArray
        From the lower trailing edge over the nose to the upper one, x from the nose aft and y up [mm], shape
        (n, 2).
    chord : float
        As the owner measured it [mm]; the picture's own scale was set to it.
    scale_off : float
        By how much the cards alone made the chord too long [share].
    fit_mm : float
        Root mean square of the edge's points about the smooth outline [mm].
    fit_most_mm : float
        The largest of them, averaged over 1.5 mm of edge [mm].
    camera : Camera
    silhouette : Silhouette
    """

    points: FloatArray
    chord: float
    scale_off: float
    fit_mm: float
    fit_most_mm: float
    camera: Camera
    silhouette: Silhouette


def load_gray(path: Path | str) -> FloatArray:
    """Read a picture as shades of gray, 0 to 1, turned as its camera says.

    Parameters
    ----------
    path : Path or str

    Returns
    -------
    FloatArray
        Shape (rows, columns).

    Raises
    ------
    InputError
        Where it is no picture, or too large.
    SlowflightError
        Where the library that reads pictures is not installed.
    """
    try:
        from PIL import Image, ImageOps, UnidentifiedImageError
    except ModuleNotFoundError:
        raise library_missing("measure", library="pillow", extra="layout") from None
    place = Path(path)
    if not place.is_file():
        raise InputError(where=str(place), found="no such file", needed="a photograph", fix="check the name")
    try:
        with Image.open(place) as picture:
            if picture.width * picture.height > MOST_PIXELS:
                raise InputError(
                    where=str(place), found=f"{picture.width} by {picture.height} pixels",
                    needed=f"at most {MOST_PIXELS // 1_000_000} million", fix="save it smaller",
                )  # fmt: skip
            upright = ImageOps.exif_transpose(picture)
            gray = np.asarray(upright.convert("L"), dtype=np.float64) / 255.0
    except (UnidentifiedImageError, OSError, ValueError) as problem:
        raise InputError(
            where=str(place), found=f"no picture that can be read ({type(problem).__name__})",
            needed="a JPEG, PNG or TIFF file",
        ) from None  # fmt: skip
    return gray


def outline_from_photo(gray: FloatArray, *, chord: float, where: str) -> RibOutline:
    """Take a rib's outline from a picture.

    Parameters
    ----------
    gray : FloatArray
        Picture, 0 to 1, the rib's upper side up, shape (rows, columns).
    chord : float
        By tape, nose to trailing edge [mm].
    where : str
        The file, for messages.

    Returns
    -------
    RibOutline

    Raises
    ------
    InputError
        With the reason, where cards, edge, sharpness, scale or resolution are not good enough.
    """
    camera = solve_camera(find_targets(gray), shape=(gray.shape[0], gray.shape[1]), where=where)
    if camera.pixel_mm > COARSEST_MM:
        raise InputError(
            where=where, found=f"pixels of {camera.pixel_mm:.2f} mm on the rib",
            needed=f"{COARSEST_MM:.0f} mm at most", fix="come nearer, or use more pixels",
        )  # fmt: skip
    if camera.residual_mm > WORST_TARGETS_MM:
        raise InputError(
            where=where,
            found=f"targets {camera.residual_mm:.2f} mm off a flat card seen by a plain lens",
            needed=f"{WORST_TARGETS_MM} mm at most",
            fix="lay cards and rib flat in one plane; step back and zoom in, wide-angle lenses bend lines",
        )
    shape = find_silhouette(gray, where=where)
    plane = camera.on_plane(shape.edge)
    turned, length = _laid(plane, where=where)
    off = length / chord - 1.0
    if abs(off) > SCALE_OFF:
        raise InputError(
            where=where,
            found=f"a chord of {length:.0f} mm by the cards, {100 * abs(off):.1f} % off the"
            f" {chord:.0f} mm typed",
            needed=f"{100 * SCALE_OFF:.0f} % at most",
            fix="measure the cards' check bars and the chord, and that rib and cards lie in one plane",
        )
    points, rms, most = _smoothed(turned * (chord / length))
    return RibOutline(
        points=points, chord=chord, scale_off=off, fit_mm=rms, fit_most_mm=most, camera=camera,
        silhouette=shape,
    )  # fmt: skip


def _laid(plane: FloatArray, *, where: str) -> tuple[FloatArray, float]:
    """Turn an outline so that its chord runs along x, nose at 0, upper side up; and its length [mm]."""
    points = plane * (1.0, -1.0)
    one, other = _farthest_pair(points)
    along = (points[other] - points[one]) / np.hypot(*(points[other] - points[one]))
    if abs(along[0]) < abs(along[1]):
        raise InputError(
            where=where, found="a rib that stands upright in the picture", needed="one that lies across",
            fix="turn the picture",
        )  # fmt: skip
    share = (points - points[one]) @ along / np.hypot(*(points[other] - points[one]))
    across = (points - points[one]) @ np.array([-along[1], along[0]])
    thick_one = np.ptp(across[share < 0.05])
    thick_other = np.ptp(across[share > 0.95])
    nose, tail = (one, other) if thick_one > thick_other else (other, one)
    flip = points[tail, 0] < points[nose, 0]
    if flip:
        points = points * (-1.0, 1.0)
    aft = points[tail] - points[nose]
    length = float(np.hypot(*aft))
    cosine, sine = aft / length
    moved = points - points[nose]
    laid = np.column_stack((moved @ (cosine, sine), moved @ (-sine, cosine)))
    rolled = np.roll(laid, -tail, axis=0)
    # Lower side first: the first quarter of the way has to lie below the last.
    quarter = len(rolled) // 4
    if np.mean(rolled[:quarter, 1]) > np.mean(rolled[-quarter:, 1]):
        rolled = np.roll(rolled[::-1], 1, axis=0)
    return rolled, length


def _farthest_pair(points: FloatArray) -> tuple[int, int]:
    from scipy.spatial import ConvexHull

    hull = ConvexHull(points).vertices
    apart = np.hypot(*(points[hull][:, None, :] - points[hull][None, :, :]).transpose(2, 0, 1))
    i, j = np.unravel_index(int(np.argmax(apart)), apart.shape)
    return int(hull[i]), int(hull[j])


def _smoothed(points: FloatArray) -> tuple[FloatArray, float, float]:
    """A smooth curve through averaged edge points, drawn at evenly turning places; what it is off by."""
    closed = np.vstack((points, points[:1]))
    steps = np.hypot(*np.diff(closed, axis=0).T)
    along = np.concatenate(([0.0], np.cumsum(steps)))
    count = max(60, round(along[-1] / BIN_MM))
    bins = np.minimum((along[:-1] / along[-1] * count).astype(int), count - 1)
    sizes = np.bincount(bins, minlength=count)
    kept = sizes > 0
    mean = np.column_stack(
        [np.bincount(bins, weights=column, minlength=count)[kept] / sizes[kept] for column in points.T]
    )
    at = np.bincount(bins, weights=along[:-1], minlength=count)[kept] / sizes[kept]
    # The trailing edge is a corner: the curve begins and ends there.
    at, mean = np.concatenate(([0.0], at, [along[-1]])), np.vstack((points[:1], mean, points[:1]))
    at, first = np.unique(at, return_index=True)
    mean = mean[first]
    curve = [make_smoothing_spline(at, column) for column in mean.T]
    fine = np.column_stack([spline(at) for spline in curve])
    off = np.hypot(*(fine - mean)[2:-2].T)
    raw = np.column_stack([spline(along[:-1]) for spline in curve])
    normal_off = np.hypot(*(raw - points)[5:-5].T)
    ends = np.column_stack([spline(np.linspace(0.0, along[-1], 4001)) for spline in curve])
    return _drawn(ends), float(np.sqrt(np.mean(normal_off**2))), float(np.max(off))


def _drawn(fine: FloatArray) -> FloatArray:
    """Fewer points, close together where x turns round: cosine steps along the chord on either side."""
    nose = int(np.argmax(np.hypot(*(fine - 0.5 * (fine[0] + fine[-1])).T)))
    fine = fine - fine[nose]
    knots = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(fine, axis=0).T))))
    spline = CubicSpline(knots, fine)
    half = POINTS // 2
    angle = np.linspace(0.0, 0.5 * np.pi, half + 1)
    lower = knots[nose] * np.sin(angle)
    upper = knots[-1] - (knots[-1] - knots[nose]) * np.sin(angle)[::-1]
    drawn = spline(np.concatenate((lower, upper[1:])))
    aft = 0.5 * (drawn[0] + drawn[-1])
    length = float(np.hypot(*aft))
    cosine, sine = aft / length
    return np.column_stack((drawn @ (cosine, sine), drawn @ (-sine, cosine)))
