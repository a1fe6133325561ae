"""Case files: tables of comma-separated values whose header lines start with a hash."""

import csv
from pathlib import Path


def case_rows(path: Path) -> list[dict[str, str]]:
    """Return the rows of a case file, everything as text."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
