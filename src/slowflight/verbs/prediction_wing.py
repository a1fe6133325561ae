"""From section results to the whole wing, clean and with a row, for one study."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slowflight.compare.spans import section_curve, span_curves
from slowflight.flow.lifting_line import SectionCurve, WingLift, wing_lift
from slowflight.study.section_case import SectionCase
from slowflight.verbs.prediction_cases import WING_ANGLES_DEG, Study
from slowflight.wing.vane_row import VaneRow

# Over which loss of lift spreads along the span [local chords]: one for the clean wing and every row,
# because it moves a maximum by as much as vanes may.
SMOOTHING = 0.2

Results = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class WingAnswer:
    """The wing over all angles, and the section results it was made of, root first."""

    lift: WingLift
    sections: tuple[Mapping[str, Any], ...]


def clean_cases(study: Study) -> list[SectionCase]:
    """Cases of the clean wing, root first."""
    return [study.clean(station) for station in study.file.wing.stations]


def row_cases(study: Study, row: VaneRow) -> list[SectionCase]:
    """Cases of the wing with a row, root first."""
    return [study.vanes(station, row) for station in study.file.wing.stations]


def clean_wing(study: Study, results: Results, *, name: str) -> WingAnswer:
    """Carry the clean sections to the wing; Unconverged where a section has no curve."""
    found = tuple(results[case.key] for case in clean_cases(study))
    spans = span_curves(study.file.wing, clean=_curves(found, name))
    return WingAnswer(lift=_lift(study, spans), sections=found)


def wing_with_row(
    study: Study, results: Results, *, row: VaneRow, clean: WingAnswer, name: str
) -> WingAnswer:
    """Carry sections with a row, and clean ones beside it, to the wing; Unconverged as `clean_wing`."""
    found = tuple(results[case.key] for case in row_cases(study, row))
    spans = span_curves(
        study.file.wing,
        clean=_curves(clean.sections, "the clean wing"),
        vanes=_curves(found, name),
        row_from=row.span_from or 0.0,
        row_to=row.span_to or study.file.wing.semi_span,
    )
    return WingAnswer(lift=_lift(study, spans), sections=found)


def _lift(study: Study, spans: Sequence[Any]) -> WingLift:
    angles = np.radians(WING_ANGLES_DEG)
    return wing_lift(study.file.wing, curve_at=spans, angles=angles, smoothing=SMOOTHING)


def _curves(found: Sequence[Mapping[str, Any]], name: str) -> list[SectionCurve]:
    # one curve for stations with the same result, so that nothing is blended between like ends
    made: dict[int, SectionCurve] = {}
    for result in found:
        if id(result) not in made:
            made[id(result)] = section_curve(result, name=name)
    return [made[id(result)] for result in found]
