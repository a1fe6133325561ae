"""The errors of a tier as they came with the package, for bands that cannot wait for a run of the library.

The files under ``recorded`` are written from such a run by ``docs/evidence_page.py``; a test fails when they
fall behind the code.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import fields
from importlib.resources import files

from slowflight.compare.evidence.case import TIERS
from slowflight.compare.evidence.record import SORTS, CaseError
from slowflight.errors import InputError

COLUMNS = tuple(field.name for field in fields(CaseError))
DIGITS = 4
_NUMBERS = ("reynolds", *SORTS)


def recorded_errors(*, tier: str) -> tuple[CaseError, ...]:
    """Return the errors on record of a tier.

    Parameters
    ----------
    tier : str
        ``"integral"``, ``"rans"`` or ``"slab"``.

    Returns
    -------
    tuple of CaseError
        As `error_record` gives them, rounded; empty for a tier without a record.

    Raises
    ------
    InputError
        For an unknown tier.
    """
    if tier not in TIERS:
        raise InputError(where="tier", found=repr(tier), needed=f"one of {', '.join(TIERS)}")
    file = files("slowflight.compare.evidence") / "recorded" / f"{tier}.csv"
    return read_errors(file.read_text(encoding="utf-8")) if file.is_file() else ()


def read_errors(text: str) -> tuple[CaseError, ...]:
    """Read errors from the text that `errors_text` wrote."""
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return tuple(
        CaseError(**{name: _value(name, row[name]) for name in COLUMNS})  # type: ignore[arg-type]
        for row in rows
    )


def errors_text(errors: Iterable[CaseError]) -> str:
    """Write errors as the text of a file, shares and degrees to four digits behind the point."""
    stream = io.StringIO()
    stream.write("# Predicted over published less one; stall_angle: predicted less published, in degrees.\n")
    stream.write("# Written by docs/evidence_page.py from a run of the published cases.\n")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS)
    for error in errors:
        writer.writerow([_text(name, getattr(error, name)) for name in COLUMNS])
    return stream.getvalue()


def _value(name: str, text: str) -> str | float | None:
    if text == "":
        return None
    return float(text) if name in _NUMBERS else text


def _text(name: str, value: str | float | None) -> str:
    if value is None:
        return ""
    return f"{value:.{DIGITS}f}" if name in SORTS else f"{value:g}" if name == "reynolds" else str(value)
