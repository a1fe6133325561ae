"""One strip to compute: where along the upper skin mixing would help a clean section at its maximum lift."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from slowflight.compare.help_strip import help_strip, with_variants
from slowflight.flow.integral.at_maximum import elements_at_maximum, section_at_maximum
from slowflight.flow.integral.bodies.model import FLAP_PANELS, elements_model
from slowflight.flow.integral.mixing_problem import Problem
from slowflight.flow.integral.section_flow import LAG, PANELS, section_model
from slowflight.study.record_file import decode_record, encode_record, key_of
from slowflight.study.section_case import SectionCase


@dataclass(frozen=True, kw_only=True)
class StripCase:
    """A clean section and the air as in a `SectionCase`, at its own maximum lift.

    Parameters
    ----------
    case : SectionCase
        Without vanes; its angles play no part.
    setting : str
        The flap setting in words.
    """

    case: SectionCase
    setting: str

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        same = {k: v for k, v in self.case.description().items() if k not in ("angles_deg", "vane_rows")}
        return {**same, "kind": "where mixing would help", "setting": self.setting}

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"strip-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"where mixing would help, {self.case.title}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def compute(self) -> dict[str, Any]:
        """Compute the strip; ``{"problem": ...}`` where maximum lift has no answer."""
        base = self._at_maximum(lag=LAG, panels=PANELS)
        if base is None:
            return {"problem": "the clean section's maximum lift has no answer"}
        return help_strip(
            setting=self.setting,
            chord_m=self.case.chord,
            base=base,
            variants=with_variants(self._at_maximum, lag=LAG, panels=PANELS),
        )

    def _at_maximum(self, *, lag: float, panels: int) -> Problem | None:
        common = {
            "reynolds": self.case.reynolds_at_unit_lift,
            "transition": self.case.transition,
            "critical_amplification": self.case.critical_amplification,
            "speed_follows_lift": True,
            "lag": lag,
            "panels": panels,
        }
        try:
            if self.case.flap is None:
                return section_at_maximum(section_model(self.case.section, **common))  # type: ignore[arg-type]
            return elements_at_maximum(
                elements_model(
                    self.case.elements(),
                    flap_panels=round(FLAP_PANELS * panels / PANELS),
                    **common,  # type: ignore[arg-type]
                )
            )
        except ValueError:
            return None  # a state that does not converge to round-off has no derivatives to trust

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        return decode_record(content, key=self.key)
