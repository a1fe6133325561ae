"""``slowflight clip``: moving pictures to show."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP
from slowflight.errors import InputError


def clip(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    flap: Annotated[
        str | None,
        typer.Option(
            metavar="ANGLE", help='Flap setting, such as "31 deg"; the first where it is not given.'
        ),
    ] = None,
    before: Annotated[
        str | None, typer.Option(metavar="FILE", help="Your film before; with --after instead of the sweep.")
    ] = None,
    after: Annotated[str | None, typer.Option(metavar="FILE", help="Your film with the row.")] = None,
    before_from: Annotated[float, typer.Option(metavar="S", help="Where in it to begin, in seconds.")] = 0.0,
    after_from: Annotated[float, typer.Option(metavar="S", help="Where in it to begin, in seconds.")] = 0.0,
    seconds: Annotated[float, typer.Option(metavar="S", help="How much of your films, 15 at most.")] = 15.0,
) -> None:
    """Make a clip to show: the angle sweep with and without vanes, or your own two films side by side.

    Wide and upright, as GIF, and as MP4 where the extra 'video' is installed; numbers and cautions are burnt
    in. This aircraft only, owner-measured, not approved.
    """
    from slowflight import verbs

    if before is None and after is None:
        made = verbs.sweep_clip(folder, flap=flap)
    elif before is None or after is None:
        raise InputError(where="--before, --after", found="one film", needed="two, or none for the sweep")
    else:
        made = verbs.film_clip(
            folder, before, after,
            before_from=before_from, after_from=after_from, seconds=seconds, flap=flap,
        )  # fmt: skip
    for name in made["files"]:
        typer.echo(f"{made['folder']}/{name}")
