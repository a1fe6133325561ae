"""The door to the templates, which need a drawing library that a small installation may lack."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from slowflight.errors import SlowflightError


def template_writer() -> Callable[..., Path]:
    """Return `slowflight.layout.template.write_template`.

    Raises
    ------
    SlowflightError
        Where the library that draws PDF files is not installed.
    """
    try:
        from slowflight.layout.template import write_template
    except ModuleNotFoundError as missing:
        raise SlowflightError(
            f"layout: the library {missing.name!r} is not installed; templates need it; install"
            " slowflight with its extra: pip install 'slowflight[layout]'"
        ) from None
    return write_template
