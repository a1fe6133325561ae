"""What is told of rows of vanes in a point of the minutes tier."""

from __future__ import annotations

from slowflight.flow.integral.vanes import FITTED_RATIO
from slowflight.flow.rans.vane_sweep import LIFT_STAYS, VanedFlow
from slowflight.flow.solution import VaneEffect

UNCALIBRATED = (
    "predicted, uncalibrated: what the vanes do here rests on no measurement; read the direction, not the"
    " size. Each row's vortices were marched in this solver's own layer and act on the mean flow only, not on"
    " its turbulence variable"
)


def effects(vaned: VanedFlow) -> tuple[VaneEffect, ...]:
    """What each row meets and does."""
    return tuple(
        VaneEffect(
            layer_thickness=row.thickness,
            edge_speed=row.speed,
            circulation=row.circulation / row.speed if row.speed > 0.0 else 0.0,
            help_left=0.0 if row.status == "refused" else 1.0,
            trip=1.0 if row.tripped else 0.0,
        )
        for row in vaned.rows
    )


def row_remarks(vaned: VanedFlow) -> tuple[str, ...]:
    """What the reader of a point has to know of its rows."""
    said = []
    low, high = FITTED_RATIO
    for number, row in enumerate(vaned.rows, start=1):
        name = f"vane row {number}" if len(vaned.rows) > 1 else "vane row"
        if row.status == "refused":
            said.append(f"{name}: not marched and left out: {row.reason}")
            continue
        if row.status != "ran":
            why = {"reversed": "the flow along the skin reverses under the upwash", "outgrew": "the layer"
                   " outgrew its plane"}.get(row.status, "the numbers ran away")  # fmt: skip
            said.append(
                f"{name}: marched over {100.0 * row.valid_to:.0f} % of chord behind the vanes, then {why};"
                " its stress is held beyond"
            )
        if not low <= row.over_layer <= high:
            said.append(
                f"{name}: {row.over_layer:.2g} layer thicknesses high, circulation was fitted on {low:g} to"
                f" {high:g}"
            )
    if vaned.rows and vaned.change >= LIFT_STAYS:
        # nothing answered with the rows' own march where no change is known
        size = f"by {vaned.change:.1e}" if vaned.change < 1e3 else "by an unknown amount"
        said.append(f"the rows' march and the flow were not brought to agree: lift still moved {size}")
    return tuple(said)
