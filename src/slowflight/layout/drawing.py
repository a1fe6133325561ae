"""The door to sheets, drawings and solids, which need libraries that a small installation may lack."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from slowflight.errors import library_missing


def paper_writer() -> Callable[..., list[Path]]:
    """Return `slowflight.layout.paper_set.write_papers`.

    Raises
    ------
    SlowflightError
        Where a library that draws PDF or DXF files is not installed.
    """
    try:
        from slowflight.layout.paper_set import write_papers
    except ModuleNotFoundError as missing:
        raise library_missing("layout", library=missing.name, extra="layout") from None
    return write_papers


def patch_writer() -> Callable[..., list[Path]]:
    """Return `slowflight.layout.paper_set.write_patch_papers`; errors as for `paper_writer`."""
    paper_writer()
    from slowflight.layout.paper_set import write_patch_papers

    return write_patch_papers


def solid_writer() -> Callable[..., list[Path]] | None:
    """Return `slowflight.layout.solids.solid_set.write_solids`, None where its library is not installed."""
    try:
        from slowflight.layout.solids.solid_set import write_solids
    except ModuleNotFoundError:
        return None
    return write_solids
