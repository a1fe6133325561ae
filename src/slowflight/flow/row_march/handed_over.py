"""What a march hands over to a method that knows a layer by its integral thicknesses only.

The span mean of the speed along the skin obeys the equation of a plane layer with two more terms,

    d/dy (q) - d/ds <u~ u~>,   q = -<u~ v~>

and what the decaying swirl gives back, f = -d<v~ v~>/ds with the sign reversed. Integrated over the layer,
with theta and theta* of the span mean and u its edge speed,

    d(u^2 theta)/ds + u u' delta_1 = tau_w + u^2 M,   u^2 M = d/ds int <u~ u~> dy - int f dy
    d(u^3 theta* / 2)/ds = int tau dU/dy dy + u^3 D,  u^3 D = int q dU/dy dy + int U (d<u~ u~>/ds - f) dy

Both signs follow from the equations: q takes momentum down to slow air, which is work against the shear of
the mean, as that of turbulence is, and raises the energy that the layer lacks. M and D are exact for the
march's own span mean and hold no constant; their sums are ``taken`` and ``work``.

The vanes' wake is there at the start: the differences of theta and theta* of the span mean to those of the
clean layer. The same layer marched without vanes is handed over beside it, so that the receiver can tell what
the vanes do from what two methods make of one layer.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from slowflight.errors import RangeError
from slowflight.flow.row_march import marching
from slowflight.flow.row_march.layer_profile import turbulent_profile
from slowflight.flow.row_march.row_march import out_of_range
from slowflight.flow.row_march.run import QUICK, MarchSettings, RowLayer, Run
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.row_march.start import drag_thickness, vane_circulation
from slowflight.flow.solution import FloatArray

LEAST_REACH = 3.0  # heights: numbers that run away sooner are no march
TALLEST = 15.0  # vanes, over the layer: their vortices then lie far outside it
HIGHEST = 150.0  # plane, layer thicknesses at the row
MOST_RAISED = 1.6  # shape factor up to which a start that no layer can have is made one
SLICES = 40  # of a vane, over which the drag of one that is not marched is summed
FULLER = 0.03  # step of the shape factor to the fullest layer that the start can have


@dataclass(frozen=True, kw_only=True)
class SpanMean:
    """The span mean of a march at the places it reached, in the unit of the row's sizes, shape (reached,)."""

    momentum_thickness: FloatArray
    energy_thickness: FloatArray
    shape_factor: FloatArray


@dataclass(frozen=True, kw_only=True)
class HandedOver:
    """The layer with and without vanes; all lengths in the unit of the row's sizes.

    Parameters
    ----------
    wake, wake_energy : float
        Momentum and kinetic energy thickness (theta and theta*) that the vanes' wake adds to the layer.
    drag : float
        Momentum thickness of all drag of the vanes.
    stirred, clean : SpanMean
        With and without vanes, as far as each march got.
    taken, work : FloatArray
        Integrals of M and D from the vanes on, shape (reached,).
    valid_to : float
        Distance at which the march stopped; the last place where it did not.
    status : str
        ``"ran"``, ``"reversed"``, ``"outgrew"``, ``"failed"`` or ``"refused"`` (then only the drag is
        handed over).
    reason : str
        Why it was refused, else empty.
    """

    wake: float
    wake_energy: float
    drag: float
    stirred: SpanMean
    clean: SpanMean
    taken: FloatArray
    work: FloatArray
    valid_to: float
    status: str
    reason: str = ""


def hand_over(
    *,
    row: VaneSizes,
    layer: RowLayer,
    distance: FloatArray,
    edge_speed: FloatArray,
    reynolds: float,
    thickest: float,
    settings: MarchSettings = QUICK,
) -> HandedOver:
    """March a row and sum up what it does to the span mean.

    Parameters
    ----------
    row : VaneSizes
        The vanes, lengths in one unit.
    layer : RowLayer
        The clean turbulent layer where the vanes end, in the same unit.
    distance : FloatArray
        Places behind the vanes' ends, from 0 on, increasing, shape (k,).
    edge_speed : FloatArray
        There, over a common speed, shape (k,).
    reynolds : float
        On that speed and the unit of length.
    thickest : float
        The layer's greatest thickness up to the last place, from which the plane's height is taken.
    settings : MarchSettings
        How it is computed.

    Returns
    -------
    HandedOver

    Notes
    -----
    Range: as for ``march_row``, but vanes up to 15 layer thicknesses. Not compared with a measured vortex;
    see the documents. A shape factor below what a turbulent layer of that Reynolds number can have is raised
    to the least that it can.
    """
    reason = row.trouble() or out_of_range(row, layer, tallest=TALLEST)
    if reason:
        return _refused(reason, row, layer)
    unit, speed_unit = layer.thickness, float(edge_speed[0])
    sizes = row.over(unit)
    places, speeds = distance / unit, edge_speed / speed_unit
    nu = 1.0 / (reynolds * speed_unit * unit)
    try:
        layer = _possible(layer, nu)
    except RangeError as error:
        return _refused(str(error), row, layer)
    bend = np.zeros_like(places)
    top = float(np.clip(1.6 * thickest / unit, max(7.0 * sizes.height, 4.0), HIGHEST))
    while True:
        found = Run(sizes, layer, nu, places, speeds, bend, settings, top=top, clean=False)
        if found.code != marching.OUTGREW or 1.7 * top > 1.7 * HIGHEST:
            break
        top *= 1.7
    if found.code == marching.FAILED and unit * found.stopped < LEAST_REACH * row.height:
        return _refused("the numbers ran away at once", row, layer)
    clean = Run(sizes, layer, nu, places, speeds, bend, settings, top=top, clean=True)
    status = {marching.RAN: "ran", marching.REVERSED: "reversed", marching.OUTGREW: "outgrew"}
    return HandedOver(
        wake=unit * float(found.rows[0, marching.MOMENTUM] - found.momentum_before),
        wake_energy=unit * float(found.rows[0, marching.ENERGY] - found.energy_before),
        drag=unit * found.wake.momentum_thickness,
        stirred=_span_mean(found, unit),
        clean=_span_mean(clean, unit),
        taken=unit * found.column(marching.HANDED_MOMENTUM)[: found.reached],
        work=unit * found.column(marching.HANDED_ENERGY)[: found.reached],
        valid_to=unit * found.stopped,
        status=status.get(found.code, "failed"),
    )


def _possible(layer: RowLayer, nu: float) -> RowLayer:
    """The layer itself, or the fullest that its Reynolds number allows."""
    theta = layer.momentum_thickness / layer.thickness
    while True:
        try:
            turbulent_profile(
                heights=np.array([1.0]), momentum_thickness=theta, shape_factor=layer.shape_factor,
                per_nu=1.0 / nu,
            )  # fmt: skip
        except RangeError:
            if layer.shape_factor > MOST_RAISED:
                raise
            layer = replace(layer, shape_factor=layer.shape_factor + FULLER)
            continue
        return layer


def _span_mean(run: Run, unit: float) -> SpanMean:
    rows = run.rows[: run.reached]
    return SpanMean(
        momentum_thickness=unit * rows[:, marching.MOMENTUM],
        energy_thickness=unit * rows[:, marching.ENERGY],
        shape_factor=rows[:, marching.DISPLACEMENT] / rows[:, marching.MOMENTUM],
    )


def _refused(reason: str, row: VaneSizes, layer: RowLayer) -> HandedOver:
    nothing = np.zeros(0)
    drag = 0.0
    if not row.trouble() and row.height > 0.0 and layer.thickness > 0.0:
        # the vanes are there all the same: their drag in a seventh-power profile, at once
        cell = np.full(SLICES, row.height / SLICES)
        center = row.height * (np.arange(SLICES) + 0.5) / SLICES
        drag = drag_thickness(
            sizes=row, strength=vane_circulation(sizes=row, thickness=layer.thickness), center=center,
            cell=cell, speed=np.minimum(center / layer.thickness, 1.0) ** (1.0 / 7.0),
        )  # fmt: skip
    none = SpanMean(momentum_thickness=nothing, energy_thickness=nothing, shape_factor=nothing)
    return HandedOver(
        wake=drag, wake_energy=0.0, drag=drag, stirred=none, clean=none, taken=nothing, work=nothing,
        valid_to=0.0, status="refused", reason=reason,
    )  # fmt: skip
