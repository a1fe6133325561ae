"""One table of wing.toml being read: answers, what stands in where there is none, and what to check."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NoReturn

from slowflight.errors import InputError
from slowflight.wing.assumption import Assumption
from slowflight.wing.quantity import Kind, read_quantity
from slowflight.wing.tomlfile import Table

UNKNOWN = ("unknown", "?", "")
# Further ways to say of a record that it does not exist.
NO_RECORD = (*UNKNOWN, "none", "no", "not yet", "not recorded", "nothing", "todo", "to do", "tbd", "n/a", "-")


@dataclass(frozen=True)
class StandIn:
    """What stands in where the owner did not say.

    Parameters
    ----------
    value : str
        As an owner would write it.
    why : str
        Why this, and how much it is worth.
    """

    value: str
    why: str


@dataclass
class Notebook:
    """What is noted while a file is read.

    Parameters
    ----------
    assumptions : list of Assumption
    cautions : list of str
    ranges : dict of str to (float, float)
        By key [SI].
    """

    assumptions: list[Assumption] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)
    ranges: dict[str, tuple[float, float]] = field(default_factory=dict)

    def assume(self, key: str, stand_in: StandIn) -> None:
        """Note what stands in for a key."""
        self.assumptions.append(Assumption(field=key, value=stand_in.value, why=stand_in.why))


class Answers:
    """A table of wing.toml.

    Parameters
    ----------
    values : object
        The table as the TOML library gives it; anything else is refused.
    where : str
        File and table, for messages.
    key : str
        The table as `set_value` takes it.
    notebook : Notebook
        Where assumptions, cautions and ranges go.

    Raises
    ------
    InputError
        Where `values` is no table.
    """

    def __init__(self, values: object, *, where: str, key: str, notebook: Notebook) -> None:
        self.table = Table(values, where=where)
        self.where, self.key, self.notebook = where, key, notebook
        self._written = frozenset(values) if isinstance(values, dict) else frozenset()

    def holds(self, key: str) -> bool:
        """Tell whether a key is there, without counting it as known."""
        return key in self._written

    def given(self, key: str) -> bool:
        """Tell whether the owner knows a value, and count the key as known."""
        return self.table.has(key) and not _is_unknown(self.table.value(key, needed="a value"))

    def quantity(
        self,
        key: str,
        kind: Kind,
        low: str,
        high: str,
        *,
        stand_in: StandIn | None = None,
        ranged: bool = False,
        smallest: str = "",
    ) -> float:
        """Return a quantity.

        Parameters
        ----------
        key : str
            Which one.
        kind : Kind
            What it is.
        low, high : str
            Limits of what makes sense, as an owner would write them.
        stand_in : StandIn, optional
            For a value that is missing or unknown; without one, that is an error.
        ranged : bool, optional
            Whether a range is allowed; its middle is returned and noted.
        smallest : str, optional
            Below this size a value other than zero is a slip.

        Returns
        -------
        float
            [SI].

        Raises
        ------
        InputError
            Where a required value is missing or unknown.
        UnitError, RangeError
            As for `read_quantity`.
        """
        where = self.table.field(key)
        if not self.given(key):
            if stand_in is None:
                self._refuse_missing(key, needed=kind.example)
            self.notebook.assume(f"{self.key}.{key}", stand_in)
            return kind.read(stand_in.value, where=where)
        text = self.table.value(key, needed=kind.example)
        found = read_quantity(text, kind, low=low, high=high, where=where, ranged=ranged, smallest=smallest)
        if found.low < found.high:
            self.notebook.ranges[f"{self.key}.{key}"] = (found.low, found.high)
            self.notebook.assume(
                f"{self.key}.{key}",
                StandIn(_middle_shown(text, kind, found.value), f"the middle of the range given, {text}"),
            )
        return found.value

    def choice(self, key: str, options: tuple[str, ...], *, stand_in: StandIn | None = None) -> str:
        """Return one of some words; InputError where it is none of them, or missing without a stand-in."""
        if not self.given(key):
            if stand_in is None:
                self._refuse_missing(key, needed="one of " + ", ".join(f'"{option}"' for option in options))
            self.notebook.assume(f"{self.key}.{key}", stand_in)
            return stand_in.value
        return self.table.choice(key, options)

    def words(self, key: str) -> str | None:
        """Return free text on one line, None where there is none; InputError where it is no text."""
        if not self.given(key):
            return None
        found = self.table.value(key, needed="words in quotes")
        if not isinstance(found, str):
            raise InputError(
                where=self.table.field(key), found=repr(found), needed="words in quotes", fix='or "unknown"'
            )
        return " ".join(found.split())

    def record(self, key: str) -> str | None:
        """Return free text that says where something is recorded; None also for "none", "not yet", "no"."""
        found = self.words(key)
        return None if found is None or found.lower().strip(" .!") in NO_RECORD else found

    def listed(self, key: str, *, needed: str) -> list[object] | None:
        """Return a list, None where it is missing or unknown; InputError where it is none or empty."""
        if not self.given(key):
            return None
        found = self.table.value(key, needed=needed)
        if not isinstance(found, list) or not found:
            raise InputError(where=self.table.field(key), found=repr(found), needed=needed)
        return found

    def finish(self) -> None:
        """Refuse every key that was not asked for; InputError with the nearest known one."""
        self.table.finish()

    def _refuse_missing(self, key: str, *, needed: str) -> NoReturn:
        found = self.table.value(key, needed=needed)  # refuses a key that is missing
        raise InputError(
            where=self.table.field(key),
            found=repr(found),
            needed=needed,
            fix="nothing can stand in for this one: measure it",
        )


def _is_unknown(value: object) -> bool:
    return isinstance(value, str) and value.strip().lower() in UNKNOWN


def _middle_shown(text: object, kind: Kind, value: float) -> str:
    """The middle of a range, in the unit its upper end is written in."""
    written = str(text).split()[-1].lower()
    for unit, size in kind.sizes.items():
        if written.endswith(unit.lower()) and not written[: -len(unit)].strip("0123456789./-–"):
            return f"{value / size:.6g} {unit}"
    unit, size = next(iter(kind.sizes.items()), ("", 1.0))
    return f"{value / size:.6g} {unit}"
