"""The plane behind the vanes: their vortices and their wake laid over the clean layer."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from scipy.special import exp1

from slowflight.flow.row_march.plane import Plane
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.solution import FloatArray

# profile drag of a thin plate vane on its own area, with base and edges (common practice, no source)
PLATE_DRAG = 0.03
WAKE_HALF_WIDTH = 0.45  # of the sheet behind a vane [heights]
DEEPEST_WAKE = 0.4  # of the local speed, that the sheet may take away [-]
WIDEST_WAKE = 2.0  # half width up to which a sheet too shallow is widened [heights]
DAMPED_TO = 0.3  # height below which the vortices are slowed as the layer is [heights]
LARGEST_ARGUMENT = 30.0  # of sinh, beyond which its logarithm is a straight line


@dataclass(frozen=True, kw_only=True)
class Vortex:
    """One vortex of a period: place and circulation, positive where it goes up on its far side in z."""

    y: float
    z: float
    strength: float


def vortices(*, sizes: VaneSizes, strength: float, height: float, whole_period: bool) -> list[Vortex]:
    """Place the vortices of one period, the plane of symmetry of a pair at z = 0.

    Parameters
    ----------
    sizes : VaneSizes
        The vanes.
    strength : float
        Circulation of one.
    height : float
        Above the skin.
    whole_period : bool
        Co-rotating rows and pairs over a whole period are shifted to its middle.

    Returns
    -------
    list of Vortex
    """
    if sizes.arrangement == "co-rotating":
        return [Vortex(y=height, z=0.5 * sizes.pitch, strength=strength)]
    half = 0.5 * sizes.trailing_gap
    sense = 1.0 if sizes.opening == "downstream" else -1.0
    middle = 0.5 * sizes.pitch if whole_period else 0.0
    return [
        Vortex(y=height, z=middle + half, strength=sense * strength),
        Vortex(y=height, z=middle - half, strength=-sense * strength),
    ]


def _row_of_vortices(y: FloatArray, z: FloatArray, vortex: Vortex, pitch: float, core: float) -> FloatArray:
    """Stream function of an endless row of vortices with Gaussian cores, and of its image in the skin.

    Lamb, Hydrodynamics, art. 156, for the row of points; the core of the nearest three adds an exponential
    integral (Lamb-Oseen).
    """
    total = np.zeros_like(y)
    for sign in (1.0, -1.0):
        dy, dz = y - sign * vortex.y, z - vortex.z
        a = np.clip(math.pi * np.abs(dy) / pitch, 0.0, LARGEST_ARGUMENT)
        # log(sinh^2 + sin^2), with the growth in y taken out of the argument's limit
        point = np.log(np.sinh(a) ** 2 + np.sin(math.pi * dz / pitch) ** 2 + 1e-300)
        point += 2.0 * (math.pi * np.abs(dy) / pitch - a)
        for shift in (-1.0, 0.0, 1.0):
            r2 = dy**2 + (dz - shift * pitch) ** 2
            point += np.where(r2 > 1e-12 * core**2, exp1(np.maximum(r2, 1e-12 * core**2) / core**2), 0.0)
        at_center = (dy**2 + dz**2) <= 1e-12 * core**2
        point[at_center] = 2.0 * math.log(math.pi * core / pitch) - 0.5772156649015329
        total += -sign * vortex.strength / (4.0 * math.pi) * point
    return total


def crossflow(
    *, plane: Plane, found: list[Vortex], pitch: float, core: float, slowing: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Speeds up and across of the vortices, free of divergence on the cells.

    Parameters
    ----------
    plane : Plane
        The cells.
    found : list of Vortex
        All vortices of one period.
    pitch, core : float
        Width of the period, radius of the cores (Lamb-Oseen's r_c).
    slowing : FloatArray
        Share of the stream function left at each y face, shape (n+1,).

    Returns
    -------
    tuple of FloatArray
        V (n+1, m) and W (n, m+1).
    """
    z = plane.dz * np.arange(plane.growth.size + 1)
    yy, zz = np.meshgrid(plane.face, z, indexing="ij")
    stream = np.zeros_like(yy)
    for vortex in found:
        stream += _row_of_vortices(yy, zz, vortex, pitch, core)
    stream *= slowing[:, None]
    V = -(stream[:, 1:] - stream[:, :-1]) / plane.dz
    W = (stream[1:] - stream[:-1]) / plane.cell[:, None]
    V[0] = 0.0
    if not plane.cyclic:
        W[:, 0] = W[:, -1] = 0.0
    else:
        W[:, -1] = W[:, 0]
    return np.ascontiguousarray(V), np.ascontiguousarray(W)


@dataclass(frozen=True, kw_only=True)
class Wake:
    """What the vanes' drag takes from the layer at the start.

    Parameters
    ----------
    momentum_thickness : float
        Of all drag, in the plane's unit.
    in_swirl : float
        The part of it that the swirl holds and gives back later.
    placed : float
        Share of the rest that was put into the sheet behind the vanes (1 unless it got too deep).
    """

    momentum_thickness: float
    in_swirl: float
    placed: float


def drag_thickness(
    *, sizes: VaneSizes, strength: float, center: FloatArray, cell: FloatArray, speed: FloatArray
) -> float:
    """Momentum thickness of the vanes' drag: plate drag, and lift times the tangent of incidence.

    Lift is circulation times the mean speed over the vane (Kutta and Joukowski), plate drag goes with the
    mean square; speeds over edge speed.
    """
    inside = np.clip(sizes.height - (center - 0.5 * cell), 0.0, cell)
    mean = float((speed * inside).sum() / sizes.height)
    square = float((speed**2 * inside).sum() / sizes.height)
    lift = strength * mean * sizes.height
    drag = 0.5 * PLATE_DRAG * sizes.area * sizes.height * sizes.length * square
    return (drag + lift * math.tan(sizes.incidence)) * sizes.per_pitch / sizes.pitch


def lay_wake(
    *, plane: Plane, speed: FloatArray, found: list[Vortex], sizes: VaneSizes, wanted: float
) -> tuple[FloatArray, float]:
    """Take the wake out of the speed along the skin: a sheet behind each vane, from the skin to its tip.

    Parameters
    ----------
    plane : Plane
        The cells.
    speed : FloatArray
        Clean layer over edge speed, shape (n,).
    found : list of Vortex
        Where the vanes end.
    sizes : VaneSizes
        The vanes.
    wanted : float
        Momentum thickness to add.

    Returns
    -------
    tuple of (FloatArray, float)
        Speed (n, m) and the share of the wanted thickness that was placed.
    """
    m = plane.growth.size
    z = plane.dz * (np.arange(m) + 0.5)
    clean = np.repeat(speed[:, None], m, axis=1)
    tip = 0.5 * (1.0 - np.tanh((plane.center - sizes.height) / (0.15 * sizes.height)))

    def slowed(width: float, depth: float) -> FloatArray:
        across = np.zeros(m)
        for vortex in found:
            for shift in (-1.0, 0.0, 1.0):
                away = (z - vortex.z - shift * sizes.pitch) / (width * sizes.height)
                across += np.exp(-math.log(2.0) * away**2)
        u = np.concatenate(
            (np.zeros((1, m)), clean * (1.0 - depth * tip[:, None] * np.minimum(across, 1.0)[None, :]))
        )
        # slower air takes more room: what lies above moves up, so that no mass is lost
        room = speed / u[1:].mean(axis=1) * plane.cell
        places = np.concatenate(([0.0], np.cumsum(room) - 0.5 * room))
        low = np.clip(np.searchsorted(places, plane.center) - 1, 0, speed.size - 1)
        share = np.minimum((plane.center - places[low]) / (places[low + 1] - places[low]), 1.0)[:, None]
        laid: FloatArray = (1.0 - share) * u[low] + share * u[low + 1]
        return laid

    def added(u: FloatArray) -> float:
        gain = u * (1.0 - u) - clean * (1.0 - clean)
        return float((gain.mean(axis=1) * plane.cell).sum())

    if wanted <= 0.0:
        return clean, 1.0
    width = WAKE_HALF_WIDTH
    while added(slowed(width, DEEPEST_WAKE)) < wanted and width < WIDEST_WAKE:
        width *= 1.25
    most = added(slowed(width, DEEPEST_WAKE))
    if most <= wanted:
        return slowed(width, DEEPEST_WAKE), max(most, 0.0) / wanted
    low, high = 0.0, DEEPEST_WAKE
    for _ in range(25):
        middle = 0.5 * (low + high)
        if added(slowed(width, middle)) < wanted:
            low = middle
        else:
            high = middle
    return slowed(width, high), 1.0


def vane_circulation(*, sizes: VaneSizes, thickness: float) -> float:
    """Circulation of one vane over edge speed, in the unit of length of the sizes.

    Wendt, NASA/CR-2001-211144 (constants known at second hand); fitted on heights of 0.12 to 2.6 thicknesses,
    incidences of 8 to 20 deg and aspect ratios of about 0.6 to 4.

    Parameters
    ----------
    sizes : VaneSizes
        The vanes.
    thickness : float
        Of the layer at the row, in the same unit.

    Returns
    -------
    float
    """
    if sizes.height <= 0.0:
        return 0.0
    aspect = 8.0 * sizes.height / (math.pi * sizes.length)
    loss = math.tanh(1.41 * sizes.height / thickness)
    return 1.61 * sizes.strength * sizes.incidence * sizes.length * loss / (1.0 + 0.48 / aspect)
