"""The owner's wing.toml: what was measured, in the owner's units."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from slowflight.wing.aircraft import Aircraft
from slowflight.wing.assumption import Assumption
from slowflight.wing.candidate import VaneCandidate
from slowflight.wing.flap_plan import FlapPlan
from slowflight.wing.planform import Wing
from slowflight.wing.question import Question
from slowflight.wing.vane_row import VaneRow


@dataclass(frozen=True, kw_only=True)
class WingFile:
    """What a wing.toml says, in SI, and what stands in where it says nothing.

    Parameters
    ----------
    path : Path
        The file.
    aircraft : Aircraft
    wing : Wing
    flap : FlapPlan or None
        ``None`` where the wing has none.
    candidates : tuple of VaneCandidate
        At least one.
    rows : tuple of VaneRow
        As they are to stand on the wing; may be empty.
    question : Question
    assumptions : tuple of Assumption
        Every value that nobody measured.
    cautions : tuple of str
        What the owner should check before trusting a result.
    ranges : mapping of str to (float, float)
        Lowest and highest value where the file gives a range [SI], by the key as `set_value` takes it.
    """

    path: Path
    aircraft: Aircraft
    wing: Wing
    flap: FlapPlan | None
    candidates: tuple[VaneCandidate, ...]
    rows: tuple[VaneRow, ...]
    question: Question
    assumptions: tuple[Assumption, ...]
    cautions: tuple[str, ...]
    ranges: Mapping[str, tuple[float, float]] = field(default_factory=dict, hash=False)
