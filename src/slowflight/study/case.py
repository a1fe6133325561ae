"""What a study computes: a pure function of frozen inputs, and the file its result is kept in."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Protocol


class Case(Protocol):
    """Frozen, able to travel to another process, and named by all that its result depends on.

    A case may also have a ``title``: what a person would call it, for messages.
    """

    @property
    def key(self) -> str:
        """Hash of all that the result depends on, the code included."""

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""

    def compute(self) -> dict[str, Any]:
        """Return the result."""

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of a file that says what was computed, from what, and how."""

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from such a file; ValueError where it is none of this case."""


def title_of(case: Case) -> str:
    """What a person would call the case, and its key."""
    title = getattr(case, "title", None)
    return f"{title} ({case.key})" if title else case.key
