"""``slowflight layout``: where each vane stands, and sheets to tape on the wing."""

from __future__ import annotations

from typing import Annotated

import typer

from slowflight.cli.predict import FOLDER_HELP


def layout(
    folder: Annotated[str, typer.Argument(metavar="DIR", help=FOLDER_HELP, show_default=False)],
    json: Annotated[bool, typer.Option("--json", help="Print every vane's place as JSON.")] = False,
) -> None:
    """Lay out the rows of wing.toml, or the best row predicted, on paper.

    Writes templates at exact scale for A4, Letter, A3 and roll paper, the same lines as SVG and DXF, and a
    table of positions into DIR/layout; DIR/fit.toml may say what is in the way. Print at 100 %, and measure
    the check bars before a sheet goes on the wing.
    """
    from slowflight import verbs
    from slowflight.cli.output import print_json
    from slowflight.cli.prediction_output import print_layout

    record = verbs.layout(folder)
    if json:
        print_json(record)
    else:
        print_layout(record)
