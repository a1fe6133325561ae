"""``slowflight predict``: the clean wing, every row of the question, and a verdict."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.workers import SCHEDULER_HELP, going_on_later, workers_of

FOLDER_HELP = "Project folder, with its wing.toml."


def predict(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    tier: Annotated[
        str, typer.Option(metavar="TIER", help="How to compute; this version has the integral tier only.")
    ] = "integral",
    scheduler: Annotated[str, typer.Option(metavar="WHICH", help=SCHEDULER_HELP)] = "local",
    json: Annotated[bool, typer.Option("--json", help="Print the whole prediction as JSON.")] = False,
) -> None:
    """Whether vanes would let this wing fly slower, and where they would stand.

    Results are kept in DIR/runs: a run that was stopped goes on where it was.
    """
    from slowflight import verbs
    from slowflight.cli.output import print_json
    from slowflight.cli.prediction_output import print_prediction
    from slowflight.cli.progress import Progress

    workers = workers_of(scheduler, cores=verbs.usable_cores())
    with going_on_later(), Progress() as progress:
        record = verbs.predict(folder, tier=tier, workers=workers, on_progress=progress.tell)
    if json:
        print_json(record)
    else:
        used = verbs.describe_sources(record["sources"])
        print_prediction(record, sources=used)
