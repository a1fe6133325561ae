"""The published sources slowflight rests on: one bibliography, looked up by key.

Code that uses a source names its key through `cite`, or in a constant called ``SOURCES``; a run carries the
keys it used in its own result, so two runs never mix. The bibliography itself is ``sources.bib`` beside this
file, which reference managers read as it is.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources
from types import MappingProxyType

from slowflight.errors import InputError

_ENTRY = re.compile(r"@(?P<kind>\w+)\{(?P<key>\w+),\n(?P<fields>(?:  .*\n)+)\}\n", re.MULTILINE)
_FIELD = re.compile(r"  (?P<name>\w+) = \{(?P<value>.*)\},\n")
_ACCENTS = {r"{\'a}": "á", r"\&": "&"}


@dataclass(frozen=True)
class Source:
    """One published work.

    Parameters
    ----------
    key : str
        By which code and results name it.
    kind : str
        ``article``, ``book``, ``inproceedings`` or ``techreport``.
    author, title, year : str
        As printed.
    details : mapping of str to str
        The other fields of the entry: journal, volume, pages, number, publisher, doi, note.
    """

    key: str
    kind: str
    author: str
    title: str
    year: str
    details: Mapping[str, str] = field(default_factory=dict)


def cite(*keys: str) -> tuple[str, ...]:
    """Return the keys after making sure that each is in the bibliography.

    Parameters
    ----------
    *keys : str
        Such as ``"USSA1976"``.

    Returns
    -------
    tuple of str
        Each key once, in the order first named.

    Raises
    ------
    InputError
        Where a key is not in the bibliography.

    Examples
    --------
    >>> cite("USSA1976", "Thwaites1949", "USSA1976")
    ('USSA1976', 'Thwaites1949')
    """
    for key in keys:
        find(key)
    return tuple(dict.fromkeys(keys))


def find(key: str) -> Source:
    """Return one source by its key; InputError where there is none of that key."""
    known = bibliography()
    if key not in known:
        raise InputError(where="sources.bib", found=f"no entry {key!r}", needed=f"one of {', '.join(known)}")
    return known[key]


@cache
def bibliography() -> Mapping[str, Source]:
    """Return every source by key, in the order of the file."""
    return MappingProxyType(parse(resources.files("slowflight").joinpath("sources.bib").read_text("utf-8")))


def parse(text: str) -> dict[str, Source]:
    """Read a bibliography in the plain form of ``sources.bib``.

    Every entry starts at the margin and ends with a brace on its own line; every field stands on one line of
    its own, two blanks in, its value in braces. Anything else is an error rather than silently left out.

    Parameters
    ----------
    text : str
        The whole file.

    Returns
    -------
    dict of str to Source

    Raises
    ------
    InputError
        Where text is left over, a key comes twice, or author, title or year is missing.
    """
    left_over = _ENTRY.sub("", text).strip()
    if left_over:
        first = left_over.splitlines()[0]
        raise InputError(
            where="sources.bib", found=repr(first), needed="entries in the plain form described in parse"
        )
    found: dict[str, Source] = {}
    for entry in _ENTRY.finditer(text):
        key = entry["key"]
        fields = {name: _plain(value) for name, value in _FIELD.findall(entry["fields"])}
        missing = [name for name in ("author", "title", "year") if name not in fields]
        if missing or key in found or len(fields) != entry["fields"].count("\n"):
            problem = (
                f"no {missing[0]}"
                if missing
                else "the key twice"
                if key in found
                else "a field not in one line"
            )
            raise InputError(
                where=f"sources.bib: {key}", found=problem, needed="author, title and year, each once"
            )
        author, title, year = (fields.pop(name) for name in ("author", "title", "year"))
        found[key] = Source(key, entry["kind"], author, title, year, MappingProxyType(fields))
    return found


def describe(key: str) -> str:
    """Write one source as a line of print; InputError where the key is unknown.

    Examples
    --------
    >>> describe("Mack1977")
    'Mack, L. M.: Transition and laminar instability. JPL Publication 77-15, 1977.'
    """
    source = find(key)
    details = source.details
    place = [details[name] for name in ("journal", "publisher") if name in details]
    if "volume" in details:
        issue = f"({details['number']})" if "number" in details else ""
        place.append(f"{details['volume']}{issue}")
    elif "number" in details:
        place.append(details["number"])
    if "pages" in details:
        place.append(details["pages"].replace("-", "–"))
    line = f"{_authors(source.author)}: {source.title}. {', '.join([*place, source.year])}."
    if "doi" in details:
        line += f" doi:{details['doi']}."
    if "note" in details:
        line += f" ({details['note'][0].upper()}{details['note'][1:]}.)"
    return line


def describe_all(keys: Iterable[str]) -> tuple[str, ...]:
    """Write several sources, in the order given."""
    return tuple(describe(key) for key in keys)


def _authors(text: str) -> str:
    *others, last = text.split(" and ")
    return f"{'; '.join(others)}; {last}" if others else last


def _plain(value: str) -> str:
    for written, meant in _ACCENTS.items():
        value = value.replace(written, meant)
    return value.replace("{", "").replace("}", "")
