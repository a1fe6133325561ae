"""What a row of vortex generators does to a layer: its wake, its vortices' mixing, and its trip.

Wake and mixing are those that the row march computes from the vanes' geometry, the layer they stand in and
the edge speed behind them (``flow.row_march.handed_over``); here they are laid on the layer's stations. There
is no constant for how strongly vanes mix. What is left of own choice: when vanes trip a laminar layer, and
how a row fades out as the layer at it lets go or the stagnation point comes close.

Sources: circulation of a vane, Wendt, NASA/CR-2001-211144 (constants known at second hand); roughness
Reynolds number, Braslow and Knox, NACA TN 4363.
"""

from __future__ import annotations

import math

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.integral.layer import MIXING, MOMENTUM, WAKE_MOMENTUM, WAKE_SHAPE, WORK
from slowflight.flow.solution import FloatArray

# columns of a row, lengths in chords; the last three are what the march found of the vanes' wake: the
# momentum thickness and ln H* that it adds at once, and the momentum thickness of all drag of the vanes
(
    SIDE, FRONT, REAR, HEIGHT, LENGTH, PITCH, PER_PITCH, INCIDENCE, STRENGTH, WAKE, WAKE_OF_SHAPE, DRAG,
) = range(12)  # fmt: skip
COLUMNS = 12
TOLD = 7  # numbers that `act` tells of each row
# columns of a row's table: distance behind the vanes, and the sums up to there of what is handed to the
# momentum and the energy of the layer, the latter as mixing and as work [chords]
DISTANCE, TAKEN, MIXED, WORKED = range(4)
TABLE = 4

TRIP_FROM, TRIP_FULL = 300.0, 900.0  # roughness Reynolds number at which vanes begin to trip and surely do
TRIP_DELAY = 0.1  # distance behind the vanes at which half a trip acts (own choice, no source) [chords]
GATE_WIDTH = 0.15  # width in shape factor over which a row fades as the layer at it separates
FADE_LENGTH = 0.015  # over which a row fades as the stagnation point comes close to it [chords]
LAMINAR_GATE, TURBULENT_GATE = 3.8, 2.8  # shape factor at which half of its help is left
# Height over thickness of a laminar layer from which on, and at which, vanes act whatever its shape: they
# shed their vortices outside of it, and trip it (own construction).
STANDS_OUT = (1.0, 2.0)


FITTED_RATIO = (0.12, 2.6)  # height over layer thickness that the circulation was fitted on [-]
FITTED_INCIDENCE = (8.0, 20.0)  # vane to local flow [deg]
FITTED_ASPECT = (0.6, 4.0)  # 8 height / (pi length): half-wing mirrored in the wall [-]


@kernel
def aspect_ratio(height: float, length: float) -> float:
    """Aspect ratio of a vane with its image in the wall."""
    return 8.0 * height / (np.pi * length)


@kernel
def circulation(
    incidence: float, speed: float, length: float, height: float, thickness: float, strength: float
) -> float:
    """Circulation one vane sheds.

    Parameters
    ----------
    incidence : float
        Vane to local flow [rad]; fitted on 8 to 20 deg.
    speed : float
        Edge speed at the vane.
    length, height, thickness : float
        Vane length and height and the layer's, in one unit; fitted on height/thickness 0.12 to 2.6.
    strength : float
        Factor of the vane's shape: 1 rectangular.

    Returns
    -------
    float
        In units of speed times length. Wendt, NASA/CR-2001-211144.
    """
    if height <= 0.0:
        return 0.0
    aspect = aspect_ratio(height, length)
    loss = math.tanh(1.41 * height / thickness)
    return 1.61 * strength * incidence * speed * length * loss / (1.0 + 0.48 / aspect)


@kernel
def so_far(table: FloatArray, distance: float, column: int) -> float:
    """Sum of a column of a row's table up to a distance behind the vanes; zero ahead of their ends."""
    last = table.shape[0] - 1
    if distance <= 0.0:
        return 0.0
    if distance >= table[last, DISTANCE]:
        return float(table[last, column])
    low, high = 0, last
    while high - low > 1:
        middle = (low + high) // 2
        if table[middle, DISTANCE] <= distance:
            low = middle
        else:
            high = middle
    part = (distance - table[low, DISTANCE]) / (table[high, DISTANCE] - table[low, DISTANCE])
    return float((1.0 - part) * table[low, column] + part * table[high, column])


@kernel
def at_row(
    place: float, step: int, state: FloatArray, arc: FloatArray, n_body: int, divide: float,
    share_of: FloatArray,
) -> tuple[float, float, float, float]:  # fmt: skip
    """Momentum thickness, shape factor, edge speed and turbulent share that a row meets.

    The layer is that one panel ahead of the row, between two stations neither of which feels the row's own
    trip and wake; the speed is that at the row. Both change evenly as a row moves through panels.
    """
    # the last station ahead of the row, and the one ahead of that
    i = 0 if step < 0 else n_body - 1
    while (arc[i] - place) * step > 0.0:
        i -= step
    j = i - step
    far = (arc[i] - divide) * step
    if far <= 0.0:
        # between stagnation and the first station, where speed grows with the distance
        i += step
        speed = np.exp(state[i, 4]) * (place - divide) / (arc[i] - divide)
        return np.exp(state[i, 0]), 1.0 + np.exp(state[i, 1]), speed, share_of[i]
    part = (place - arc[i]) / (arc[i + step] - arc[i])
    speed = np.exp((1.0 - part) * state[i, 4] + part * state[i + step, 4])
    if (arc[j] - divide) * step <= 0.0:
        j = i
    theta = np.exp((1.0 - part) * state[j, 0] + part * state[i, 0])
    H = 1.0 + np.exp((1.0 - part) * state[j, 1] + part * state[i, 1])
    return theta, H, speed, (1.0 - part) * share_of[j] + part * share_of[i]


@kernel
def act(
    rows: FloatArray, tables: FloatArray, state: FloatArray, arc: FloatArray, n_body: int, divide: float,
    reynolds: float, critical: float, share_of: FloatArray, first_trip: int, trips: FloatArray,
    gates: FloatArray, handed: FloatArray, told: FloatArray,
) -> None:  # fmt: skip
    """Lay all rows on the present layer.

    What several rows hand over is added: each row's vortices mix as they would alone in the layer that the
    rows ahead have left, and how the rows stand to each other across the span is not seen.

    Parameters
    ----------
    rows : FloatArray
        One line per row, shape (k, COLUMNS).
    tables : FloatArray
        What the march found behind each row, shape (k, p, TABLE).
    state, arc : FloatArray
        Unknowns and places of the stations, shapes (n, 5) and (n,).
    divide : float
        Arc of the stagnation point [chords].
    share_of : FloatArray
        Turbulent share at each station, shape (n,).
    first_trip : int
        Line of ``trips`` where the rows' own begin.
    gates : FloatArray
        Share of each row's help that is in force; nan where it is the one that its layer leaves, shape (k,).
    trips, handed : FloatArray
        Filled: N added at a place, and what is handed to the interval that ends at a station (see
        ``layer.vane_terms``), shape (n, layer.HANDED).
    told : FloatArray
        Filled for the report: circulation per edge speed and chord, layer thickness, edge speed, gate in
        force, momentum thickness of the vanes' drag, trip share, gate by the present layer; shape (k, TOLD).
    """
    handed[:] = 0.0
    for r in range(rows.shape[0]):
        row, table = rows[r], tables[r]
        side = int(row[SIDE])
        step = 1 if side == 1 else -1
        ahead = (row[FRONT] - divide) * step
        told[r] = 0.0
        trips[first_trip + r, 0] = row[SIDE]
        trips[first_trip + r, 1] = row[FRONT]
        trips[first_trip + r, 2] = 0.0
        if row[HEIGHT] <= 0.0 or ahead <= 0.0:
            continue  # no vanes, or the stagnation point lies behind them
        fade = min(ahead / FADE_LENGTH, 1.0)
        fade = fade * fade * (3.0 - 2.0 * fade)
        theta, H, u, share = at_row(row[FRONT], step, state, arc, n_body, divide, share_of)
        thickness = theta * (3.15 + 1.72 / (H - 1.0) + H)
        # speed at the vane's tip, by a profile that is laminar, a power law or between
        y = min(row[HEIGHT] / thickness, 1.0)
        inner = (1.0 - share) * (2.0 * y - 2.0 * y**3 + y**4) + share * y ** (1.0 / 7.0)
        rough = reynolds * u * inner * row[HEIGHT]
        trip = fade * min(max((rough - TRIP_FROM) / (TRIP_FULL - TRIP_FROM), 0.0), 1.0)
        if trip > 0.0:
            # a trip that only just acts does so farther downstream, in the end behind the trailing edge
            trips[first_trip + r, 1] = row[FRONT] + step * TRIP_DELAY * (1.0 - trip) / trip
            trips[first_trip + r, 2] = critical + 3.0
        loop = circulation(row[INCIDENCE], u, row[LENGTH], row[HEIGHT], thickness, row[STRENGTH])
        half = share * TURBULENT_GATE + (1.0 - share) * LAMINAR_GATE
        out = (row[HEIGHT] / thickness - STANDS_OUT[0]) / (STANDS_OUT[1] - STANDS_OUT[0])
        out = min(max(out, 0.0), 1.0)
        out = (1.0 - share) * out * out * (3.0 - 2.0 * out)
        closed = 1.0 - 1.0 / (1.0 + np.exp(min((H - half) / GATE_WIDTH, 50.0)))
        by_layer = fade * (1.0 - (1.0 - out) * closed)
        gate = by_layer if np.isnan(gates[r]) else gates[r]
        long = max((row[REAR] - row[FRONT]) * step, 1e-6)
        k = 0 if side == 0 else n_body - 1
        while (arc[k] - row[FRONT]) * step > 0.0:
            k -= step
        last = 0 if side == 0 else n_body - 1
        before = (arc[k] - row[FRONT]) * step
        while k != last:
            k += step
            here = (arc[k] - row[FRONT]) * step
            part = gate * (min(max(here / long, 0.0), 1.0) - min(max(before / long, 0.0), 1.0))
            handed[k, WAKE_MOMENTUM] += part * row[WAKE]
            handed[k, WAKE_SHAPE] += part * row[WAKE_OF_SHAPE]
            if here > long:
                near, far = before - long, here - long
                handed[k, MOMENTUM] += gate * (so_far(table, far, TAKEN) - so_far(table, near, TAKEN))
                handed[k, MIXING] += gate * (so_far(table, far, MIXED) - so_far(table, near, MIXED))
                handed[k, WORK] += gate * (so_far(table, far, WORKED) - so_far(table, near, WORKED))
            before = here
        told[r, 0] = loop / u
        told[r, 1] = thickness
        told[r, 2] = u
        told[r, 3] = gate
        told[r, 4] = gate * row[DRAG]
        told[r, 5] = trip
        told[r, 6] = by_layer
