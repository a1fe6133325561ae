"""``slowflight installed``: what is really on the wing, typed back in."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP


def installed(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    form: Annotated[
        str,
        typer.Argument(
            metavar="FORM", help="Completed copy of DIR/layout/installed-form.csv.", show_default=False
        ),
    ],
    json: Annotated[bool, typer.Option("--json", help="Print everything as JSON.")] = False,
) -> None:
    """Compare what was bonded with what was laid out, and left with right.

    Draws every deviation, says what the mean shift changes in the prediction, and that the next test card
    has to wait where the wings differ.
    """
    from slowflight import verbs
    from slowflight.cli.fitting_output import print_installed
    from slowflight.cli.output import print_json

    record = verbs.installed(folder, form)
    if json:
        print_json(record)
    else:
        print_installed(record)
