"""One picture's velocities to compute: a section at one angle, clean or with vanes."""

from __future__ import annotations

import hashlib
import io
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any
from zipfile import BadZipFile

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.flow_field import flow_field
from slowflight.study.section_case import SectionCase

FROM_X, TO_X, FROM_Y, TO_Y = -0.55, 1.75, -0.75, 0.85  # the part of the plane that is drawn [chords]
STEP = 0.0125  # [chords]
ARRAYS = ("x", "y", "u", "v", "slow", "outline_x", "outline_y")
NUMBERS = ("alpha_deg", "reynolds", "cl", "cd", "separation_upper")


@dataclass(frozen=True, kw_only=True)
class FieldCase:
    """A section, its vanes and the air as in a `SectionCase`, at one angle of attack.

    Parameters
    ----------
    case : SectionCase
        Its own angles play no part.
    alpha_deg : float
        [deg]
    """

    case: SectionCase
    alpha_deg: float

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        return {
            **self.case.description(),
            "kind": "velocities around a section",
            "angles_deg": [self.alpha_deg],
            "grid": [FROM_X, TO_X, FROM_Y, TO_Y, STEP],
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        text = json.dumps(self.description(), sort_keys=True)
        return "flow-" + hashlib.sha256(text.encode()).hexdigest()[:24]

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".npz"

    def compute(self) -> dict[str, Any]:
        """Compute the field; ``{"problem": ...}`` where the angle has no answer."""
        try:
            field = flow_field(
                self.case.section,
                reynolds=self.case.reynolds_at_unit_lift,
                alpha_deg=self.alpha_deg,
                x=np.arange(FROM_X, TO_X + 0.5 * STEP, STEP),
                y=np.arange(FROM_Y, TO_Y + 0.5 * STEP, STEP),
                transition=self.case.transition,
                critical_amplification=self.case.critical_amplification,
                vane_rows=self.case.rows,
                chord_m=self.case.chord,
                speed_follows_lift=True,
            )
        except Unconverged as problem:
            return {"problem": str(problem)}
        result = {name: getattr(field, name) for name in (*ARRAYS, *NUMBERS)}
        return {**result, "u": field.u.astype(np.float32), "v": field.v.astype(np.float32)}

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file: arrays, and an ``about`` that is JSON."""
        numbers = {name: result[name] for name in (*NUMBERS, "problem") if name in result}
        about = json.dumps({"key": self.key, "input": self.description(), **numbers}, allow_nan=False)
        stream = io.BytesIO()
        arrays = {name: result[name] for name in ARRAYS if name in result}
        np.savez_compressed(stream, about=np.array(about), **arrays)
        return stream.getvalue()

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        try:
            with np.load(io.BytesIO(content), allow_pickle=False) as file:
                arrays = {name: file[name] for name in file.files}
        except (BadZipFile, EOFError, KeyError) as error:
            raise ValueError("a damaged file") from error
        about = json.loads(str(arrays.pop("about", "{}")))
        if about.pop("key", None) != self.key:
            raise ValueError("a file of another case")
        about.pop("input")
        return {**arrays, **about}
