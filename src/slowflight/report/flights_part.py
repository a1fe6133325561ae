"""The flights' section of the page: what the template shows, drawn and put in words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slowflight.errors import InputError
from slowflight.report.pictures.flight_gain import draw_gains, draw_stalls
from slowflight.report.pictures.log_traces import draw_panel, draw_traces
from slowflight.report.saved import Record


def drawn_flights(given: Mapping[str, Any] | None) -> Record | None:
    """Return what the flights' template needs.

    Parameters
    ----------
    given : mapping or None
        The record of ``fly`` as saved.

    Returns
    -------
    dict or None
        None where nothing was flown.

    Raises
    ------
    InputError
        Where it is no record of flights.
    """
    if given is None:
        return None
    if given.get("kind") != "flights":
        raise InputError(
            where="record of flights",
            found=f"kind {given.get('kind')!r}",
            needed="kind 'flights'",
            fix="run: slowflight fly",
        )
    unit = given["unit"]
    per = unit.replace("/", "_per_")
    flights = given["flights"]
    decision = given["decision"]
    rows = _rows(given, per)
    settings = sorted({one["flap_deg"] for flight in flights for one in flight["stalls"]})
    return {
        "record": given,
        "decision": decision,
        "unit": unit,
        "old": list(given.get("old", ())),
        "rows": rows,
        "gains": draw_gains(rows, unit=unit, worth_having=given["rules"][f"worth_having_{per}"]),
        "stalls": [
            (flap, picture)
            for flap in settings
            if (picture := draw_stalls(flights, flap_deg=flap, key=f"reference_{per}", unit=unit))
        ],
        "panel": draw_panel(flights, unit=unit, per=per),
        "flights": [_flight(flight, unit=unit, per=per) for flight in flights],
        "handling": [] if decision is None else decision["handling"] or [],
        "stall_speeds": given.get("stall_speeds") or [],
        "per": per,
        "stall_angles": given.get("stall_angles") or [],
        "tufts": given.get("tufts"),
        "climb": given.get("climb"),
        "rolls": given.get("ground_rolls") or {},
        "cruise": None if decision is None else _cruise(decision["cruise"], per),
    }


def _rows(given: Mapping[str, Any], per: str) -> list[Record]:
    """One row for each flap setting that was measured, with what was predicted for it."""
    if given["decision"] is None:
        return []
    beside = {one["name"]: one for one in given["predicted"]}
    rows = []
    for setting in given["decision"]["settings"]:
        gain = setting["gain"]
        if gain is None:
            continue
        other = beside.get(setting["name"], {})
        rows.append(
            {
                "name": setting["name"],
                "landing": setting["landing"],
                "measured": {key: gain[f"{key}_{per}"] for key in ("value", "low", "high")},
                "predicted": other.get(f"anchored_gain_{per}"),
                "clean": other.get(f"measured_clean_{per}"),
                "clean_predicted": other.get(f"predicted_clean_{per}"),
                "sentence": other.get("sentence", ""),
                "flights": gain["flights"],
                "budget": [(term["name"], term[f"standard_uncertainty_{per}"]) for term in gain["budget"]],
                "cancels": gain["cancels"],
                "unlike": gain["unlike"],
                "assumed": gain["scatter_assumed"],
            }
        )
    return rows


def _flight(flight: Mapping[str, Any], *, unit: str, per: str) -> Record:
    return {
        "record": flight,
        "picture": draw_traces(flight, unit=unit),
        "counted": sum(one["accepted"] for one in flight["stalls"]),
        "stalls": [
            {
                **one,
                "indicated": one[f"indicated_{per}"],
                "reference": one[f"reference_{per}"],
                "uncertainty": one[f"standard_uncertainty_{per}"],
            }
            for one in flight["stalls"]
        ],
    }


def _cruise(cruise: Mapping[str, Any] | None, per: str) -> Record | None:
    if cruise is None:
        return None
    return {
        "change": cruise[f"change_{per}"],
        "low": cruise[f"low_{per}"],
        "high": cruise[f"high_{per}"],
        "margin": cruise[f"margin_{per}"],
        "shown": cruise["no_loss_shown"],
    }
