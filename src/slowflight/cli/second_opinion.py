"""``slowflight second-opinion``: the main question put to the minutes tier too."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.workers import SCHEDULER_HELP, going_on_later, workers_of


def second_opinion(
    folder: Annotated[
        str, typer.Argument(metavar="DIR", help="Project folder with a prediction.", show_default=False)
    ],
    all_rows: Annotated[
        bool,
        typer.Option(
            "--all-rows",
            help="The sceptic's question whole: rows at 3, 5, 7, 10 and 20 % of chord, two in tandem, twice"
            " as long, the other arrangement.",
        ),
    ] = False,
    stations: Annotated[
        str, typer.Option(metavar="LIST", help="Further places of the row, in percent of chord.")
    ] = "",
    grid_bands: Annotated[
        bool,
        typer.Option(
            "--grid-bands",
            help="Compute the prediction's row on three grids near the clean section's largest lift: how far"
            " its gain is open.",
        ),
    ] = False,
    grid: Annotated[
        str, typer.Option(metavar="SIZE", help="Grid of the rans tier: preview, medium, default or fine.")
    ] = "preview",
    scheduler: Annotated[str, typer.Option(metavar="WHICH", help=SCHEDULER_HELP)] = "local",
    json: Annotated[bool, typer.Option("--json", help="Print the whole record as JSON.")] = False,
) -> None:
    """What the minutes tier says of the prediction: the same wing, flap settings and rows by both tiers.

    Each lift curve is kept in DIR/runs: a run that was stopped goes on where it was.
    """
    from slowflight import verbs
    from slowflight.cli.output import print_json
    from slowflight.cli.progress import Progress
    from slowflight.cli.second_opinion_output import print_second_opinion

    workers = workers_of(scheduler, cores=verbs.usable_cores())
    places = verbs.stations_from(stations, where="--stations")
    with going_on_later(), Progress() as progress:
        record = verbs.second_opinion(
            folder,
            every_row=all_rows,
            stations=places,
            bands=grid_bands,
            grid=grid,
            workers=workers,
            on_progress=progress.tell,
        )
    if json:
        print_json(record)
    else:
        used = verbs.describe_sources(record["sources"])
        print_second_opinion(record, sources=used)
