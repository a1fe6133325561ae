"""From saved records to the text of the page: gathers, draws, and hands all to the template."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined

from slowflight.errors import InputError
from slowflight.report.flights_part import drawn_flights
from slowflight.report.in_the_air_part import drawn_in_the_air
from slowflight.report.links import links_to
from slowflight.report.pictures.canvas import Picture
from slowflight.report.pictures.claim import draw_claim
from slowflight.report.pictures.curves import draw_lift, draw_speed
from slowflight.report.pictures.field import read_field
from slowflight.report.pictures.flow import draw_pair, draw_speed_scale
from slowflight.report.pictures.gain_map import draw_gain_map, full_range
from slowflight.report.pictures.gain_maps import draw_gain_maps
from slowflight.report.pictures.help_strip import draw_help_strips
from slowflight.report.pictures.stall_speeds import draw_stall_speeds
from slowflight.report.pictures.stations import draw_against_station
from slowflight.report.pictures.two_tiers import draw_two_tiers
from slowflight.report.saved import Record, gathered, read_layout, read_prediction
from slowflight.report.words import FILTERS
from slowflight.sources import bibliography, describe_all

LIMITS = ("wing", "three-point attitude")  # others are words that it is not known
OWN_CAUTIONS = 3  # of a strip; those behind them are the prediction's, shown elsewhere


def page_text(
    *,
    prediction: Mapping[str, Any],
    layout: Mapping[str, Any] | None,
    fields: Mapping[str, Path],
    folder: Path,
    flights: Mapping[str, Any] | None = None,
    opinion: Mapping[str, Any] | None = None,
) -> str:
    """Return the whole page; parameters and errors as `slowflight.report.page.write_report`."""
    record, laid = read_prediction(prediction), read_layout(layout)
    used = gathered(prediction, opinion, layout, flights, name="sources")
    answered = [setting for setting in record["settings"] if setting["predicted"]]
    pairs = [_drawn_pair(picture, fields=fields) for picture in record["pictures"]]
    return (
        environment()
        .get_template("page.html")
        .render(
            record=record,
            flights=drawn_flights(flights),
            limits=_limits(record),
            claim_picture=None if record["claim"] is None else draw_claim(record["claim"]),
            speeds_picture=draw_stall_speeds(answered) if answered else None,
            opinion=None if opinion is None else {"record": opinion, "picture": draw_two_tiers(opinion)},
            settings=[
                _drawn_setting(setting, marks=setting["marks"] or record["marks"]) for setting in answered
            ],
            in_the_air=drawn_in_the_air(record),
            gain_maps=draw_gain_maps(record["gain_map"]) if len(record["gain_map"]) > 1 else None,
            strips=draw_help_strips(record["help_strips"]),
            strip_cautions=gathered({"strips": record["help_strips"]}, name="cautions")[:OWN_CAUTIONS],
            pairs=pairs,
            speed_scale=draw_speed_scale() if any(pair["pictures"] for pair in pairs) else None,
            layout=laid,
            layout_links=() if laid is None else links_to(laid["files"], folder=folder),
            parts=() if laid is None else _parts(laid["vanes"]),
            labels=() if laid is None else _labels(laid["vanes"]),
            first_cautions=gathered(prediction, name="cautions"),
            cautions=gathered(prediction, opinion, layout, flights, name="cautions"),
            warnings=gathered(prediction, opinion, layout, name="warnings"),
            sources=_described(used),
        )
    )


def environment() -> Environment:
    """Return the templates of this package: a name that they do not know is an error, never a blank."""
    found = Environment(
        loader=PackageLoader("slowflight.report", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters.update(FILTERS)
    return found


def _limits(record: Record) -> list[str]:
    """Return what stops the aircraft first, for each flap setting that names it."""
    return [
        f"Flap {FILTERS['flap'](setting['flap_deg'])}: first limit is the {setting['binding_limit']}."
        if setting["binding_limit"] in LIMITS
        else f"Flap {FILTERS['flap'](setting['flap_deg'])}: first limit: {setting['binding_limit']}."
        for setting in record["settings"]
        if setting["predicted"] and setting["binding_limit"]
    ]


def _drawn_setting(setting: Record, *, marks: list[Record]) -> Record:
    tables, best = setting["gain_tables"], setting["best"]
    limit = full_range(tables)
    chosen = next((index for index, table in enumerate(tables) if _is_of(best, table)), 0)
    # The chosen candidate and height stands large; every other follows small, on the same color scale.
    return {
        "record": setting,
        "map": draw_gain_map(
            tables[chosen],
            limit=limit,
            marks=marks,
            best_station=best["station"] if _is_of(best, tables[chosen]) else None,
        )
        if tables
        else None,
        "map_of": tables[chosen] if tables else None,
        "other_maps": [
            (table, draw_gain_map(table, limit=limit, marks=marks, small=True))
            for index, table in enumerate(tables)
            if index != chosen
        ],
        "fall": draw_against_station(setting, what="fall") if tables else None,
        "cruise": draw_against_station(setting, what="cruise_loss") if tables else None,
        "lift": draw_lift(setting, marks=marks) if setting["clean"] or setting["vanes"] else None,
        "speed": draw_speed(setting, marks=marks) if setting["clean"] or setting["vanes"] else None,
    }


def _is_of(row: Record | None, table: Record) -> bool:
    return row is not None and (row["candidate"], row["height_mm"]) == (
        table["candidate"],
        table["height_mm"],
    )


def _drawn_pair(picture: Record, *, fields: Mapping[str, Path]) -> Record:
    drawn: tuple[Picture, Picture] | None = None
    trouble = ""
    try:
        clean, vanes = (read_field(_place(picture[side]["field"], fields)) for side in ("clean", "vanes"))
        drawn = draw_pair(picture, clean=clean, vanes=vanes)
    except InputError as error:
        # The numbers of the pair still stand, so the page says which picture is missing and goes on.
        trouble = str(error)
    return {"record": picture, "pictures": drawn, "trouble": trouble}


def _place(name: str | None, fields: Mapping[str, Path]) -> Path:
    if name is None or name not in fields:
        raise InputError(
            where="flow picture",
            found="no field" if name is None else f"no field {name!r}",
            needed="the field's file",
        )
    return Path(fields[name])


def _parts(vanes: Iterable[Record]) -> list[tuple[str, int]]:
    """Count pieces by side and hand, in the order of the record."""
    counted = Counter((vane["side"], vane["hand"]) for vane in vanes)
    return [
        (f"{side or 'unnamed'} wing" + (f", hand {hand}" if hand else ""), count)
        for (side, hand), count in counted.items()
    ]


def _labels(vanes: Iterable[Record]) -> list[str]:
    """Return each vane's label as the sheet prints it, ``R12``; without numbers, counted along its side."""
    counted: Counter[str] = Counter()
    labels = []
    for vane in vanes:
        side = str(vane["side"] or "?")
        counted[side] += 1
        labels.append(f"{side[0].upper()}{counted[side] if vane['number'] is None else vane['number']}")
    return labels


def _described(keys: Iterable[str]) -> list[str]:
    known = bibliography()
    return [
        describe_all([key])[0] if key in known else f"{key} (not in this version's bibliography)"
        for key in keys
    ]
