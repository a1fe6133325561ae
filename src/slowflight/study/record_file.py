"""A result of numbers and words in a file: JSON that says what was computed, from what, and by which code."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

FORMAT = 1  # of the file, not of what is in it; raised when older code could no longer read it


def key_of(description: Mapping[str, Any]) -> str:
    """Return the name of a result: a hash of the plain data that describe its case."""
    return hashlib.sha256(_plain(description).encode()).hexdigest()[:24]


def encode_record(*, key: str, description: Mapping[str, Any], result: Mapping[str, Any]) -> bytes:
    """Return the content of a result's file.

    Parameters
    ----------
    key : str
        Of the case.
    description : mapping
        All that the result depends on, as plain data.
    result : mapping
        Plain data; a missing number is ``None``.

    Returns
    -------
    bytes

    Raises
    ------
    ValueError
        Where a number is infinite or none.
    """
    record = {
        "format": FORMAT,
        "key": key,
        "input": description,
        "checksum": checksum(result),
        "result": result,
    }
    return json.dumps(record, allow_nan=False, indent=1).encode()


def decode_record(content: bytes, *, key: str) -> dict[str, Any]:
    """Return the result from a file's content.

    Parameters
    ----------
    content : bytes
    key : str
        Of the case that is wanted.

    Returns
    -------
    dict

    Raises
    ------
    ValueError
        Where the file is damaged, another case's, or written in a newer format.
    """
    record = json.loads(content)
    if not isinstance(record, dict):
        raise ValueError("no record")
    check_head(found_format=record.get("format"), found_key=record.get("key"), key=key)
    result = record.get("result")
    if not isinstance(result, dict) or record.get("checksum") != checksum(result):
        raise ValueError("a damaged file")
    return result


def check_head(*, found_format: object, found_key: object, key: str) -> None:
    """Refuse a file that is not what its name says, or that later code wrote in a way of its own."""
    if found_format != FORMAT:
        raise ValueError(f"a file of format {found_format}; this version reads {FORMAT}")
    if found_key != key:
        raise ValueError("a file of another case")


def checksum(result: Mapping[str, Any]) -> str:
    """Hash of a result, whatever its layout in the file."""
    return hashlib.sha256(_plain(result).encode()).hexdigest()[:24]


def _plain(data: Mapping[str, Any]) -> str:
    return json.dumps(data, sort_keys=True, allow_nan=False, separators=(",", ":"))
