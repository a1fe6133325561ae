"""What is told of rows of vanes in a point of the minutes tier."""

from __future__ import annotations

from collections.abc import Sequence

from slowflight.errors import InputError
from slowflight.flow.integral.vanes import FITTED_RATIO
from slowflight.flow.rans.given_flow import LIFT_STAYS, GivenFlow
from slowflight.flow.solution import VaneEffect
from slowflight.wing.vane_row import VaneRow

MARCHED_SHARE = 0.8  # of the way to the trailing edge that a march has to reach (own choice)
UNCALIBRATED = (
    "predicted, uncalibrated: what the vanes do here rests on no measurement; read the direction, not the"
    " size. Each row's vortices were marched in this solver's own layer and act on the mean flow only, not on"
    " its turbulence variable"
)


def rows_that_act(vane_rows: Sequence[VaneRow], chord_m: float | None) -> tuple[VaneRow, ...]:
    """Rows with a height; InputError where there are such and no chord."""
    rows = tuple(row for row in vane_rows if row.height > 0.0)
    if rows and chord_m is None:
        raise InputError(
            where="chord_m", found="none", needed="the chord in meters, because vanes are measured in mm"
        )
    return rows


def effects(found: GivenFlow) -> tuple[VaneEffect, ...]:
    """What each row meets and does."""
    return tuple(
        VaneEffect(
            layer_thickness=row.thickness,
            edge_speed=row.speed,
            circulation=row.circulation / row.speed if row.speed > 0.0 else 0.0,
            help_left=0.0 if row.status == "refused" else 1.0,
            trip=1.0 if row.tripped else 0.0,
        )
        for row in found.rows
    )


def held_far(found: GivenFlow) -> bool:
    """Whether a row is not marched, or its stress held over so much of the way back that it is a guess."""
    return any(
        row.status == "refused" or (row.status != "ran" and row.valid_to < MARCHED_SHARE * row.distance[-1])
        for row in found.rows
    )


def row_remarks(found: GivenFlow) -> tuple[str, ...]:
    """What the reader of a point has to know of its rows."""
    said = []
    low, high = FITTED_RATIO
    for number, row in enumerate(found.rows, start=1):
        name = f"vane row {number}" if len(found.rows) > 1 else "vane row"
        if row.status == "refused":
            left = "its drag alone is in" if row.drag > 0.0 else "left out"
            said.append(f"{name}: not marched, {left}: {row.reason}")
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
    if found.flow.converged and found.change >= LIFT_STAYS:
        # nothing answered with the rows' own march where no change is known
        size = f"by {found.change:.1e}" if found.change < 1e3 else "by an unknown amount"
        what = "the rows' march" if found.rows else "transition"
        said.append(f"{what} and the flow were not brought to agree: lift still moved {size}")
    return tuple(said)
