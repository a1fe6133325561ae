"""How lift changes as a row is moved, by the adjoint at one angle of the minutes tier."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from slowflight.errors import Unconverged
from slowflight.flow.compiled import interruptible
from slowflight.flow.rans.adjoint import adjoints, by_push
from slowflight.flow.rans.conditions import conditions
from slowflight.flow.rans.given_flow import vane_force
from slowflight.flow.rans.objectives import LIFT
from slowflight.study.minutes_case import MinutesCase
from slowflight.study.minutes_flow import flow_at, model_of
from slowflight.study.record_file import decode_record, encode_record, key_of

APART = 1e-3  # of chord, to either side


@dataclass(frozen=True, kw_only=True)
class MinutesSlopeCase:
    """What a `MinutesCase` with rows describes, at one angle.

    Parameters
    ----------
    case : MinutesCase
        Its angles play no part.
    alpha_deg : float
        [deg]
    """

    case: MinutesCase
    alpha_deg: float

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        return {
            **self.case.description(),
            "kind": "slope of lift with the station of the rows by the minutes tier",
            "angles_deg": [self.alpha_deg],
            "apart": APART,
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"minutes-slope-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"slope of lift with the row's station at {self.alpha_deg:g} degrees, {self.case.title}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def compute(self) -> dict[str, Any]:
        """Compute the slope of section and vanes [1/chord]; none where the angle has no answer."""
        with interruptible():
            reached = flow_at(self.case, alpha_deg=self.alpha_deg)
            if reached is None:
                return {"lift_by_station": None, "why": f"{self.title}: no converged answer"}
            body, here, found = reached
            try:
                (adjoint,) = adjoints(here, found.flow, (LIFT,))
            except Unconverged as error:
                return {"lift_by_station": None, "why": str(error)}
            made = [
                conditions(
                    body.columns, here, model_of(self.case, moved=by), rows=self.case.rows_moved(by),
                    transition=self.case.transition,
                ).from_flow(here, found.flow)[0].made
                for by in (-APART, APART)
            ]  # fmt: skip
        push = (made[1] - made[0]) / (2.0 * APART)
        direct, _ = vane_force(here, push, alpha=found.flow.alpha)
        return {"lift_by_station": by_push(adjoint, here, push) + direct}

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        result = decode_record(content, key=self.key)
        if "lift_by_station" not in result:
            raise ValueError("a file without its result")
        return result
