"""Where the air was predicted to let go at a speed, from a saved prediction."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

KNOT = 1852.0 / 3600.0
SAME_FLAP = 1.0  # [degrees]


def predicted_separation(
    prediction: Mapping[str, Any] | None,
    *,
    flap_deg: float | None,
    vanes: bool,
    speed: float,
    anchor: float = 1.0,
) -> dict[str, Any] | None:
    """Return where the air lets go at a speed, as predicted.

    Parameters
    ----------
    prediction : mapping or None
        The record of ``predict``.
    flap_deg : float or None
        Setting [degrees].
    vanes : bool
        With the best row, or clean.
    speed : float
        Calibrated, at 1 g and reference mass [m/s].
    anchor : float, optional
        Measured over predicted clean stall speed: predicted speeds are moved by this share.

    Returns
    -------
    dict or None
        ``station``, where reversed flow that reaches the trailing edge begins at the section that stalls
        first [chords], None where it is attached all along; ``past_stall``, whether that speed is below the
        slowest predicted, where the place is that of the stall; ``wing_angle_deg``. None where nothing was
        predicted.
    """
    if prediction is None or flap_deg is None:
        return None
    setting = next(
        (
            one
            for one in prediction["settings"]
            if one["predicted"] and abs(one["flap_deg"] - flap_deg) <= SAME_FLAP
        ),
        None,
    )
    curve = None if setting is None else setting["vanes" if vanes else "clean"]
    if not curve:
        return None
    rows = [
        (anchor * KNOT * shown, angle, place)
        for shown, angle, place in zip(
            curve["speed_kt"], curve["wing_angles_deg"], curve["separation"], strict=True
        )
        if shown is not None
    ]
    if not rows:
        return None
    # Up to the slowest speed only: behind it every speed comes a second time.
    slowest = min(range(len(rows)), key=lambda place: rows[place][0])
    way = rows[: slowest + 1]
    past = speed < way[-1][0]
    nearest = way[-1] if past else min(way, key=lambda row: abs(row[0] - speed))
    return {"station": nearest[2], "past_stall": past, "wing_angle_deg": nearest[1]}
