"""One picture's velocities to compute: a section at one angle, clean or with vanes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from slowflight.errors import Unconverged
from slowflight.flow.flow_field import elements_flow_field, flow_field
from slowflight.study.array_file import Column, decode_arrays, encode_arrays
from slowflight.study.record_file import key_of
from slowflight.study.section_case import SectionCase

FROM_X, TO_X, FROM_Y, TO_Y = -0.55, 1.75, -0.75, 0.85  # the part of the plane that is drawn [chords]
STEP = 0.0125  # [chords]
ARRAYS = {
    "x": Column(axes=("x",), unit="1", meaning="along the chord line, in chords from the leading edge"),
    "y": Column(axes=("y",), unit="1", meaning="square to the chord line, in chords, up positive"),
    "u": Column(axes=("y", "x"), unit="1", meaning="velocity along x over flight speed; none inside"),
    "v": Column(axes=("y", "x"), unit="1", meaning="velocity along y over flight speed; none inside"),
    "slow": Column(axes=("y", "x"), unit="1", meaning="inside the separated layer or its wake"),
    "outline_x": Column(axes=("outline",), unit="1", meaning="outline of the section along x, in chords"),
    "outline_y": Column(axes=("outline",), unit="1", meaning="outline of the section along y, in chords"),
}
# only with a flap that is an airfoil of its own
FLAP_ARRAYS = {
    "flap_outline_x": Column(
        axes=("flap_outline",), unit="1", meaning="outline of a flap of its own along x"
    ),
    "flap_outline_y": Column(
        axes=("flap_outline",), unit="1", meaning="outline of a flap of its own along y"
    ),
}
COLUMNS = ARRAYS | FLAP_ARRAYS
NUMBERS = ("alpha_deg", "reynolds", "cl", "cd", "separation_upper")


@dataclass(frozen=True, kw_only=True)
class FieldCase:
    """A section, its vanes and the air as in a `SectionCase`, at one angle of attack.

    Parameters
    ----------
    case : SectionCase
        Rows of vanes are marched over its angles, so that the picture has the numbers of the lift curve.
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
            "marched_over_deg": list(self.case.angles_deg) if self.case.rows else [],
            "grid": [FROM_X, TO_X, FROM_Y, TO_Y, STEP],
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"flow-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"velocities at {self.alpha_deg:g} degrees around {self.case.title}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".nc"

    def compute(self) -> dict[str, Any]:
        """Compute the field; ``{"problem": ...}`` where the angle has no answer."""
        common: dict[str, Any] = {
            "reynolds": self.case.reynolds_at_unit_lift,
            "alpha_deg": self.alpha_deg,
            "x": np.arange(FROM_X, TO_X + 0.5 * STEP, STEP),
            "y": np.arange(FROM_Y, TO_Y + 0.5 * STEP, STEP),
            "transition": self.case.transition,
            "critical_amplification": self.case.critical_amplification,
            "vane_rows": self.case.rows,
            "chord_m": self.case.chord,
            "speed_follows_lift": True,
            "marched_over_deg": self.case.angles_deg,
        }
        try:
            if self.case.flap is None:
                field = flow_field(self.case.section, **common)
            else:
                field = elements_flow_field(self.case.elements(), **common)
        except Unconverged as problem:
            return {"problem": str(problem)}
        result = {name: getattr(field, name) for name in (*ARRAYS, *NUMBERS)}
        if field.flap_outline_x is not None:
            result |= {name: getattr(field, name) for name in FLAP_ARRAYS}
        return {**result, "u": field.u.astype(np.float32), "v": field.v.astype(np.float32)}

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
