"""From pixels to millimeters on the plane in which rib and cards lie: perspective and lens taken out.

Sources: Hartley and Zisserman, Multiple View Geometry in Computer Vision, 2nd edition, 2004: a plane and its
picture are related by a homography (section 2.3), found by the direct linear transformation (4.1) and refined
by least squares; one radial term of the lens (7.4).
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares

from slowflight.errors import InputError
from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.cards import NOSE_CARD, TAIL_CARD, Card

SOURCES = ("HartleyZisserman2004",)
# A target this far from where its card's others put it is none [card millimeters].
MATCH_MM = 12.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Camera:
    """How a picture shows the plane.

    Parameters
    ----------
    homography : FloatArray
        From the plane [mm, x right and y down as on the nose card] to the picture without its lens error
        [pixels], shape (3, 3).
    lens : float
        Radial term over half the picture's diagonal squared [-].
    middle : FloatArray
        Of the picture [pixels], shape (2,).
    half : float
        Half its diagonal [pixels].
    residual_px, residual_mm : float
        Root mean square of what the targets are off by.
    pixel_mm : float
        Size of a pixel on the plane, at the cards.
    """

    homography: FloatArray
    lens: float
    middle: FloatArray
    half: float
    residual_px: float
    residual_mm: float
    pixel_mm: float

    def on_plane(self, pixels: FloatArray) -> FloatArray:
        """Bring picture points, shape (n, 2) [pixels], onto the plane [mm]."""
        return _mapped(_inverse(self.homography), _without_lens(self, pixels))


def solve_camera(targets: FloatArray, *, shape: tuple[int, int], where: str) -> Camera:
    """Find the camera from the targets of both cards.

    Parameters
    ----------
    targets : FloatArray
        Middles found in the picture [pixels], shape (n, 2).
    shape : tuple of (int, int)
        Rows and columns of the picture.
    where : str
        The file, for messages.

    Returns
    -------
    Camera

    Raises
    ------
    InputError
        Where the cards are not both there and whole.

    Notes
    -----
    Each card is known in itself; where the tail card lies on the plane is solved for with the camera.
    """
    nose_px, tail_px = _sorted_out(targets, where=where)
    nose, tail = np.array(NOSE_CARD.targets), np.array(TAIL_CARD.targets)
    middle = 0.5 * (np.array([shape[1], shape[0]], dtype=float) - 1.0)
    half = 0.5 * float(np.hypot(*shape))
    first = _homography(nose, nose_px)
    seen = _mapped(_inverse(first), tail_px)
    turn, shift = _rigid(tail, seen)
    start = np.concatenate(((first / first[2, 2]).ravel()[:8], shift, [turn, 0.0]))
    scale = np.array([1.0, 1.0, 500.0, 1.0, 1.0, 500.0, 1e-3, 1e-3, 500.0, 500.0, 1.0, 0.01])

    def misses(values: FloatArray) -> FloatArray:
        matrix = np.append(values[:8], 1.0).reshape(3, 3)
        points = np.vstack((nose, _turned(tail, values[10]) + values[8:10]))
        ideal = _mapped(matrix, points)
        off = (ideal - middle) / half
        shown = middle + half * off * (1.0 + values[11] * np.sum(off**2, axis=1, keepdims=True))
        return np.asarray((shown - np.vstack((nose_px, tail_px))).ravel())

    solved = least_squares(misses, start, x_scale=scale, method="trf", max_nfev=400)
    matrix = np.append(solved.x[:8], 1.0).reshape(3, 3)
    rms = float(np.sqrt(np.mean(np.sum(solved.fun.reshape(-1, 2) ** 2, axis=1))))
    pixel = float(np.mean([_pixel_mm(nose, nose_px), _pixel_mm(tail, tail_px)]))
    return Camera(
        homography=matrix, lens=float(solved.x[11]), middle=middle, half=half, residual_px=rms,
        residual_mm=rms * pixel, pixel_mm=pixel,
    )  # fmt: skip


def _sorted_out(targets: FloatArray, *, where: str) -> tuple[FloatArray, FloatArray]:
    """The targets of each card in the card's own order."""
    wanted = len(NOSE_CARD.targets) + len(TAIL_CARD.targets)
    if len(targets) != wanted:
        raise InputError(
            where=where,
            found=f"{len(targets)} round targets",
            needed=f"{wanted}: both cards whole, flat and in focus",
            fix="light evenly, keep fingers and shadows' edges off the cards, come nearer or use more pixels",
        )
    best: tuple[float, FloatArray, FloatArray] | None = None
    # Cards lie apart: the nearest neighbors of one target are its own card's.
    for seed in targets:
        order = np.argsort(np.hypot(*(targets - seed).T))
        count = len(NOSE_CARD.targets)
        one, other = targets[order[:count]], targets[order[count:]]
        nose, tail = _matched(NOSE_CARD, one), _matched(TAIL_CARD, other)
        if nose is not None and tail is not None and (best is None or nose[0] + tail[0] < best[0]):
            best = (nose[0] + tail[0], nose[1], tail[1])
    if best is None:
        raise InputError(
            where=where,
            found="targets that do not make one NOSE and one TAIL card",
            needed="one of each, flat, not mirrored, well apart",
            fix="print both cards at 100 % and lay them at the two ends of the rib, in its plane",
        )
    return best[1], best[2]


def _matched(card: Card, seen: FloatArray) -> tuple[float, FloatArray] | None:
    """Which seen point is which target; the mean miss [mm] and the points in the card's order."""
    model = np.array(card.targets)
    corners = _largest_four(seen)
    # Round the card: upper left, lower left, lower right, upper right of the model's corners.
    ring = model[[0, 1, 3, 2]]
    best: tuple[float, FloatArray] | None = None
    for turn in range(4):
        matrix = _homography(ring, np.roll(corners, turn, axis=0))
        back = _mapped(_inverse(matrix), seen)
        apart = np.hypot(*(model[:, None, :] - back[None, :, :]).transpose(2, 0, 1))
        nearest = np.argmin(apart, axis=1)
        worst = float(apart.min(axis=1).max())
        if (
            len(set(nearest.tolist())) == len(model)
            and worst < MATCH_MM
            and (best is None or worst < best[0])
        ):
            best = (worst, seen[nearest])
    return best


def _largest_four(points: FloatArray) -> FloatArray:
    """The four points that span the largest area, counterclockwise as seen in the picture."""
    middle = points.mean(axis=0)
    best, corners = -1.0, points[:4]
    for four in itertools.combinations(range(len(points)), 4):
        chosen = points[list(four)]
        order = np.argsort(-np.arctan2(chosen[:, 1] - middle[1], chosen[:, 0] - middle[0]))
        loop = chosen[order]
        x, y = loop.T
        area = 0.5 * abs(float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)))
        if area > best:
            best, corners = area, loop
    return corners


def _homography(plane: FloatArray, picture: FloatArray) -> FloatArray:
    """Direct linear transformation with both sides centered and scaled (Hartley and Zisserman 4.4.4)."""

    def normal(points: FloatArray) -> tuple[FloatArray, FloatArray]:
        middle = points.mean(axis=0)
        size = np.sqrt(2.0) / np.mean(np.hypot(*(points - middle).T))
        matrix = np.array([[size, 0.0, -size * middle[0]], [0.0, size, -size * middle[1]], [0.0, 0.0, 1.0]])
        return (points - middle) * size, matrix

    one, from_one = normal(plane)
    two, from_two = normal(picture)
    rows = []
    for (x, y), (u, v) in zip(one, two, strict=True):
        rows.append([x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y, -u])
        rows.append([0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y, -v])
    matrix = np.linalg.svd(np.array(rows))[2][-1].reshape(3, 3)
    return np.asarray(np.linalg.inv(from_two) @ matrix @ from_one)


def _inverse(matrix: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.inv(matrix), dtype=np.float64)


def _mapped(matrix: FloatArray, points: FloatArray) -> FloatArray:
    lifted = np.column_stack((points, np.ones(len(points)))) @ matrix.T
    return np.asarray(lifted[:, :2] / lifted[:, 2:])


def _without_lens(camera: Camera, pixels: FloatArray) -> FloatArray:
    """Undo the radial term, by repeated substitution."""
    shown = (np.asarray(pixels, dtype=float) - camera.middle) / camera.half
    off = shown
    for _ in range(20):
        off = shown / (1.0 + camera.lens * np.sum(off**2, axis=1, keepdims=True))
    return np.asarray(camera.middle + camera.half * off)


def _turned(points: FloatArray, angle: float) -> FloatArray:
    cosine, sine = np.cos(angle), np.sin(angle)
    return np.asarray(points @ np.array([[cosine, sine], [-sine, cosine]]))


def _rigid(points: FloatArray, seen: FloatArray) -> tuple[float, FloatArray]:
    """Turn and shift that bring points nearest to where they are seen."""
    a, b = points - points.mean(axis=0), seen - seen.mean(axis=0)
    angle = float(np.arctan2(np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]), np.sum(a * b)))
    return angle, seen.mean(axis=0) - _turned(points.mean(axis=0)[None, :], angle)[0]


def _pixel_mm(card: FloatArray, seen: FloatArray) -> float:
    return float(np.hypot(*np.ptp(card, axis=0)) / np.hypot(*(seen.max(axis=0) - seen.min(axis=0))))
