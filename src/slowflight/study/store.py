"""Results on disk, one self-describing file each, named by what they were computed from."""

from __future__ import annotations

import contextlib
import os
import tempfile
import time
from pathlib import Path

from slowflight.errors import InputError

PART = ".part"  # ending of a file that is being written; its name begins with a dot
PART_IS_OLD = 600.0  # nobody is still writing it then [s]
SET_ASIDE = "set-aside"


class RunStore:
    """The ``runs`` folder of a project.

    One process writes; what others compute is handed to it.

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
        """Write a content under a key; whole or not at all, also where the power fails meanwhile.

        Raises
        ------
        InputError
            Where the folder cannot be written.
        """
        target = self.path(key, suffix=suffix)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            handle, name = tempfile.mkstemp(dir=self.folder, prefix=".", suffix=PART)
            try:
                with os.fdopen(handle, "wb") as stream:
                    stream.write(content)
                    stream.flush()
                    # Some file systems would otherwise keep the new name and lose the content.
                    os.fsync(stream.fileno())
                Path(name).replace(target)
            except BaseException:
                with contextlib.suppress(OSError):
                    Path(name).unlink()
                raise
        except OSError as error:
            raise self._cannot_write(error) from None
        return target

    def set_aside(self, key: str, *, suffix: str) -> Path:
        """Move a file that is not what its name says out of the way; nothing is overwritten or thrown away.

        Returns
        -------
        Path
            Where it is now.

        Raises
        ------
        InputError
            Where the folder cannot be written.
        """
        source, aside = self.path(key, suffix=suffix), self.folder / SET_ASIDE
        try:
            aside.mkdir(exist_ok=True)
            number = 1
            while (target := aside / f"{key}-{number}{suffix}").exists():
                number += 1
            source.rename(target)
        except OSError as error:
            raise self._cannot_write(error) from None
        return target

    def sweep(self) -> None:
        """Remove what a process left half written that was killed while writing."""
        for path in self.folder.glob(f".*{PART}"):
            with contextlib.suppress(OSError):
                if time.time() - path.stat().st_mtime > PART_IS_OLD:
                    path.unlink()

    def _cannot_write(self, error: OSError) -> InputError:
        return InputError(
            where=str(self.folder),
            found=f"a folder that cannot be written ({error.strerror or error})",
            needed="a folder to keep results in",
            fix="free some space, or choose another folder",
        )
