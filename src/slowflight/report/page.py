"""Write the report: one page that needs nothing beside it."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from slowflight.report.extras import require_extras
from slowflight.report.written_page import write_page

NAME = "index.html"


def write_report(
    *,
    prediction: Mapping[str, Any],
    layout: Mapping[str, Any] | None,
    fields: Mapping[str, Path],
    folder: Path,
    flights: Mapping[str, Any] | None = None,
    opinion: Mapping[str, Any] | None = None,
) -> Path:
    """Write the report of a prediction as one page with its pictures inside.

    Parameters
    ----------
    prediction : mapping
        The prediction record as saved.
    layout : mapping or None
        The layout record, its ``files`` naming the template; None where nothing is laid out yet.
    fields : mapping of str to Path
        Where each flow field named in the record is.
    folder : Path
        Made where missing; the page is ``index.html`` in it and replaces an older one as a whole.
    flights : mapping, optional
        The record of the flights as saved; None where nothing was flown yet.
    opinion : mapping, optional
        The second opinion as saved, with ``old``: why it no longer belongs to the prediction, in words; None
        where the minutes tier was not asked.

    Returns
    -------
    Path
        The page.

    Raises
    ------
    InputError
        Where the record is no prediction, or has no aircraft or verdict.
    SlowflightError
        Where the report's own libraries are not installed, or the page cannot be written.
    """
    require_extras()
    # Only now: these need the libraries just asked for, and everything else must run without them.
    from slowflight.report.render import page_text

    text = page_text(
        prediction=prediction, layout=layout, fields=fields, folder=folder, flights=flights, opinion=opinion
    )
    return write_page(text, folder / NAME, what="report")
