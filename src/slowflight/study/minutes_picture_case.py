"""One picture of the minutes tier to compute: a section at one angle, clean or with rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from slowflight.flow.rans.given_flow import whole_force
from slowflight.flow.rans.section_picture import laid_out
from slowflight.flow.rans.surface import reversed_stretches, skin_along, trailing_separation
from slowflight.flow.solution import FloatArray
from slowflight.study.array_file import Column, decode_arrays, encode_arrays
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.minutes_flow import flow_at
from slowflight.study.record_file import key_of

FROM_X, TO_X, FROM_Y, TO_Y, STEP = -0.25, 1.45, -0.35, 0.5, 0.004  # the part of the plane drawn [chords]
COLUMNS = {
    "x": Column(axes=("x",), unit="1", meaning="along the chord line, in chords from the leading edge"),
    "y": Column(axes=("y",), unit="1", meaning="square to the chord line, in chords, up positive"),
    "u": Column(axes=("y", "x"), unit="1", meaning="velocity along x over flight speed; none inside"),
    "v": Column(axes=("y", "x"), unit="1", meaning="velocity along y over flight speed; none inside"),
    "pressure": Column(axes=("y", "x"), unit="1", meaning="pressure coefficient; none inside"),
    "push": Column(
        axes=("y", "x"),
        unit="1",
        meaning="change of the lift coefficient per force on the air along its own course",
    ),
    "outline_x": Column(
        axes=("outline",), unit="1", meaning="outlines along x, in chords, none between them"
    ),
    "outline_y": Column(
        axes=("outline",), unit="1", meaning="outlines along y, in chords, none between them"
    ),
}
NUMBERS = ("alpha_deg", "cl", "cd", "separation_upper", "warnings")


@dataclass(frozen=True, kw_only=True)
class MinutesPictureCase:
    """What a `MinutesCase` describes, at one angle.

    Parameters
    ----------
    case : MinutesCase
        Its angles play no part. Free transition with rows is found in the flow with the rows.
    alpha_deg : float
        [deg]
    """

    case: MinutesCase
    alpha_deg: float

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        return {
            **self.case.description(),
            "kind": "picture of the flow about a section by the minutes tier",
            "angles_deg": [self.alpha_deg],
            "grid_drawn": [FROM_X, TO_X, FROM_Y, TO_Y, STEP],
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"minutes-picture-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"picture at {self.alpha_deg:g} degrees of {self.case.title}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".nc"

    def compute(self) -> dict[str, Any]:
        """Compute the fields; ``{"problem": ...}`` where the angle has no answer."""
        case = self.case
        reached = flow_at(case, alpha_deg=self.alpha_deg)
        if reached is None:
            return {"problem": f"{self.title}: no converged answer"}
        body, here, found = reached
        lift, drag, _, _ = whole_force(here, found)
        problem = here.at(found.flow.alpha, found.flow.circulation)
        surface = skin_along(problem, body.columns.faces, found.flow.q)
        x, y = np.arange(FROM_X, TO_X, STEP), np.arange(FROM_Y, TO_Y, STEP)
        fields = laid_out(body, here, found, [e.outline for e in case.elements().bodies], x=x, y=y)
        return {
            "alpha_deg": self.alpha_deg,
            "cl": lift,
            "cd": drag,
            "separation_upper": trailing_separation(reversed_stretches(surface, "upper")),
            "x": x,
            "y": y,
            **{name: values.astype(np.float32) for name, values in fields.items()},
            "outline_x": _parted([e.outline[0] for e in case.elements().bodies]),
            "outline_y": _parted([e.outline[1] for e in case.elements().bodies]),
        }

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file: arrays, and the rest as attributes."""
        return encode_arrays(
            key=self.key,
            title=self.title,
            description=self.description(),
            numbers={name: result[name] for name in (*NUMBERS, "problem") if name in result},
            arrays={name: result[name] for name in COLUMNS if name in result},
            columns=COLUMNS,
        )

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        numbers, arrays = decode_arrays(content, key=self.key)
        return {**arrays, **numbers}


def _parted(lines: Sequence[FloatArray]) -> FloatArray:
    """Lines one behind the other, nan between them."""
    joined = [part for line in lines for part in ([np.nan], line)][1:]
    return np.concatenate(joined)
