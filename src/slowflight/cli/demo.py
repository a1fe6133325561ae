"""``slowflight demo``: the whole job on an invented aircraft."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.workers import SCHEDULER_HELP, going_on_later, workers_of


def demo(
    folder: Annotated[
        str,
        typer.Argument(
            metavar="DIR", help="New folder, or one of an earlier demo to go on with.", show_default=False
        ),
    ],
    scheduler: Annotated[str, typer.Option(metavar="WHICH", help=SCHEDULER_HELP)] = "local",
) -> None:
    """Do the whole job on an invented aircraft: predict, lay out, fly, report.

    DIR gets a filled-in wing.toml to copy, the results, templates for the wing, invented flights, and the
    report.
    """
    from slowflight import verbs
    from slowflight.cli.fly_output import print_demo_flights
    from slowflight.cli.prediction_output import print_demo
    from slowflight.cli.progress import Progress

    workers = workers_of(scheduler, cores=verbs.usable_cores())
    with going_on_later(), Progress() as progress:
        made = verbs.demo(folder, workers=workers, on_progress=progress.tell)
    print_demo(made)
    print_demo_flights(made.flights)
