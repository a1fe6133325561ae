"""The page's section on the aircraft in the air: settings in order, with their pictures."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slowflight.report.pictures.roll import draw_roll
from slowflight.report.pictures.stall_spread import draw_stall_spread

WINGS = (("clean", "clean"), ("vanes", "with the row"))


def drawn_in_the_air(record: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what the template needs.

    Parameters
    ----------
    record : mapping
        The prediction.

    Returns
    -------
    dict or None
        None where the record has no such part, as those of earlier versions.
    """
    whole = record.get("in_the_air")
    if whole is None:
        return None
    changes = [{"flap_deg": 0.0, "with_row": None, **change} for change in whole["changes"]]
    whole = {**whole, "changes": changes}
    semi_span = 0.5 * record["conditions"]["span_m"]
    settings = []
    for setting in record["settings"]:
        there = setting.get("in_the_air")
        if there is None:
            continue
        there = _completed(there)
        settings.append(
            {
                "record": setting,
                "there": there,
                "roll": draw_roll(there["roll"], flap_deg=setting["flap_deg"]),
                "spread": draw_stall_spread(
                    there["spread"], flap_deg=setting["flap_deg"], semi_span=semi_span
                ),
            }
        )
    idle = next((one["there"]["power"]["idle"] for one in settings), None)
    return {
        "whole": whole,
        "settings": settings,
        "wings": WINGS,
        "faster_idle": None if idle is None or "fast_clean" not in idle else idle["fast_rpm"],
    }


def _completed(there: Mapping[str, Any]) -> dict[str, Any]:
    """Add what records of earlier versions do not have, as not known."""
    touch = {
        "change": None,
        "approach_less_touchdown": None,
        "bands": "",
        "tail_first": "",
        **there["touchdown"],
    }
    return {"slip": None, **there, "touchdown": touch}
