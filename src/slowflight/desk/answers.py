"""Answers of a form, put into a TOML file with its remarks kept; one message for each that makes no sense."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from slowflight.desk.kept_file import KeptFile
from slowflight.errors import InputError
from slowflight.wing.toml_edit import with_value

LONGEST = 400  # of one answer [characters]
WORDS, TRUTH, COUNT, NUMBER = "words", "yes or no", "a whole number", "a number"
YES, NO, NOT_KNOWN = "yes", "no", "unknown"


@dataclass(frozen=True, kw_only=True)
class Field:
    """One question of a form.

    Parameters
    ----------
    key : str
        As `with_value` takes it.
    label : str
        What is asked, in plain words.
    how : str
        How to measure it, with an example of an answer.
    value : str
        What the file says now; empty where it says nothing.
    choices : tuple of str
        The answers there are; empty where any words may be written.
    kind : str
        How the answer stands in the file: ``WORDS``, ``TRUTH``, ``COUNT`` or ``NUMBER``.
    must : bool
        The file cannot do without an answer.
    """

    key: str
    label: str
    how: str
    value: str = ""
    choices: tuple[str, ...] = ()
    kind: str = WORDS
    must: bool = False


@dataclass(frozen=True, kw_only=True)
class Group:
    """Questions that belong together.

    Parameters
    ----------
    title : str
    fields : tuple of Field
    """

    title: str
    fields: tuple[Field, ...]


class AnswersRefused(InputError):
    """Answers that make no sense, each with its own message.

    Parameters
    ----------
    wrong : dict of str to str
        Message by key; at least one.
    """

    def __init__(self, wrong: Mapping[str, str]) -> None:
        first = next(iter(wrong.values()))
        count = len(wrong)
        super().__init__(
            where="the form", found=f"{count} answer{'' if count == 1 else 's'}", needed="another look"
        )
        more = f" (and {count - 1} more, each beside its field)" if count > 1 else ""
        self.args = (first + more + ". Nothing is saved.",)
        self.wrong = dict(wrong)


def read_values(kept: KeptFile) -> dict[str, Any]:
    """Return what the file says, unjudged; empty where it cannot be read at all."""
    try:
        return tomllib.loads(kept.text())
    except ValueError:
        return {}


def said(content: Mapping[str, Any], key: str) -> str:
    """Return what the file says under a key, as the form shows it; empty where it says nothing."""
    place: Any = content
    for part in key.split("."):
        if isinstance(place, Mapping):
            place = place.get(part, "")
        elif isinstance(place, list) and part.isdigit() and int(part) < len(place):
            place = place[int(part)]
        else:
            return ""
    if isinstance(place, list):
        # A list of anything but plain values is more than one field can show.
        return "[" + ", ".join(f'"{one}"' for one in place) + "]"
    if isinstance(place, bool):
        return YES if place else NO
    return str(place) if isinstance(place, str | int | float) else ""


def save_answers(
    kept: KeptFile, values: Mapping[str, str], *, version: str, kinds: Mapping[str, str] | None = None
) -> list[str]:
    """Put answers into a file: all or none, remarks kept, the older file kept for undo.

    Parameters
    ----------
    kept : KeptFile
    values : mapping of str
        By key; those that say what the file says already are left alone.
    version : str
        Of the file that the page was made from.
    kinds : mapping of str, optional
        How an answer stands in the file, by key; words without it.

    Returns
    -------
    list of str
        Keys that changed.

    Raises
    ------
    InputError
        Where the file has changed since, or an answer makes no sense. The file is then as it was.
    """
    kept.refuse_other(version)
    content = read_values(kept)
    changed = {
        key: value.strip() for key, value in values.items() if value.strip() != said(content, key).strip()
    }
    if not changed:
        return []
    text = kept.text()
    place = kept.path.name

    def with_answer(so_far: str, key: str) -> str:
        value = changed[key]
        if len(value) > LONGEST:
            raise InputError(where=key, found=f"{len(value)} letters", needed=f"{LONGEST} at most")
        return with_value(
            so_far, key=key, value=typed(value, (kinds or {}).get(key, WORDS), key), where=place
        )

    try:
        every = text
        for key in changed:
            every = with_answer(every, key)
        kept.put(every)
    except InputError as together:
        wrong = {}
        for key in changed:
            # Each by itself: one slip must not hide the next.
            try:
                kept.try_text(with_answer(text, key))
            except InputError as alone:
                wrong[key] = str(alone)
        if wrong:
            raise AnswersRefused(wrong) from None
        raise together from None
    return sorted(changed)


def typed(value: str, kind: str, key: str) -> str | bool | int | float:
    """Return an answer as it stands in the file."""
    if not value or value.lower() == NOT_KNOWN or kind == WORDS:
        return value or NOT_KNOWN
    if kind == TRUTH:
        if value not in (YES, NO):
            raise InputError(where=key, found=repr(value), needed=f"{YES} or {NO}")
        return value == YES
    try:
        return int(value) if kind == COUNT else float(value)
    except ValueError:
        raise InputError(where=key, found=repr(value), needed=kind) from None
