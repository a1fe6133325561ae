"""Cases that cost nothing to compute, for what matters here is what happens around them."""

from __future__ import annotations

import os
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from slowflight.errors import InputError
from slowflight.study.record_file import decode_record, encode_record


@dataclass(frozen=True, kw_only=True)
class Square:
    """A number squared, in a file padded to a size; each computation is noted in a log.

    ``kills`` names a file: while it is there, computing removes it and kills the process. ``deadly`` kills it
    every time.
    """

    number: int
    log: Path | None = None
    seconds: float = 0.0
    padding: int = 0
    kills: Path | None = None
    deadly: bool = False
    bad_input: bool = False

    @property
    def key(self) -> str:
        return f"square-{self.number}"

    @property
    def suffix(self) -> str:
        return ".json"

    @property
    def title(self) -> str:
        return f"the square of {self.number}"

    def description(self) -> dict[str, Any]:
        return {"kind": "square", "number": self.number, "code": {"slowflight": "0", "code": "abc"}}

    def compute(self) -> dict[str, Any]:
        if self.log is not None:
            with self.log.open("a", encoding="utf-8") as stream:
                stream.write(f"{self.number}\n")
        if self.deadly:
            os._exit(77)
        if self.kills is not None and self.kills.exists():
            self.kills.unlink()
            os.kill(os.getpid(), 9)
        if self.bad_input:
            raise InputError(where="rib3.csv", found="nothing", needed="points")
        until = time.monotonic() + self.seconds
        while time.monotonic() < until:
            time.sleep(0.005)
        if self.log is not None and self.seconds:
            with self.log.open("a", encoding="utf-8") as stream:
                stream.write(f"{self.number} finished\n")
        return {"square": self.number**2, "padding": "x" * self.padding}

    def encode(self, result: Mapping[str, Any]) -> bytes:
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        return decode_record(content, key=self.key)


def squares(numbers: range) -> dict[str, int]:
    """What a study of them has to come to."""
    return {f"square-{number}": number**2 for number in numbers}


def found(results: Mapping[str, Mapping[str, Any]]) -> dict[str, int]:
    """What it came to."""
    return {key: int(result["square"]) for key, result in results.items()}
