"""Which code computed a result: part of every case's key, so that no other code's result is taken for it."""

from __future__ import annotations

import ast
import hashlib
from collections.abc import Iterator
from functools import lru_cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from slowflight import __version__

PACKAGE = Path(__file__).parents[1]
# What a result can depend on. Rooms above only choose cases and judge results.
# The strip's code lies in compare and writes cautions into its result.
ROOMS = ("air.py", "units.py", "wing", "flow", "compare/help_strip.py", "compare/cautions.py")
CASES = "study/*_case.py"
LIBRARIES = ("numpy", "scipy", "numba")


@lru_cache(maxsize=1)
def code_version() -> dict[str, str]:
    """Return slowflight's version, a hash of the code that computes, and the versions of its libraries.

    Returns
    -------
    dict of str
        ``slowflight``, ``code`` and one entry per numerical library. Comments, docstrings and layout of the
        code make no difference; anything else does, whether or not the version was raised.
    """
    return {
        "slowflight": __version__,
        "code": code_hash(PACKAGE),
        **{name: _installed(name) for name in LIBRARIES},
    }


def code_hash(package: Path) -> str:
    """Hash of the files that compute, in a copy of the package.

    Parameters
    ----------
    package : Path
        The folder ``slowflight``.

    Returns
    -------
    str
    """
    digest = hashlib.sha256()
    for path in _files(package):
        content = path.read_bytes()
        meaning = _meaning(content) if path.suffix == ".py" else content
        digest.update(f"{path.relative_to(package).as_posix()}\0{len(meaning)}\0".encode() + meaning)
    return digest.hexdigest()[:24]


def _files(package: Path) -> Iterator[Path]:
    for room in ROOMS:
        place = package / room
        found = [place] if place.is_file() else place.rglob("*")
        yield from sorted(path for path in found if path.is_file() and path.suffix != ".pyc")
    yield from sorted(package.glob(CASES))


def _meaning(content: bytes) -> bytes:
    """The program without comments, layout and docstrings."""
    tree = ast.parse(content)
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            first = node.body[0] if node.body else None
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                node.body = node.body[1:]
    return ast.dump(tree).encode()


def _installed(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "unknown"
