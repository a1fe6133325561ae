"""``slowflight evidence``: published cases through a tier, predicted beside measured."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.workers import SCHEDULER_HELP, workers_of
from slowflight.errors import Interrupted, Unconverged


def evidence(
    tier: Annotated[
        str, typer.Option(metavar="TIER", help="How to compute; this version has the integral tier only.")
    ] = "integral",
    scheduler: Annotated[str, typer.Option(metavar="WHICH", help=SCHEDULER_HELP)] = "local",
    results: Annotated[
        str | None,
        typer.Option(metavar="DIR", help="Folder for the runs; this user's cache where it is not given."),
    ] = None,
    plot: Annotated[
        str | None,
        typer.Option(
            metavar="FILE", help="Draw predicted against measured maximum lift; .svg, .png or .pdf."
        ),
    ] = None,
    json: Annotated[bool, typer.Option("--json", help="Print every case as JSON instead of tables.")] = False,
) -> None:
    """How far the tool was off on every published case it can compute.

    Runs are kept: a second time, only cases that have changed are computed.
    """
    from slowflight import verbs
    from slowflight.cli.evidence_output import print_evidence
    from slowflight.cli.output import print_json
    from slowflight.cli.progress import Progress

    workers = workers_of(scheduler, cores=verbs.usable_cores())
    picture = None if plot is None else verbs.check_plot(plot)
    try:
        with Progress() as progress:
            found = verbs.evidence(tier=tier, workers=workers, results=results, on_progress=progress.tell)
    except KeyboardInterrupt:
        raise Interrupted(
            "interrupted; what was finished is kept, the same command goes on from there"
        ) from None
    if picture is not None:
        verbs.plot_evidence(found, picture)
    record = found.record()
    if json:
        print_json(record)
    else:
        keys = record["sources"]
        texts = dict(zip(keys, verbs.describe_sources(keys), strict=True))
        print_evidence(record, sources=texts)
    if found.unanswered:
        shown = "; ".join(found.unanswered[:4]) + ("; ..." if len(found.unanswered) > 4 else "")
        raise Unconverged(f"{len(found.unanswered)} numbers have no converged answer and are marked: {shown}")
