"""Results on disk, one self-describing file each, named by what they were computed from."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from slowflight.errors import InputError


class RunStore:
    """The ``runs`` folder of a project.

    Parameters
    ----------
    folder : Path
        Made when the first result is kept.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def path(self, key: str, *, suffix: str) -> Path:
        """Where a result is, or would be."""
        return self.folder / f"{key}{suffix}"

    def read(self, key: str, *, suffix: str) -> bytes | None:
        """Return the content kept under a key, or ``None``."""
        try:
            return self.path(key, suffix=suffix).read_bytes()
        except OSError:
            return None

    def keep(self, key: str, content: bytes, *, suffix: str) -> Path:
        """Write a content under a key; whole or not at all.

        Raises
        ------
        InputError
            Where the folder cannot be written.
        """
        target = self.path(key, suffix=suffix)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self.folder, prefix=".", suffix=".part")
            try:
                with os.fdopen(handle, "wb") as stream:
                    stream.write(content)
                Path(name).replace(target)
            except BaseException:
                with contextlib.suppress(OSError):
                    Path(name).unlink()
                raise
        except OSError as error:
            raise InputError(
                where=str(self.folder),
                found=f"a folder that cannot be written ({error.strerror or error})",
                needed="a folder to keep results in",
                fix="free some space, or choose another folder",
            ) from None
        return target
