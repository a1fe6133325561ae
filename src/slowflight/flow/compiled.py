"""The one decorator for compiled kernels, and where their machine code is kept.

Compiled code is cached under a folder named by the content of all kernel files, for this whole process.
Numba by itself checks only the file a kernel stands in: a kernel that calls one in another file would go on
running the old one after an update. Who sets ``NUMBA_CACHE_DIR`` takes that on: the folder is then theirs,
and has to be emptied after an update. Folders of earlier versions are not cleared.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path

import numba
from numba import njit
from numba.core import config
from platformdirs import user_cache_path


@lru_cache(maxsize=1)
def content_key() -> str:
    """Hash of the code of this room and of numba's version: results of other code have another key."""
    digest = hashlib.sha256(numba.__version__.encode())
    for file in sorted(Path(__file__).parent.rglob("*.py")):
        digest.update(file.read_bytes())
    return digest.hexdigest()[:16]


if not os.environ.get("NUMBA_CACHE_DIR"):
    vars(config)["CACHE_DIR"] = str(
        user_cache_path("slowflight", appauthor=False) / "kernels" / content_key()
    )

kernel = njit(cache=True, error_model="numpy", fastmath={"contract", "arcp", "nsz", "reassoc"})
"""Compile on first call, keep on disk; a division by zero gives infinity, which the solvers check for. Sums
may be taken in another order and divisions become products (half as fast again), so that processes that
compiled for themselves agree to round-off and not to the last bit; infinities and not-a-numbers stay what
they are."""


@contextmanager
def interruptible() -> Iterator[None]:
    """Let Ctrl-C through as what it is: inside a compiled kernel it comes out as a SystemError about it."""
    try:
        yield
    except SystemError as error:
        cause: BaseException | None = error
        while cause is not None:
            if isinstance(cause, KeyboardInterrupt):
                raise KeyboardInterrupt from None
            cause = cause.__cause__
        raise
