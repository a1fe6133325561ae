"""``slowflight report``: one page of what was predicted and laid out."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP


def report(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    pdf: Annotated[
        bool, typer.Option("--pdf", help="Print it as DIR/share/report.pdf too, by a browser installed here.")
    ] = False,
) -> None:
    """Write the last prediction and layout as one page to read, print and send.

    The page is DIR/report/index.html; it needs nothing beside it and no network.
    """
    from slowflight import verbs

    if not pdf:
        typer.echo(str(verbs.report(folder)))
        return
    made = verbs.report_pdf(folder)
    typer.echo(f"{made['folder']}/{made['files'][0]}")
