"""From section results to the whole wing, clean and with a row, for one study."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from slowflight.compare.credit import credited
from slowflight.compare.spans import Covered, section_curve, span_curves
from slowflight.flow.lifting_line import SectionCurve, SpanCurve, WingLift, wing_lift
from slowflight.study.section_case import SectionCase
from slowflight.verbs.prediction_cases import WING_ANGLES_DEG, Study
from slowflight.wing.vane_row import VaneRow

# Over which loss of lift spreads along the span [local chords]: one for the clean wing and every row,
# because it moves a maximum by as much as vanes may.
SMOOTHING = 0.2
NOTHING = 1e-6  # [m]

Results = Mapping[str, Mapping[str, Any]]


@dataclass(frozen=True)
class WingAnswer:
    """The wing over all angles, and the section results it was made of, root first.

    ``sections`` are those with the flap, and with the row where there is one.
    """

    lift: WingLift
    sections: tuple[Mapping[str, Any], ...]


def clean_cases(study: Study) -> list[SectionCase]:
    """Cases that the clean wing needs: with the flap, root first, then without where it does not reach."""
    return [*_sections(study), *(_sections(study.bare) if _flap_is_part(study) else ())]


def row_cases(study: Study, row: VaneRow, *behind: VaneRow) -> list[SectionCase]:
    """Cases that the wing with a row, and rows behind it, needs besides the clean ones, ordered alike."""
    beside = _sections(study.bare, row, *behind) if _outside_the_flap(study, row) else ()
    return [*_sections(study, row, *behind), *beside]


def clean_wing(study: Study, results: Results, *, name: str) -> WingAnswer:
    """Carry the clean sections to the wing; Unconverged where a section has no curve."""
    spans = clean_spans(study, results, name=name)
    return WingAnswer(lift=_lift(study, spans), sections=_found(results, _sections(study)))


def clean_spans(study: Study, results: Results, *, name: str) -> tuple[SpanCurve, ...]:
    """Lay the clean sections along a half-span; Unconverged where a section has no curve."""
    return span_curves(study.file.wing, **_clean(study, results, name))


def wing_with_row(
    study: Study,
    results: Results,
    *,
    row: VaneRow,
    clean: WingLift,
    name: str,
    behind: tuple[VaneRow, ...] = (),
) -> WingAnswer:
    """Carry sections with a row, and clean ones beside it, to the wing; Unconverged as `clean_wing`.

    Rows ``behind`` stand over the same part of the span. No more of the gain over the ``clean`` wing is
    credited than was ever measured.
    """
    computed = wing_as_computed(study, results, row=row, name=name, behind=behind)
    return with_credit(study, results, computed, row=row, clean=clean)


def wing_as_computed(
    study: Study, results: Results, *, row: VaneRow, name: str, behind: tuple[VaneRow, ...] = ()
) -> WingAnswer:
    """Carry sections with a row to the wing, whatever was ever measured; parameters as `wing_with_row`."""
    spans = row_spans(study, results, row=row, name=name, behind=behind)
    return WingAnswer(lift=_lift(study, spans), sections=_found(results, _sections(study, row, *behind)))


def with_credit(
    study: Study, results: Results, computed: WingAnswer, *, row: VaneRow, clean: WingLift
) -> WingAnswer:
    """Return what is credited of a wing with a row as computed."""
    row_from, row_to = row.span_from or 0.0, row.span_to or study.file.wing.semi_span
    share = max(0.0, row_to - row_from) / study.file.wing.semi_span
    lift = credited(computed.lift, clean=clean, span_share=min(share, 1.0), no_gain=_no_gain(study, results))
    return WingAnswer(lift=lift, sections=computed.sections)


def row_spans(
    study: Study, results: Results, *, row: VaneRow, name: str, behind: tuple[VaneRow, ...] = ()
) -> tuple[SpanCurve, ...]:
    """Lay sections with a row, and clean ones beside it, along a half-span; as computed."""
    layers = _clean(study, results, "the clean wing")
    found = _found(results, _sections(study, row, *behind))
    row_from, row_to = row.span_from or 0.0, row.span_to or study.file.wing.semi_span
    if _outside_the_flap(study, row):
        beside = _curves(_found(results, _sections(study.bare, row, *behind)), f"{name}, beside the flap")
        layers["over"].append(Covered(span_from=row_from, span_to=row_to, curves=beside))
    flap_from, flap_to = study.flap_span if study.setting is not None else (row_from, row_to)
    layers["over"].append(
        Covered(span_from=max(row_from, flap_from), span_to=min(row_to, flap_to), curves=_curves(found, name))
    )
    return span_curves(study.file.wing, **layers)


def _no_gain(study: Study, results: Results) -> str:
    """Why vanes can do nothing against the clean sections' stall; empty where they can."""
    for section in _found(results, _sections(study)):
        stall = section.get("stall")
        if stall is not None and not stall["vane_gain_counts"]:
            return f"{stall['kind']}: {stall['reason']}"
    return ""


def _sections(study: Study, *rows: VaneRow) -> list[SectionCase]:
    return [study.vanes(station, *rows) for station in study.file.wing.stations]


def _flap_is_part(study: Study) -> bool:
    if study.setting is None:
        return False
    start, end = study.flap_span
    return start > NOTHING or end < study.file.wing.semi_span - NOTHING


def _outside_the_flap(study: Study, row: VaneRow) -> bool:
    if study.setting is None:
        return False
    start, end = study.flap_span
    row_from, row_to = row.span_from or 0.0, row.span_to or study.file.wing.semi_span
    return row_from < start - NOTHING or row_to > end + NOTHING


def _clean(study: Study, results: Results, name: str) -> dict[str, Any]:
    curves = _curves(_found(results, _sections(study)), name)
    if not _flap_is_part(study):
        return {"clean": curves, "over": []}
    bare = _curves(_found(results, _sections(study.bare)), f"{name} where there is no flap")
    start, end = study.flap_span
    return {"clean": bare, "over": [Covered(span_from=start, span_to=end, curves=curves)]}


def _found(results: Results, cases: Sequence[SectionCase]) -> tuple[Mapping[str, Any], ...]:
    return tuple(results[case.key] for case in cases)


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
