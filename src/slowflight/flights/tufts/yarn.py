"""Which way each tuft points in one picture, by what is thin and darker (or lighter) than the skin."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from slowflight.errors import InputError
from slowflight.flights.tufts.in_picture import TuftInPicture

SOURCES = ("Serra1983",)

FloatArray = npt.NDArray[np.float64]
DARK, LIGHT = "dark", "light"
THICKEST = 0.22  # yarn is thinner than this share of its length; shadows and ribs are not
INNER, OUTER = 0.25, 0.95  # of the length: along which the yarn is followed
STEP = math.radians(3.0)
LEAST_CONTRAST = 4.0  # of the yarn over what else there is, in its robust deviations
COVERED = 0.6  # share of the length along which yarn has to be seen
# A fan: so many pixels of it for each pixel of length, and all on one side of the base (resultant).
FAN_PIXELS, FAN_TOGETHER = 1.0, 0.8


@dataclass(frozen=True, kw_only=True)
class YarnReading:
    """Tufts of one picture.

    Parameters
    ----------
    angles : FloatArray
        From the attached direction [rad], shape (tufts,); NaN where no direction is seen.
    ink : FloatArray
        How much yarn is about each base, in the picture's units of gray, shape (tufts,).
    """

    angles: FloatArray
    ink: FloatArray


def read_yarn(gray: FloatArray, tufts: Sequence[TuftInPicture], *, yarn: str = DARK) -> YarnReading:
    """Read the direction of each tuft.

    Parameters
    ----------
    gray : FloatArray
        The picture, 0 black to 1 white, shape (height, width).
    tufts : sequence of TuftInPicture
        Where their bases are.
    yarn : str, optional
        ``"dark"`` on a lighter skin, or ``"light"`` on a darker one.

    Returns
    -------
    YarnReading

    Raises
    ------
    InputError
        Where `yarn` is neither, or a base lies outside the picture.

    Notes
    -----
    What is thin stands out by a closing (an opening, for light yarn) with a square wider than the yarn, the
    skin taken off (Serra 1983, top-hat transform). The direction is that of the ray from the base along
    which most of it lies, where that ray stands out from the rest about the base and is covered over most
    of its length; else the mean bearing of a fan that moving yarn drew. Common practice, no source.
    """
    if yarn not in (DARK, LIGHT):
        raise InputError(where="tufts, yarn", found=repr(yarn), needed="dark or light")
    height, width = gray.shape
    angles, ink = np.full(len(tufts), np.nan), np.zeros(len(tufts))
    for place, tuft in enumerate(tufts):
        x, y = tuft.base
        if not (0.0 <= x < width and 0.0 <= y < height):
            raise InputError(
                where=f"tuft {tuft.name}",
                found=f"a base at {x:.0f}, {y:.0f}",
                needed=f"inside the picture of {width} by {height} pixels",
                fix="place the tufts on a frame of this size",
            )
        angles[place], ink[place] = _one(gray, tuft, yarn)
    return YarnReading(angles=angles, ink=ink)


def _one(gray: FloatArray, tuft: TuftInPicture, yarn: str) -> tuple[float, float]:
    length = tuft.length
    reach = math.ceil(1.2 * length) + 2
    left, top = round(tuft.base[0]) - reach, round(tuft.base[1]) - reach
    patch = gray[max(top, 0) : top + 2 * reach + 1, max(left, 0) : left + 2 * reach + 1]
    x0, y0 = tuft.base[0] - max(left, 0), tuft.base[1] - max(top, 0)
    size = max(2 * round(0.5 * THICKEST * length) + 1, 5)
    thin = (
        ndimage.grey_closing(patch, size=size) - patch
        if yarn == DARK
        else patch - ndimage.grey_opening(patch, size=size)
    )
    thin = ndimage.gaussian_filter(thin, 0.7)
    grid = np.indices(patch.shape)
    rows, columns = grid[0], grid[1]
    away = np.hypot(columns - x0, rows - y0)
    ring = (away <= length) & (away >= INNER * length)
    about = thin[ring]
    usual = float(np.median(about))
    deviation = 1.4826 * float(np.median(np.abs(about - usual))) + 1e-4
    inked = np.maximum(about - usual - 3.0 * deviation, 0.0)
    ink = float(np.sum(inked))
    directions = np.arange(0.0, 2.0 * math.pi, STEP)
    along = np.linspace(INNER, OUTER, max(round((OUTER - INNER) * length), 8)) * length
    across = np.array([-1.0, 0.0, 1.0])
    # Points of each ray and of its two neighbors a pixel beside: yarn has some width.
    xs = x0 + np.cos(directions)[:, None, None] * along[None, :, None]
    xs = xs - np.sin(directions)[:, None, None] * across[None, None, :]
    ys = y0 + np.sin(directions)[:, None, None] * along[None, :, None]
    ys = ys + np.cos(directions)[:, None, None] * across[None, None, :]
    sampled = ndimage.map_coordinates(thin, [ys, xs], order=1, mode="constant", cval=usual).max(axis=2)
    score = sampled.mean(axis=1)
    best = int(np.argmax(score))
    contrast = (float(score[best]) - usual) / deviation
    covered = float(np.mean(sampled[best] > usual + 0.5 * (float(np.max(sampled[best])) - usual)))
    if contrast < LEAST_CONTRAST or covered < COVERED:
        bearings = np.arctan2(rows[ring] - y0, columns[ring] - x0)
        return _of_a_fan(inked, bearings, length=length, attached=tuft.direction), ink
    before, at, after = (float(score[(best + shift) % score.size]) for shift in (-1, 0, 1))
    bend = before - 2.0 * at + after
    fine = 0.5 * (before - after) / bend if bend < 0.0 else 0.0
    angle = float(directions[best]) + fine * STEP - tuft.direction
    return math.remainder(angle, 2.0 * math.pi), ink


def _of_a_fan(inked: FloatArray, bearings: FloatArray, *, length: float, attached: float) -> float:
    """Middle of a fan that moving yarn drew while the shutter was open [rad]; NaN where there is none."""
    if np.count_nonzero(inked) < FAN_PIXELS * length:
        return math.nan
    middle = complex(np.sum(inked * np.exp(1j * bearings)) / np.sum(inked))
    if abs(middle) < FAN_TOGETHER:
        return math.nan
    return math.remainder(float(np.angle(middle)) - attached, 2.0 * math.pi)
