"""``slowflight measure``: what the wing really is, by camera, feeler gauge, calipers and rule."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP
from slowflight.errors import InputError

KINDS = "sheets, photo, gauge or hinge"


def measure(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    what: Annotated[
        str,
        typer.Argument(
            metavar="WHAT",
            help="sheets: cards and forms to print. photo, gauge, hinge: add FILE.",
            show_default=False,
        ),
    ],
    file: Annotated[
        str,
        typer.Argument(metavar="FILE", help="Photograph, or table of readings.", show_default=False),
    ] = "",
    chord: Annotated[
        str | None, typer.Option(metavar="LENGTH", help='For photo: by tape, such as "1370 mm".')
    ] = None,
    station: Annotated[
        int, typer.Option(metavar="N", help="For sheets and gauge: which [[wing.section]], from 1.")
    ] = 1,
    bolt: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="For hinge: axis behind the flap's nose, where known."),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Measure the wing at home: sheets to print, a rib's photograph, gauge readings, a flap's hinge.

    Everything written goes into DIR/measure; wing.toml is never changed.
    """
    from slowflight import verbs
    from slowflight.cli.fitting_output import print_measured
    from slowflight.cli.output import print_json

    if what not in ("sheets", "photo", "gauge", "hinge"):
        raise InputError(where="WHAT", found=repr(what), needed=KINDS)
    if what != "sheets" and not file:
        raise InputError(
            where=f"measure {what}", found="no FILE", needed="a photograph or a table of readings"
        )
    if what == "sheets":
        record = verbs.measuring_sheets(folder, station=station)
    elif what == "photo":
        if chord is None:
            raise InputError(
                where="--chord", found="none", needed='the chord by tape, such as --chord "1370 mm"'
            )
        record = verbs.measure_photo(folder, file, chord=chord)
    elif what == "gauge":
        record = verbs.measure_gauge(folder, file, station=station)
    else:
        record = verbs.measure_hinge(folder, file, bolt=bolt)
    if json:
        print_json(record)
    else:
        print_measured(record)
