"""``slowflight pack`` and ``slowflight unpack``: a project as one file."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP


def pack(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    file: Annotated[
        str | None,
        typer.Option("--out", metavar="FILE", help="Where to write; beside DIR where it is not given."),
    ] = None,
    logs: Annotated[
        bool,
        typer.Option("--logs/--no-logs", help="With flight logs, which tell where and when you flew."),
    ] = True,
) -> None:
    """Put a project into one zip file, to keep or to send.

    In it are wing.toml, the prediction, layout, flights and report, with cautions to read first. This
    aircraft only, owner-measured, not approved.
    """
    from slowflight import verbs

    made = verbs.pack(folder, file, logs=logs)
    typer.echo(f"{made['file']}: {made['count']} files, {made['bytes'] / 1e6:.1f} MB")
    if made["logs"]:
        typer.echo("Flight logs are in it: they tell where and when you flew; --no-logs leaves them out.")
    for name in made["outside"]:
        typer.echo(f"Not in it, because it lies outside the folder or is of another kind: {name}")


def unpack(
    file: Annotated[
        str, typer.Argument(metavar="FILE", help="As 'slowflight pack' wrote it.", show_default=False)
    ],
    folder: Annotated[
        str, typer.Argument(metavar="DIR", help="New or empty folder to open it in.", show_default=False)
    ],
) -> None:
    """Open a project that came as one file.

    Nothing is overwritten. What was predicted in it was computed elsewhere: predict again before you believe
    it.
    """
    from slowflight import verbs

    made = verbs.unpack(file, folder)
    typer.echo(f"{made['folder']}: {made['count']} files. Look at it with: slowflight desk {made['folder']}")
