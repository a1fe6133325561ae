"""A file that answers change at the desk: whole or not at all, with steps back, safe from a second page."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from slowflight.desk.runs import FOLDER
from slowflight.errors import InputError

MARK = 16  # hexadecimal digits that tell one version from another
NONE = "none"


@dataclass(frozen=True, kw_only=True)
class KeptFile:
    """A file of the project with its history.

    Parameters
    ----------
    folder : Path
        The project.
    place : str
        Of the file in it, such as ``"flights/flights.toml"``.
    history : str
        Name of the folder of older ones, in the desk's own.
    check : callable
        Reads a draft of the file and raises InputError where it cannot be used.
    """

    folder: Path
    place: str
    history: str
    check: Callable[[Path], object]

    @property
    def path(self) -> Path:
        """The file itself."""
        return self.folder / self.place

    @property
    def version(self) -> str:
        """What tells this file from any other: two pages must not overwrite each other."""
        try:
            return _mark(self.path.read_bytes())
        except OSError:
            return NONE

    def text(self) -> str:
        """Return what the file says; empty where it is not there."""
        try:
            return self.path.read_text(encoding="utf-8")
        except OSError:
            return ""

    def refuse_other(self, version: str) -> None:
        """Raise InputError where the file is no longer the one that a page was made from."""
        if version != self.version:
            raise InputError(
                where=self.path.name,
                found="a change made elsewhere since this page was opened",
                needed="answers to the file as it is now",
                fix="your answers are below, not saved: compare, then save again",
            )

    def try_text(self, text: str) -> None:
        """Raise InputError where a text cannot stand in the file; nothing is changed."""
        draft = self._draft(text)
        draft.unlink(missing_ok=True)

    def put(self, text: str) -> None:
        """Replace the file; keep the one it replaces.

        Parameters
        ----------
        text : str

        Raises
        ------
        InputError
            Where the text cannot stand in the file, which is then as it was.
        """
        draft = self._draft(text)
        try:
            if self.path.exists():
                room = self.folder / FOLDER / self.history
                room.mkdir(parents=True, exist_ok=True)
                # With its time: after a step back, results made from that very file are not older than it.
                # Its name says what replaced it: whether a step back would undo more than that save.
                name = f"{self.steps + 1:05d}-{_mark(draft.read_bytes())}{self.path.suffix}"
                shutil.copy2(self.path, room / name)
            draft.replace(self.path)
        finally:
            draft.unlink(missing_ok=True)

    @property
    def steps(self) -> int:
        """How many steps back there are."""
        return len(self._older())

    def undo(self) -> bool:
        """Put the last kept file back; False where there is none.

        Raises
        ------
        InputError
            Where the file was changed by other means since the last save here: a step back would undo that
            too.
        """
        older = self._older()
        if not older:
            return False
        _, _, made = older[-1].stem.partition("-")
        if made and made != self.version:
            raise InputError(
                where=self.path.name, found="a change since the last save here, not made by this form",
                needed="the file as that save left it", fix="change the values by hand: a step back loses it",
            )  # fmt: skip
        older[-1].replace(self.path)
        return True

    def step_back(self, version: str) -> str:
        """Undo as a page asks for it, and say what came of it.

        Parameters
        ----------
        version : str
            Of the file that the page was made from.

        Raises
        ------
        InputError
            Where the file has changed since, or as `undo`.
        """
        if version != self.version:
            raise InputError(
                where=self.path.name, found="a change since this page was opened", needed="a look at it first"
            )
        return "One step back." if self.undo() else "There is no step to go back."

    def _older(self) -> list[Path]:
        return sorted((self.folder / FOLDER / self.history).glob(f"[!.]*{self.path.suffix}"))

    def _draft(self, text: str) -> Path:
        # Beside the file: what it names is looked for from there.
        draft = self.path.with_name(f".{self.path.stem}-draft{self.path.suffix}")
        self.path.parent.mkdir(parents=True, exist_ok=True)
        draft.write_text(text, encoding="utf-8")
        try:
            self.check(draft)
        except InputError as error:
            draft.unlink(missing_ok=True)
            # The draft's name means nothing to whoever filled in the form.
            error.args = (str(error).replace(str(draft), self.path.name),)
            raise
        except BaseException:
            draft.unlink(missing_ok=True)
            raise
        return draft


def _mark(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()[:MARK]
