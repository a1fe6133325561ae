"""A saved flow field, read and turned so that the far flow is level."""

from __future__ import annotations

import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from slowflight.errors import InputError

_NAMES = ("x", "y", "u", "v", "slow", "outline_x", "outline_y")
_FLAP = ("flap_outline_x", "flap_outline_y")
_FILLING_PASSES = 4
_SMOOTHING_PASSES = 2


@dataclass(frozen=True, kw_only=True)
class FlowField:
    """Velocity around a section in the section's own axes.

    Parameters
    ----------
    x : ndarray, shape (nx,)
        Along the chord line [chords].
    y : ndarray, shape (ny,)
        Above it [chords].
    u, v : ndarray, shape (ny, nx)
        Velocity over flight speed [-]; NaN inside the section.
    slow : ndarray of bool, shape (ny, nx)
        True in the separated layer and the wake behind it.
    outline_x, outline_y : ndarray, shape (n,)
        The section [chords].
    flap_outline_x, flap_outline_y : ndarray, shape (m,)
        A flap that is an airfoil of its own [chords]; empty without one.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    u: NDArray[np.float64]
    v: NDArray[np.float64]
    slow: NDArray[np.bool_]
    outline_x: NDArray[np.float64]
    outline_y: NDArray[np.float64]
    flap_outline_x: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))
    flap_outline_y: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))


@dataclass(frozen=True, kw_only=True)
class LevelField:
    """The same on an even grid whose horizontal is the far flow; NaN outside the saved field.

    Parameters
    ----------
    x, y : ndarray, shape (mx,) and (my,)
        Along and across the far flow, from the section's nose [chords].
    u, v : ndarray, shape (my, mx)
        Velocity along x and y over flight speed [-].
    solid : ndarray of bool, shape (my, mx)
        True inside the section.
    slow : ndarray, shape (my, mx)
        Share of separated air, 0 to 1.
    outline_x, outline_y : ndarray, shape (n,)
        The section, turned [chords].
    flap_outline_x, flap_outline_y : ndarray, shape (m,)
        The flap, turned [chords]; empty without one.
    """

    x: NDArray[np.float64]
    y: NDArray[np.float64]
    u: NDArray[np.float64]
    v: NDArray[np.float64]
    solid: NDArray[np.bool_]
    slow: NDArray[np.float64]
    outline_x: NDArray[np.float64]
    outline_y: NDArray[np.float64]
    flap_outline_x: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))
    flap_outline_y: NDArray[np.float64] = field(default_factory=lambda: np.empty(0))


def read_field(path: Path) -> FlowField:
    """Read one saved field.

    Parameters
    ----------
    path : Path
        The netCDF file; an .npz one in a project that was predicted by an earlier version.

    Returns
    -------
    FlowField

    Raises
    ------
    InputError
        Where the file is missing, is no such file, or its arrays do not belong together.
    """
    needed = f"the arrays {', '.join(_NAMES)} of one flow field"
    try:
        arrays = _arrays_of(path)
    except FileNotFoundError:
        raise InputError(where=path.name, found="no such file", needed=needed, fix="predict again") from None
    except (KeyError, ValueError, TypeError, OSError, EOFError, zipfile.BadZipFile) as trouble:
        raise InputError(where=path.name, found=str(trouble), needed=needed, fix="predict again") from None
    shape = (arrays["y"].size, arrays["x"].size)
    if min(shape) < 2 or any(arrays[name].shape != shape for name in ("u", "v", "slow")):
        raise InputError(
            where=path.name, found="arrays of different sizes", needed=needed, fix="predict again"
        )
    return FlowField(**arrays)


def _arrays_of(path: Path) -> dict[str, NDArray[Any]]:
    if path.suffix == ".npz":
        # Opened here, because a broken archive would otherwise be left open.
        with path.open("rb") as file, np.load(file, allow_pickle=False) as saved:
            return {name: saved[name] for name in _NAMES}
    import h5py

    with h5py.File(path, "r") as saved:
        names = (*_NAMES, *(name for name in _FLAP if name in saved))
        arrays = {name: np.asarray(saved[name][...]) for name in names}
    return {**arrays, "slow": arrays["slow"].astype(bool)}


def turned(
    x: NDArray[np.float64], y: NDArray[np.float64], *, angle_deg: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Turn points or vectors nose up by an angle [deg]: a flow at that angle to the chord becomes level."""
    cosine, sine = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    return x * cosine + y * sine, y * cosine - x * sine


def level(
    field: FlowField, *, angle_deg: float, window: tuple[float, float, float, float], columns: int = 360
) -> LevelField:
    """Turn a field by its section angle and lay it on an even grid.

    Parameters
    ----------
    field : FlowField
        As saved.
    angle_deg : float
        Section angle [deg].
    window : tuple of float
        Left, right, bottom and top of the picture [chords], from the section's nose.
    columns : int, optional
        Grid points along the flow.

    Returns
    -------
    LevelField
    """
    left, right, bottom, top = window
    x = np.linspace(left, right, columns)
    y = np.linspace(bottom, top, max(2, round(columns * (top - bottom) / (right - left))))
    across, up = np.meshgrid(x, y)
    at_x, at_y = turned(across, up, angle_deg=-angle_deg)
    solid = _between(field, np.isnan(field.u).astype(float), at_x, at_y) > 0.5
    u = _between(field, _filled(field.u), at_x, at_y)
    v = _between(field, _filled(field.v), at_x, at_y)
    slow = _between(field, _smoothed(field), at_x, at_y)
    along, upward = turned(u, v, angle_deg=angle_deg)
    outline_x, outline_y = turned(field.outline_x, field.outline_y, angle_deg=angle_deg)
    flap_x, flap_y = turned(field.flap_outline_x, field.flap_outline_y, angle_deg=angle_deg)
    return LevelField(
        x=x, y=y, u=along, v=upward, solid=solid, slow=slow, outline_x=outline_x, outline_y=outline_y,
        flap_outline_x=flap_x, flap_outline_y=flap_y,
    )  # fmt: skip


def _filled(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Carry values a few cells into the section, so that interpolation beside its skin meets no NaN."""
    filled = values.copy()
    for _ in range(_FILLING_PASSES):
        padded = np.pad(filled, 1, constant_values=np.nan)
        beside = np.stack([padded[:-2, 1:-1], padded[2:, 1:-1], padded[1:-1, :-2], padded[1:-1, 2:]])
        known = ~np.isnan(beside)
        count = known.sum(axis=0)
        mean = np.where(known, beside, 0.0).sum(axis=0) / np.maximum(count, 1)
        filled = np.where(np.isnan(filled) & (count > 0), mean, filled)
    return filled


def _smoothed(field: FlowField) -> NDArray[np.float64]:
    """Return the separated air as shares whose half-way line is smooth, and which runs up to the skin."""
    shares = np.where(np.isnan(field.u), np.nan, field.slow.astype(float))
    shares = np.nan_to_num(_filled(shares))
    for _ in range(_SMOOTHING_PASSES):
        padded = np.pad(shares, 1, mode="edge")
        shares = (padded[:-2] + padded[1:-1] + padded[2:])[:, 1:-1] / 3.0
        padded = np.pad(shares, 1, mode="edge")
        shares = (padded[:, :-2] + padded[:, 1:-1] + padded[:, 2:])[1:-1] / 3.0
    return shares


def _between(
    field: FlowField, values: NDArray[np.float64], x: NDArray[np.float64], y: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Interpolate linearly in both directions; NaN outside."""
    column = np.interp(x, field.x, np.arange(field.x.size), left=np.nan, right=np.nan)
    row = np.interp(y, field.y, np.arange(field.y.size), left=np.nan, right=np.nan)
    outside = np.isnan(column) | np.isnan(row)
    column, row = np.where(outside, 0.0, column), np.where(outside, 0.0, row)
    left = np.minimum(column.astype(int), field.x.size - 2)
    below = np.minimum(row.astype(int), field.y.size - 2)
    right_share, upper_share = column - left, row - below
    lower = values[below, left] * (1 - right_share) + values[below, left + 1] * right_share
    upper = values[below + 1, left] * (1 - right_share) + values[below + 1, left + 1] * right_share
    return np.where(outside, np.nan, lower * (1 - upper_share) + upper * upper_share)
