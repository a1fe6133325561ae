"""``slowflight desk``: the whole job in a browser on one's own machine."""

from __future__ import annotations

import sys
from typing import Annotated

import typer


def desk(
    folder: Annotated[
        str,
        typer.Argument(
            metavar="DIR", help="Project folder; an empty or new one begins a project.", show_default=False
        ),
    ],
    port: Annotated[int, typer.Option(metavar="N", help="Port to listen on; 0 takes a free one.")] = 0,
    browser: Annotated[bool, typer.Option("--browser/--no-browser", help="Open the page at once.")] = True,
) -> None:
    """Work in a browser: the wing, the question, the prediction, the layout, the flights, the decision.

    The desk answers on this machine only, to whoever has the address it prints. Nothing leaves the machine.
    """
    from slowflight.desk.serve import serve

    def told(address: str) -> None:
        typer.echo(
            f"The desk is at {address}\nIt answers on this machine only. Ctrl-C closes it; runs go on."
        )
        sys.stdout.flush()

    serve(folder, port=port, browser=browser, on_open=told)
