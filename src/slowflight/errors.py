"""The errors slowflight raises on purpose, drawn as one tree.

    SlowflightError
    |-- InputError            what the owner gave cannot be used (exit code 2)
    |   |-- UnitError         a quantity without a unit, or with the wrong one
    |   |-- SectionError      an airfoil that is no airfoil
    |   `-- RangeError        a number outside what is physically sensible
    |-- Unconverged           a requested point has no answer (exit code 3)
    `-- Interrupted           stopped by the owner; what was done is kept (exit code 130)

Every message is one line that says where the trouble is, what was found, what is needed and what to change.
"""

from __future__ import annotations


class SlowflightError(Exception):
    """Base of every error that slowflight raises on purpose."""

    exit_code = 1


class InputError(SlowflightError):
    """Something the owner gave cannot be used.

    Parameters
    ----------
    where : str
        File, file and line, option or field: whatever the owner has to open to mend it.
    found : str
        What was found there.
    needed : str
        What is needed there.
    fix : str, optional
        What to change, when it is more than supplying what is needed.
    """

    exit_code = 2

    def __init__(self, *, where: str, found: str, needed: str, fix: str = "") -> None:
        self.where = where
        self.found = found
        self.needed = needed
        self.fix = fix
        text = f"{where}: found {found}; needs {needed}"
        if fix:
            text += f"; {fix}"
        super().__init__(" ".join(text.split()))


class UnitError(InputError):
    """A quantity came without a unit, or with a unit of the wrong kind."""


class SectionError(InputError):
    """The points given do not make an airfoil."""


class RangeError(InputError):
    """A number is outside what is physically sensible."""


class Unconverged(SlowflightError):
    """A requested point has no converged answer; what was computed is written and marked."""

    exit_code = 3


class Interrupted(SlowflightError):
    """Stopped by the owner; everything finished so far is kept."""

    exit_code = 130


def library_missing(what: str, *, library: str | None, extra: str) -> SlowflightError:
    """Return the error of a part whose library is not installed.

    Parameters
    ----------
    what : str
        The command that needs it.
    library : str or None
        Its name, as an import error has it.
    extra : str
        Of slowflight, that brings it.
    """
    return SlowflightError(
        f"{what}: the library {library!r} is not installed; install slowflight with its extra:"
        f" pip install 'slowflight[{extra}]'"
    )
