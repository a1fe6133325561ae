"""The libraries that only the report needs, asked for before the first page is begun."""

from __future__ import annotations

from importlib.util import find_spec

from slowflight.errors import SlowflightError

NEEDED = ("jinja2", "matplotlib", "numpy")


def require_extras() -> None:
    """Make sure that the report's own libraries are there.

    Raises
    ------
    SlowflightError
        Where one is missing; it names every missing one and the command that brings them.
    """
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        raise SlowflightError(
            f"report: found no {' and no '.join(missing)}; needs the libraries of the extra 'report'; "
            'run: python -m pip install "slowflight[report]"'
        )
