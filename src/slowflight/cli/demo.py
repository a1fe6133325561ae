"""``slowflight demo``: the whole job on an invented aircraft."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.workers import going_on_later


def demo(
    folder: Annotated[
        str,
        typer.Argument(
            metavar="DIR", help="New folder, or one of an earlier demo to go on with.", show_default=False
        ),
    ],
) -> None:
    """Do the whole job on an invented aircraft: predict, lay out, report.

    DIR gets a filled-in wing.toml to copy, the results, templates for the wing, and the report.
    """
    from slowflight import verbs
    from slowflight.cli.prediction_output import print_demo
    from slowflight.cli.progress import Progress

    with going_on_later(), Progress() as progress:
        made = verbs.demo(folder, workers=verbs.usable_cores(), on_progress=progress.tell)
    print_demo(made)
