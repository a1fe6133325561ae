"""What a row of vortex generators does to a layer: mixing, trip and wake. First version, uncalibrated.

Physical statement: the vortices raise the shear that the outer layer tends to, downstream of the row and
decaying; the vanes trip a laminar layer and leave a wake. Strength comes from the vanes' circulation; how
much shear a circulation makes rests on no measurement yet, so every gain computed with it is marked
uncalibrated.

Sources: circulation of a vane, Wendt, NASA/CR-2001-211144 (constants known at second hand); an added source
in the shear-lag equation with exponential decay, De Tavernier, Baldacchino and Ferreira, Wind Energy 2018,
doi 10.1002/we.2204, and Kerho and Kramer, AIAA 2003-0211 (form only, their fits are not used); roughness
Reynolds number, Braslow and Knox, NACA TN 4363. That mixing grows with the square of a weak circulation, then
in proportion, then saturates, and hardly decays over 60 heights, is a result of a colleague's vane-resolved
march on a flat plate, as are the size and the reach below (see docs, 'Vanes in the seconds tier'). Weak
mixing of several rows adds as their circulations do, squared after adding.
"""

from __future__ import annotations

import math

import numpy as np

from slowflight.flow.compiled import kernel
from slowflight.flow.solution import FloatArray

# columns of a row, lengths in chords
SIDE, FRONT, REAR, HEIGHT, LENGTH, PITCH, PER_PITCH, INCIDENCE, STRENGTH, DRAG = range(10)
COLUMNS = 10
TOLD = 6  # numbers that `act` tells of each row

MOST_MIXING = 0.004  # square of added shear that no circulation exceeds [-]
HALF_STRENGTH = 0.16  # circulation per pitch and edge speed at half of that [-]
REACH = 120.0  # length over which circulation decays [heights]
TALL_POWER = 0.5  # of layer over height: circulation left to mix of vanes taller than the layer [-]
# circulation that counts of a co-rotating row over that of a counter-rotating one; while weak that makes 0.6
# of the mixing (own estimate, no source)
CO_ROTATING = math.sqrt(0.6)
# profile drag of a thin plate vane on its own area, with base and edges (common practice, no source)
PLATE_DRAG = 0.03
TRIP_FROM, TRIP_FULL = 300.0, 900.0  # roughness Reynolds number at which vanes begin to trip and surely do
TRIP_DELAY = 0.1  # distance behind the vanes at which half a trip acts (own choice, no source) [chords]
GATE_WIDTH = 0.15  # width in shape factor over which a row fades as the layer at it separates
FADE_LENGTH = 0.015  # over which a row fades as the stagnation point comes close to it [chords]
LAMINAR_GATE, TURBULENT_GATE = 3.8, 2.8  # shape factor at which half of its help is left


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
def mixing_strength(per_pitch: float) -> float:
    """Square of added shear, for the circulation per pitch and edge speed of all rows together."""
    g2 = per_pitch * per_pitch
    return MOST_MIXING * g2 / (g2 + HALF_STRENGTH * HALF_STRENGTH)


@kernel
def wake_thickness(row: FloatArray, loop: float, speed: float, thickness: float) -> float:
    """Momentum thickness the vanes add: drag per span over twice the local dynamic pressure [chords]."""
    height, length = row[HEIGHT], row[LENGTH]
    if height <= 0.0:
        return 0.0
    if height < thickness:
        filling = 7.0 / 9.0 * (height / thickness) ** (2.0 / 7.0)
    else:
        filling = (7.0 / 9.0 * thickness + height - thickness) / height
    lift = 2.0 * loop / (speed * length)
    drag = row[DRAG] + lift * math.tan(row[INCIDENCE])
    return float(0.5 * row[PER_PITCH] * height * length / row[PITCH] * drag * filling)


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
    rows: FloatArray, state: FloatArray, arc: FloatArray, n_body: int, divide: float, reynolds: float,
    critical: float, share_of: FloatArray, first_trip: int, trips: FloatArray, mixing: FloatArray,
    jumps: FloatArray, told: FloatArray,
) -> None:  # fmt: skip
    """Evaluate all rows on the present layer.

    The circulations per pitch of all rows are added where they act together, each with its own decay, and
    then make their mixing once: vanes of one row and the same vanes written as two rows mix alike, and no
    number of rows exceeds the limit.

    Parameters
    ----------
    rows : FloatArray
        One line per row, shape (k, COLUMNS).
    state, arc : FloatArray
        Unknowns and places of the stations, shapes (n, 5) and (n,).
    divide : float
        Arc of the stagnation point [chords].
    share_of : FloatArray
        Turbulent share at each station, shape (n,).
    first_trip : int
        Line of ``trips`` where the rows' own begin.
    trips, mixing, jumps : FloatArray
        Filled: N added at a place, square of added shear at a station, momentum thickness added in the
        interval that ends at a station.
    told : FloatArray
        Filled for the report: circulation per edge speed and chord, layer thickness, edge speed, gate,
        momentum thickness added, trip share; shape (k, TOLD).
    """
    mixing[:] = 0.0  # holds the circulation per pitch until all rows are in
    jumps[:] = 0.0
    for r in range(rows.shape[0]):
        row = rows[r]
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
        gate = 1.0 / (1.0 + np.exp(min((H - half) / GATE_WIDTH, 50.0)))
        # circulation above the layer mixes less of it; the power is set on the computed plate
        beyond = min(1.0, thickness / row[HEIGHT]) ** TALL_POWER
        kind = CO_ROTATING if row[PER_PITCH] < 1.5 else 1.0
        per_pitch = kind * gate * fade * beyond * row[PER_PITCH] * loop / (u * row[PITCH])
        added = wake_thickness(row, loop, u, thickness) * gate * fade
        long = max((row[REAR] - row[FRONT]) * step, 1e-6)
        k = 0 if side == 0 else n_body - 1
        while (arc[k] - row[FRONT]) * step > 0.0:
            k -= step
        last = 0 if side == 0 else n_body - 1
        before = (arc[k] - row[FRONT]) * step
        while k != last:
            k += step
            here = (arc[k] - row[FRONT]) * step
            jumps[k] += added * (min(max(here / long, 0.0), 1.0) - min(max(before / long, 0.0), 1.0))
            behind = here - long
            if behind > 0.0:
                # of the panel in which the vanes end only the part behind them; mixing goes with the square
                part = min(behind / (here - before), 1.0)
                mixing[k] += per_pitch * math.sqrt(part) * math.exp(-behind / (REACH * row[HEIGHT]))
            before = here
        told[r, 0] = loop / u
        told[r, 1] = thickness
        told[r, 2] = u
        told[r, 3] = gate * fade
        told[r, 4] = added
        told[r, 5] = trip
    for k in range(mixing.size):
        if mixing[k] > 0.0:
            mixing[k] = mixing_strength(mixing[k])
