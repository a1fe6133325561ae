"""Where the layers turn turbulent: production of turbulence is off ahead of a station on each side.

A free station is found by the seconds tier's own laminar layer and growth of disturbances, marched on this
solver's pressure along the skin. There is no laminar bubble: production begins where that layer turns
turbulent or lets go.
"""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PchipInterpolator

from slowflight.flow.integral.start import march_guess
from slowflight.flow.integral.thwaites import SEPARATION
from slowflight.flow.rans.skin_columns import SkinColumns
from slowflight.flow.rans.skin_layers import SkinLayers
from slowflight.flow.row_march.layer_profile import CLAUSER
from slowflight.flow.solution import FloatArray

RAMP = 4.0  # columns over which production comes on, from the station downstream (own choice)
# working variable of the free stream where a laminar run is kept: 3, as of fully turbulent air, would carry a
# fifth of the molecular viscosity into it
QUIET_STREAM = 0.1
# a laminar layer's thickness over its momentum thickness, and the shape factor of the turbulent one behind:
# of the plate, Schlichting, Boundary-Layer Theory
LAMINAR_THICKNESS, TURBULENT_SHAPE = 7.5, 1.4
FINELY = 400  # stations of the laminar layer on each side

Stations = tuple[float, float]
"""Upper and lower end of the laminar run [fraction of chord]; 0 where turbulent from the stagnation point."""

FULLY_TURBULENT: Stations = (0.0, 0.0)


def turbulent_from(
    columns: SkinColumns, layers: SkinLayers, stations: Stations, *, reynolds: float
) -> tuple[FloatArray, FloatArray]:
    """Share of turbulence production that is on in each cell, and turbulence made at both stations.

    Left to itself the model turns a layer turbulent over a tenth of chord or more, and a layer that lets go
    at its nose would do so for good. So in the column of a station as much is made as a turbulent layer of
    the same momentum thickness holds (outer eddy viscosity by Clauser, as where the row march starts).

    Parameters
    ----------
    columns : SkinColumns
    layers : SkinLayers
        Tell where the sides meet and how thick the layer is.
    stations : Stations
    reynolds : float
        On chord and flight speed.

    Returns
    -------
    share, made : FloatArray
        Shape (n,) each; the second per volume and time.
    """
    shares = np.ones(columns.around)
    sources = np.zeros(columns.cells.shape)
    index = np.arange(columns.around)
    for side, station in zip((1, 0), stations, strict=True):
        if station <= 0.0:
            continue
        order = index[layers.stagnation :] if side == 1 else index[layers.stagnation :: -1]
        x = layers.x[order]
        behind_nose = np.arange(x.size) >= int(np.argmin(x))
        reached = np.flatnonzero((x >= station) & behind_nose)
        if reached.size == 0 or reached[0] == 0:
            shares[order] = 0.0 if reached.size == 0 else shares[order]
            continue
        first = int(reached[0])
        # the station's place between two columns counts, so that all moves evenly with it
        part = float(np.clip((station - x[first - 1]) / (x[first] - x[first - 1]), 0.0, 1.0))
        along = np.clip((np.arange(x.size) - (first - 1 + part)) / RAMP, 0.0, 1.0)
        shares[order] = np.minimum(shares[order], along * along * (3.0 - 2.0 * along))
        for column, weight in ((order[first - 1], 1.0 - part), (order[first], part)):
            sources[column] += weight * _seed(columns, layers, int(column), reynolds)
    share = np.repeat(shares[:, None], columns.across, axis=1)
    return columns.spread(share, elsewhere=1.0), columns.spread(sources)


def _seed(columns: SkinColumns, layers: SkinLayers, column: int, reynolds: float) -> FloatArray:
    """Turbulence made per volume in the cells of one column."""
    length = float(np.hypot(*(columns.wall[column + 1] - columns.wall[column])))
    faces = columns.face_height[column]
    over = 0.5 * (faces[1:] + faces[:-1]) / (LAMINAR_THICKNESS * layers.momentum_thickness[column])
    speed = float(layers.edge_speed[column])
    wanted = CLAUSER * TURBULENT_SHAPE * reynolds * speed * float(layers.momentum_thickness[column])
    inside = np.clip(np.minimum(2.0 * over, 2.0 - 2.0 * over), 0.0, 1.0)
    return np.asarray(wanted * inside * np.minimum(over, 1.0) * speed / length)


def free_stations(layers: SkinLayers, *, reynolds: float, critical: float) -> Stations:
    """Where the layers of both sides turn turbulent by growth of disturbances.

    Parameters
    ----------
    layers : SkinLayers
        Give the speed along the skin.
    reynolds, critical : float
        On chord and flight speed; critical amplification factor [-].

    Returns
    -------
    Stations
        Where a laminar layer lets go first (Thwaites), that place: bubbles are not computed. The trailing
        edge where a side stays laminar.
    """
    k = int(np.clip(layers.stagnation, 1, layers.arc.size - 2))
    below, above = layers.edge_speed[k - 1], layers.edge_speed[k + 1]
    gradient = float((below + above) / (layers.arc[k + 1] - layers.arc[k - 1]))
    divide = float(layers.arc[k - 1] + below / gradient)
    return _side(layers, 1, k, divide, gradient, reynolds, critical), _side(
        layers, 0, k, divide, gradient, reynolds, critical
    )


def _side(
    layers: SkinLayers, side: int, k: int, divide: float, gradient: float, reynolds: float, critical: float
) -> float:
    columns = np.arange(k + 1, layers.arc.size) if side == 1 else np.arange(k - 1, -1, -1)
    away = np.abs(layers.arc[columns] - divide)
    speed_at = PchipInterpolator(np.append(0.0, away), np.append(0.0, layers.edge_speed[columns]))
    distance = away[-1] * np.linspace(0.0, 1.0, FINELY + 1)[1:] ** 2
    x = np.interp(distance, away, layers.x[columns])
    state = np.zeros((FINELY, 5))
    march_guess(
        state, np.arange(FINELY, dtype=np.int64), distance, np.asarray(speed_at(distance)), reynolds,
        critical, np.zeros((0, 3)), side, divide, gradient,
    )  # fmt: skip
    speed = np.asarray(speed_at(distance))
    pressed = np.exp(2.0 * state[:, 0]) * reynolds * np.gradient(speed, distance)
    turned = np.flatnonzero((state[:, 3] >= critical) | (pressed < SEPARATION))
    return float(x[turned[0]]) if turned.size else float(x[-1])
