"""Where mixing would help on one clean section, at its maximum lift, to compute: a strip with its band."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from slowflight.compare.help_strip import SOURCES, help_strip, with_variants
from slowflight.flow.integral.at_maximum import elements_at_maximum, section_at_maximum
from slowflight.flow.integral.bodies.model import elements_model
from slowflight.flow.integral.mixing_problem import Problem
from slowflight.flow.integral.section_flow import LAG, PANELS, section_model
from slowflight.study.record_file import decode_record, encode_record, key_of
from slowflight.study.section_case import SectionCase


@dataclass(frozen=True, kw_only=True)
class HelpCase:
    """The clean section of a `SectionCase`, with its flap as it stands.

    Parameters
    ----------
    case : SectionCase
        Its rows and its angles play no part.
    setting : str
        The flap setting in words, for the picture.
    """

    case: SectionCase
    setting: str

    def description(self) -> dict[str, Any]:
        """All that the result depends on, as plain data."""
        clean = replace(self.case, rows=()).description()
        return {
            **clean,
            "kind": "where mixing would help on a section",
            "setting": self.setting,
            "angles_deg": "maximum lift",
        }

    @cached_property
    def key(self) -> str:
        """Hash of the description."""
        return f"help-{key_of(self.description())}"

    @property
    def title(self) -> str:
        """What a person would call it."""
        return f"where mixing would help on {replace(self.case, rows=()).title}"

    @property
    def suffix(self) -> str:
        """Ending of its file's name."""
        return ".json"

    def compute(self) -> dict[str, Any]:
        """Compute the strip, see ``compare.help_strip``; ``{"problem": ...}`` without a maximum of lift."""
        panels = PANELS if self.case.panels is None else self.case.panels
        base = self._at_maximum(lag=LAG, panels=panels)
        if base is None:
            return {"problem": f"{self.case.title}: no answered maximum of lift to ask about"}
        return help_strip(
            setting=self.setting,
            chord_m=self.case.chord,
            base=base,
            variants=with_variants(self._at_maximum, lag=LAG, panels=panels),
            sources=SOURCES,
        )

    def _at_maximum(self, *, lag: float, panels: int) -> Problem | None:
        common: dict[str, Any] = {
            "reynolds": self.case.reynolds_at_unit_lift,
            "transition": self.case.transition,
            "critical_amplification": self.case.critical_amplification,
            "speed_follows_lift": True,
            "panels": panels,
            "lag": lag,
        }
        if self.case.flap is None:
            return section_at_maximum(section_model(self.case.section, **common))
        return elements_at_maximum(elements_model(self.case.elements(), **common))

    def encode(self, result: Mapping[str, Any]) -> bytes:
        """Return the content of its file."""
        return encode_record(key=self.key, description=self.description(), result=result)

    def decode(self, content: bytes) -> dict[str, Any]:
        """Return the result from its file; ValueError where the file is another's or damaged."""
        result = decode_record(content, key=self.key)
        if "problem" not in result and "places" not in result:
            raise ValueError("a file without its result")
        return result
