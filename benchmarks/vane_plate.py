"""The closure, marched along a plate with what a marched row hands over, beside the row march itself.

Fall of the span-mean shape factor at 5, 10, 30 and 60 heights; Reynolds number on momentum thickness 2,500 at
the row, rectangular vanes 2.5 heights long at 16.5 degrees. Computed, not measured: it shows what is lost
between the march and the seconds tier, not what either is worth.

Usage: ``python benchmarks/vane_plate.py``
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from slowflight.flow.integral.closure import turbulent_closure
from slowflight.flow.integral.closure_budget import beside_closure, log_energy_shape, wake_shape
from slowflight.flow.integral.layer import left_to_mix
from slowflight.flow.integral.section_flow import LAG
from slowflight.flow.row_march.handed_over import HandedOver, hand_over
from slowflight.flow.row_march.run import STANDARD, MarchSettings, RowLayer
from slowflight.flow.row_march.sizes import VaneSizes
from slowflight.flow.solution import FloatArray

RE_THETA, SHAPE = 2500.0, 1.37
PLACES = (5.0, 10.0, 30.0, 60.0)
STEPS = 400


@dataclass(frozen=True, kw_only=True)
class Plate:
    """One row on a layer of thickness 1; the edge speed falls by ``slowing`` per layer thickness."""

    height: float
    pitch: float
    slowing: float = 0.0
    arrangement: str = "counter-rotating"
    opening: str = "downstream"
    gap: float = 2.5


CASES = (
    Plate(height=0.3, pitch=6.0),
    Plate(height=0.5, pitch=6.0),
    Plate(height=1.0, pitch=6.0),
    Plate(height=2.0, pitch=6.0),
    Plate(height=1.0, pitch=10.0),
    Plate(height=1.0, pitch=4.0, arrangement="co-rotating"),
    Plate(height=1.0, pitch=6.0, opening="upstream"),
    Plate(height=0.5, pitch=6.0, slowing=0.005),
    Plate(height=1.0, pitch=6.0, slowing=0.005),
)


@dataclass(frozen=True)
class Compared:
    """Falls of the shape factor at `PLACES` as far as the march got; momentum thickness at the last."""

    marched: FloatArray
    closed: FloatArray
    thickness: tuple[float, float]

    @property
    def misses(self) -> FloatArray:
        """The closure's less the march's."""
        return self.closed - self.marched


def compared(case: Plate, settings: MarchSettings = STANDARD) -> Compared:
    """March a row, hand it over, and march the closure alone."""
    theta = 1.0 / (3.15 + 1.72 / (SHAPE - 1.0) + SHAPE)
    reynolds = RE_THETA / theta
    distance = np.concatenate(([0.0], np.geomspace(0.5, 60.0, 60))) * case.height
    speed = 1.0 - case.slowing * distance
    found = hand_over(
        row=VaneSizes(
            height=case.height, length=2.5 * case.height, pitch=case.pitch * case.height,
            incidence=math.radians(16.5), trailing_gap=case.gap * case.height, arrangement=case.arrangement,
            opening=case.opening,
        ),
        layer=RowLayer(thickness=1.0, momentum_thickness=theta, shape_factor=SHAPE),
        distance=distance, edge_speed=speed, reynolds=reynolds, thickest=5.0, settings=settings,
    )  # fmt: skip
    n = min(found.stirred.shape_factor.size, found.clean.shape_factor.size)
    tables = beside_closure(distance=distance, speed=speed, found=found, reynolds=reynolds, lag=LAG)
    stirred = closed_layer(distance[:n], speed[:n], theta, SHAPE, reynolds, tables, found)
    clean = closed_layer(distance[:n], speed[:n], theta, SHAPE, reynolds, None, found)
    at = [float(p) for p in PLACES if p * case.height <= distance[n - 1] + 1e-9]
    here = np.array(at) * case.height
    marched = found.clean.shape_factor[:n] - found.stirred.shape_factor[:n]
    return Compared(
        marched=np.interp(here, distance[:n], marched),
        closed=np.interp(here, distance[:n], clean[0] - stirred[0]),
        thickness=(
            float(found.stirred.momentum_thickness[n - 1] / theta),
            float(stirred[1][-1] / theta),
        ),
    )


def closed_layer(
    distance: FloatArray, speed: FloatArray, theta: float, H: float, reynolds: float,
    tables: tuple[FloatArray, FloatArray, FloatArray] | None, found: HandedOver,
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Shape factor and momentum thickness of the closure alone along an edge speed, by small explicit steps.

    ``tables`` are momentum, mixing and work handed over (see ``closure_budget``), or None without vanes.
    """
    n = distance.size
    near = distance[n // 5]
    places = np.concatenate((np.linspace(0.0, near, STEPS)[:-1], np.linspace(near, distance[-1], 8 * STEPS)))
    u = np.interp(places, distance, speed)
    sums = np.zeros((3, places.size))
    S = float(turbulent_closure(H, math.log(theta * u[0] * reynolds), 0.04, False)[10])
    if tables is not None:
        sums = np.array([np.interp(places, distance, t[:n]) for t in tables])
        more = wake_shape(speed=float(speed[0]), found=found, reynolds=reynolds)
        at = np.array([speed[0]])
        wanted = float(log_energy_shape(at, np.array([theta]), np.array([H]), reynolds)[0]) + more
        theta += found.wake
        for _ in range(50):
            z = turbulent_closure(H, math.log(theta * u[0] * reynolds), 0.04, False)
            H -= (z[0] - wanted) / z[1]
    kept = np.empty((2, places.size))
    for i in range(places.size):
        kept[:, i] = H, theta
        if i + 1 == places.size:
            break
        ds, faster = places[i + 1] - places[i], math.log(u[i + 1] / u[i])
        momentum, mixing, work = sums[:, i + 1] - sums[:, i]
        z = turbulent_closure(H, math.log(theta * u[i] * reynolds), S, False)
        thicker = z[3] * ds + momentum - (H + 2.0) * theta * faster
        drive = (z[6] - z[3]) * ds + mixing * left_to_mix(H)[0] + work
        fuller = drive / theta - (1.0 - H) * faster
        S += S * 0.5 * LAG * (z[10] - S) / (theta * (3.15 + 1.72 / (H - 1.0) + H)) * ds
        H = min(H + (fuller - z[2] * (thicker / theta + faster)) / z[1], 6.0)
        theta += thicker
    return np.interp(distance, places, kept[0]), np.interp(distance, places, kept[1])


def main() -> None:
    print("fall of H at 5, 10, 30, 60 heights: march / closure; theta at the last")
    for case in CASES:
        c = compared(case)
        marched, closed = ("  ".join(f"{v:.3f}" for v in values) for values in (c.marched, c.closed))
        print(
            f"h/layer {case.height:g} pitch {case.pitch:g} slowing {case.slowing:g} {case.arrangement}"
            f" {case.opening}: {marched} / {closed}; {c.thickness[0]:.2f} / {c.thickness[1]:.2f}"
        )


if __name__ == "__main__":
    main()
