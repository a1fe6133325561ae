"""``slowflight figures``: pictures and tables by themselves."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP


def figures(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
) -> None:
    """Write the figures as SVG and PNG, wide and upright, and the tables as CSV; one zip file of all.

    From saved results only, into DIR/share. Each says whether it is predicted or measured. This aircraft
    only, owner-measured, not approved.
    """
    from slowflight import verbs

    made = verbs.figures(folder)
    typer.echo(f"{made['folder']}/{made['files'][-1]}: {len(made['files']) - 1} files")
