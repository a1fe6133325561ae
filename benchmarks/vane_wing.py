"""The closure alone with what a marched row hands over, beside the march, along the edge speed of a wing.

NACA 4412, Reynolds number 3 million, vanes on a chord of 1.5 m; the edge speed is that of the coupled flow
with the row on it. See `vane_plate` for plates.

Usage: ``python benchmarks/vane_wing.py``
"""

from __future__ import annotations

import math

import numpy as np

from benchmarks.vane_plate import closed_layer
from slowflight.flow.integral.closure_budget import beside_closure
from slowflight.flow.integral.marched_rows import PRINTED, Layers, met_by
from slowflight.flow.integral.marched_section import with_marched_rows
from slowflight.flow.integral.section_flow import section_model
from slowflight.flow.integral.sweep import sweep
from slowflight.flow.row_march.handed_over import hand_over
from slowflight.wing.naca import naca_section
from slowflight.wing.vane_row import VaneRow

CHORD, REYNOLDS = 1.5, 3e6
PLACES = (10.0, 30.0, 60.0, 100.0, 150.0, 200.0, 300.0)
CASES = ((0.1, 3e-3, 8.0), (0.1, 6e-3, 11.0), (0.2, 6e-3, 8.0), (0.2, 6e-3, 14.0))


def main() -> None:
    for station, height, degrees in CASES:
        row = VaneRow(
            station=station, height=height, length=3.0 * height, pitch=10.0 * height, gap=2.5 * height,
            incidence=math.radians(15.0),
        )  # fmt: skip
        bare = section_model(naca_section("4412"), reynolds=REYNOLDS, vane_rows=[row], chord_m=CHORD)
        alpha = math.radians(degrees)
        model, _ = with_marched_rows(bare, [alpha], PRINTED)
        solved = sweep(model, [alpha])[0].solved
        if solved is None or not solved.converged:
            print(f"{100 * station:g} %, {1e3 * height:g} mm, {degrees:g} deg: no answer")
            continue
        n = model.body_stations
        layers = Layers(
            alpha=alpha, state=solved.state[:n], arc=model.system.body.arc, stagnation=solved.stagnation,
            reynolds=REYNOLDS, critical=model.critical, lag=model.lag,
        )  # fmt: skip
        met = met_by(model.rows[0], model.sizes[0].height, layers)
        assert met is not None
        found = hand_over(
            row=model.sizes[0], layer=met.layer, distance=met.distance, edge_speed=met.speed,
            reynolds=REYNOLDS, thickest=met.thickest,
        )  # fmt: skip
        tables = beside_closure(
            distance=met.distance, speed=met.speed, found=found, reynolds=REYNOLDS, lag=model.lag
        )
        n = min(found.stirred.shape_factor.size, found.clean.shape_factor.size)
        d, u = met.distance[:n], met.speed[:n]
        theta, H = met.layer.momentum_thickness, float(found.clean.shape_factor[0])
        clean = closed_layer(d, u, theta, H, REYNOLDS, None, found)
        stirred = closed_layer(d, u, theta, H, REYNOLDS, tables, found)
        at = [p for p in PLACES if p * model.sizes[0].height <= d[-1]]
        here = np.array(at) * model.sizes[0].height
        marched = np.interp(here, d, found.clean.shape_factor[:n] - found.stirred.shape_factor[:n])
        closed = np.interp(here, d, clean[0] - stirred[0])
        thicker = np.interp(here, d, stirred[1] / found.stirred.momentum_thickness[:n])
        print(f"{100 * station:g} %, {1e3 * height:g} mm, {degrees:g} deg, at {at} heights")
        for name, values in (("march", marched), ("closure", closed), ("thickness ratio", thicker)):
            print(f"    {name:16s}", "  ".join(f"{v:.3f}" for v in values), flush=True)


if __name__ == "__main__":
    main()
