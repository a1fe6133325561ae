"""What a row's march leaves for a solver that has the whole section plane: stresses and a wake.

The span mean of the steady motion behind vanes obeys the plane equations with -<u~ v~> as a shear stress,
<u~ u~> as a normal one, and what the decaying swirl takes, d<v~ v~>/ds. The vanes' wake is a sink of momentum
over their length. All of it comes from `flow.row_march`, started with this solver's own layer and edge speed;
no constant is set here.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from slowflight.errors import RangeError
from slowflight.flow.integral import vanes
from slowflight.flow.integral.marched_rows import Layers, Met, met_by
from slowflight.flow.row_march import marching
from slowflight.flow.row_march.handed_over import hand_over
from slowflight.flow.row_march.row_march import out_of_range
from slowflight.flow.row_march.run import QUICK, MarchSettings, Run
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.solution import FloatArray

TALLEST = 15.0  # vanes, over the layer, as where the seconds tier marches them
HIGHEST = 150.0  # plane, layer thicknesses at the row


@dataclass(frozen=True, eq=False, kw_only=True)
class RowStress:
    """One row's, in chords and flight speeds.

    Parameters
    ----------
    upper : bool
        Side of the skin.
    front, rear : float
        Forward and trailing tips on the seconds tier's arc.
    tall : float
        Vane height.
    distance, height : FloatArray
        Places behind the rear and above the skin, shapes (k,) and (n,).
    shear, axial : FloatArray
        -<u~ v~> and <u~ u~>, shape (k, n); held beyond ``valid_to``.
    swirl, core : FloatArray
        Integral of <v~ v~> over height, and height of the vortices, shape (k,); held likewise.
    sink : float
        Momentum per span that the vanes' wake takes at once (without what the swirl takes later).
    drag : float
        Momentum per span of all drag of the vanes.
    handed : FloatArray
        Sum of M of `flow.row_march.handed_over` times square of edge speed from the vanes on, shape (k,).
    valid_to : float
        Distance at which the march stopped.
    status : str
        ``"ran"``, ``"reversed"``, ``"outgrew"``, ``"failed"`` or ``"refused"``.
    reason : str
    over_layer, thickness, speed : float
        Vane height over the layer's thickness, that thickness, and the edge speed at the row.
    circulation : float
        One vane sheds.
    tripped : bool
        Whether the layer at the row is laminar.
    """

    upper: bool
    front: float
    rear: float
    tall: float
    distance: FloatArray
    height: FloatArray
    shear: FloatArray
    axial: FloatArray
    swirl: FloatArray
    core: FloatArray
    sink: float
    drag: float
    handed: FloatArray
    valid_to: float
    status: str
    reason: str
    over_layer: float
    thickness: float
    speed: float
    circulation: float
    tripped: bool


def marched_stress(
    row: FloatArray, sizes: VaneSizes, layers: Layers, settings: MarchSettings = QUICK
) -> RowStress:
    """March one row in the layers of one angle.

    Parameters
    ----------
    row : FloatArray
        Line of the row, see ``flow.integral.vanes``.
    sizes : VaneSizes
        The same vanes [chords].
    layers : Layers
    settings : MarchSettings

    Returns
    -------
    RowStress
        With the vanes' drag alone where the march is refused, with nothing where the row stands ahead of
        the stagnation point.
    """
    upper = row[vanes.SIDE] == 1.0
    met = met_by(row, sizes.height, layers) if sizes.height > 0.0 else None
    if met is None:
        return _none(row, sizes, "no vanes, or the stagnation point lies behind them", None, 0.0)
    layer = met.layer
    unit, fast = layer.thickness, float(met.speed[0])
    over = sizes.height / unit

    def refused(reason: str) -> RowStress:
        alone = hand_over(
            row=sizes, layer=layer, distance=met.distance, edge_speed=met.speed, reynolds=layers.reynolds,
            thickest=met.thickest, settings=settings,
        )  # fmt: skip
        return _none(row, sizes, reason, met, alone.drag * fast * fast)

    reason = sizes.trouble() or out_of_range(sizes, layer, tallest=TALLEST)
    if reason:
        return refused(reason)
    scaled = sizes.over(unit)
    places, speeds = met.distance / unit, met.speed / fast
    nu = 1.0 / (layers.reynolds * fast * unit)
    top = float(np.clip(1.6 * met.thickest / unit, max(7.0 * scaled.height, 4.0), HIGHEST))
    bend = np.zeros_like(places)
    while True:
        try:
            found = Run(scaled, layer, nu, places, speeds, bend, settings, top=top, clean=False)
        except RangeError as error:
            return refused(str(error))
        if found.code != marching.OUTGREW or 1.7 * top > 1.7 * HIGHEST:
            break
        top *= 1.7
    if found.reached < 2:
        return refused("the numbers ran away at once")
    last = found.reached - 1
    per_length, squared = unit * fast * fast, fast * fast
    words = {marching.RAN: "ran", marching.REVERSED: "reversed", marching.OUTGREW: "outgrew"}

    def held(number: int) -> FloatArray:
        values = found.column(number).copy()
        values[last + 1 :] = values[last]
        return values

    wake = found.wake
    steps = np.diff(held(marching.HANDED_MOMENTUM)) * 0.25 * (speeds[1:] + speeds[:-1]) ** 2
    return RowStress(
        upper=upper,
        front=float(row[vanes.FRONT]),
        rear=float(row[vanes.REAR]),
        tall=sizes.height,
        distance=met.distance,
        height=found.plane.center * unit,
        shear=found.shear * squared,
        axial=found.axial * squared,
        swirl=held(marching.SWIRL) * per_length,
        core=np.maximum(held(marching.CORE_Y), 0.25 * scaled.height) * unit,
        sink=(wake.momentum_thickness - wake.in_swirl) * wake.placed * per_length,
        drag=wake.momentum_thickness * per_length,
        handed=np.concatenate(([0.0], np.cumsum(steps))) * per_length,
        valid_to=float(unit * found.stopped),
        status=words.get(found.code, "failed"),
        reason="",
        over_layer=over,
        thickness=unit,
        speed=fast,
        circulation=found.strength * unit * fast,
        tripped=met.tripped,
    )


def _none(row: FloatArray, sizes: VaneSizes, reason: str, met: Met | None, drag: float) -> RowStress:
    two, flat = np.array([0.0, 1.0]), np.zeros((2, 2))
    thickness = 0.0 if met is None else met.layer.thickness
    return RowStress(
        upper=row[vanes.SIDE] == 1.0, front=float(row[vanes.FRONT]), rear=float(row[vanes.REAR]),
        tall=sizes.height, distance=two, height=two, shear=flat, axial=flat, swirl=np.zeros(2),
        core=two + 1.0, sink=drag, drag=drag, handed=np.zeros(2), valid_to=0.0, status="refused",
        reason=reason, over_layer=sizes.height / thickness if thickness > 0.0 else 0.0, thickness=thickness,
        speed=0.0 if met is None else float(met.speed[0]), circulation=0.0,
        tripped=met is not None and met.tripped,
    )  # fmt: skip
