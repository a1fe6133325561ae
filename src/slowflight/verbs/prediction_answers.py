"""What a prediction found, before it is written down."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

from slowflight.compare.choice import Choice
from slowflight.compare.input_effects import InputEffect
from slowflight.compare.rivals import Rival
from slowflight.compare.row_answer import RowAnswer
from slowflight.flow.lifting_line import WingLift
from slowflight.verbs.prediction_cases import RowToTry, Study
from slowflight.wing.vane_row import VaneRow

APPROACH = 1.3  # approach speed over stall speed (common practice, no source)
PAST_STALL = math.radians(2.0)
NEAREST_PICTURES = math.radians(1.0)


@dataclass(frozen=True, kw_only=True)
class Answers:
    """The clean wing and every row at one flap setting.

    Parameters
    ----------
    study : Study
        With the flap as it is here.
    tried : tuple of RowToTry
        The rows that were computed here.
    without_flap : float or None
        Maximum lift coefficient of the wing without its flap [-]; ``None`` where no flap is computed here, or
        without an answer.
    clean : WingLift
    clean_sections : tuple of mapping
        Section results of the clean wing, one for each station, root first.
    rough : WingLift or None
        The clean wing with a rough nose; ``None`` without an answer.
    rows : tuple of RowAnswer
        As ``tried``.
    row_sections : mapping
        Section results of each row by its number in that order.
    choice : Choice or None
        ``None`` where the clean wing has no maximum.
    two_rows : RowAnswer or None
        The row of the prediction with a second one like it behind; ``None`` without such a row.
    """

    study: Study
    tried: tuple[RowToTry, ...]
    without_flap: float | None
    clean: WingLift
    clean_sections: tuple[Mapping[str, Any], ...]
    rough: WingLift | None
    rows: tuple[RowAnswer, ...]
    row_sections: Mapping[int, tuple[Mapping[str, Any], ...]]
    choice: Choice | None
    two_rows: RowAnswer | None = None

    def middle_of(self, row: VaneRow) -> float:
        """Place along the span in the middle of a row, with a flap of that part that lies over it [m]."""
        return row_middle(self.study, row, tip=float(self.clean.y[0]))

    def section_angle(self, wing_angle: float, row: VaneRow) -> float | None:
        """Angle that the section in the middle of a row sees on the clean wing [rad]."""
        return seen_at(self.clean, wing_angle, y=self.middle_of(row))

    def approach_angle(self) -> float | None:
        """Wing angle at 1.3 times the clean stall speed [rad]."""
        if self.clean.cl_max_continued is None or self.clean.angle_continued is None:
            return None
        return angle_of_lift(self.clean, self.clean.cl_max_continued / APPROACH**2)

    @property
    def best(self) -> RowAnswer | None:
        """The best row; ``None`` where none helps at the accepted price."""
        return None if self.choice is None else self.choice.best

    def angles_to_draw(self) -> tuple[float, ...]:
        """Wing angles worth a picture: on three wheels, at the clean stall, and past it [rad]."""
        stall = self.clean.angle_continued
        if stall is None:
            return ()
        aircraft, wing = self.study.file.aircraft, self.study.file.wing
        chosen: list[float] = []
        for angle in (stall, stall + PAST_STALL, aircraft.three_point_attitude + wing.incidence):
            if all(abs(angle - other) > NEAREST_PICTURES for other in chosen):
                chosen.append(angle)
        return tuple(sorted(chosen))

    def stall_to_draw(self) -> tuple[float, ...]:
        """The wing angle of the clean stall alone [rad]."""
        stall = self.clean.angle_continued
        return () if stall is None else (stall,)


@dataclass(frozen=True, kw_only=True)
class PicturedPair:
    """The flow at one angle, clean and with the best row.

    Parameters
    ----------
    flap_deg : float
        Flap setting [deg].
    row : VaneRow
    wing_angle : float
        [rad]
    section_angle_deg : float
        [deg]
    clean, vanes : mapping
        As a ``FieldCase`` returns them.
    clean_file, vanes_file : str
        Their files' names in ``runs``.
    """

    flap_deg: float
    row: VaneRow
    wing_angle: float
    section_angle_deg: float
    clean: Mapping[str, Any]
    vanes: Mapping[str, Any]
    clean_file: str
    vanes_file: str


@dataclass(frozen=True, kw_only=True)
class Inputs:
    """What is not known exactly, and what else could explain a slower stall.

    Parameters
    ----------
    effects : tuple of InputEffect
    missing : tuple of str
        Ends of inputs that have no answer.
    rivals : tuple of Rival
    """

    effects: tuple[InputEffect, ...]
    missing: tuple[str, ...]
    rivals: tuple[Rival, ...]


def row_middle(study: Study, row: VaneRow, *, tip: float) -> float:
    """Place along the span in the middle of a row, with a flap of that part that lies over it [m]."""
    outer = tip if row.span_to is None else row.span_to
    inner = row.span_from or 0.0
    if study.setting is not None:
        start, end = study.flap_span
        if max(inner, start) < min(outer, end):
            inner, outer = max(inner, start), min(outer, end)
    return 0.5 * (inner + outer)


def seen_at(lift: WingLift, wing_angle: float, *, y: float) -> float | None:
    """Angle that the section at a place along the span sees [rad]; ``None`` without an answer there."""
    use = lift.converged
    angles = lift.angles[use]
    if angles.size < 2 or not angles[0] <= wing_angle <= angles[-1]:
        return None
    strip = int(np.argmin(np.abs(lift.y - y)))
    return float(np.interp(wing_angle, angles, lift.effective_angles[use, strip]))


def lift_at(lift: WingLift, wing_angle: float) -> float | None:
    """Wing lift coefficient at a wing angle; ``None`` without an answer there."""
    angles = lift.angles[lift.converged]
    if angles.size < 2 or not angles[0] <= wing_angle <= angles[-1]:
        return None
    return float(np.interp(wing_angle, angles, lift.cl[lift.converged]))


def angle_of_lift(lift: WingLift, cl: float) -> float | None:
    """Wing angle below the stall at which the wing has a lift coefficient [rad]."""
    top = math.inf if lift.angle_continued is None else lift.angle_continued
    use = lift.converged & (lift.angles <= top)
    cls, angles = lift.cl[use], lift.angles[use]
    if cls.size < 2 or not cls[0] <= cl <= cls[-1]:
        return None
    return float(np.interp(cl, cls, angles))


def at_section_angle(result: Mapping[str, Any], alpha_deg: float, name: str) -> float | None:
    """Return a quantity of a section's result at an angle between its answered points."""
    points = [p for p in result["points"] if p["converged"]]
    angles = [p["alpha_deg"] for p in points]
    if not angles or not angles[0] <= alpha_deg <= angles[-1]:
        return None
    # air that has nowhere let go lets go at the trailing edge
    values = [1.0 if p[name] is None and name == "separation_upper" else p[name] for p in points]
    return float(np.interp(alpha_deg, angles, values))


def layer_ahead(result: Mapping[str, Any], alpha_deg: float) -> float | None:
    """Thickness of the layer just ahead of the first row at an angle [chords]."""
    points = [
        p for p in result["points"] if p["converged"] and p["vanes"] and p["vanes"][0]["edge_speed"] > 0.0
    ]
    angles = [p["alpha_deg"] for p in points]
    if not angles or not angles[0] <= alpha_deg <= angles[-1]:
        return None
    return float(np.interp(alpha_deg, angles, [p["vanes"][0]["layer_thickness"] for p in points]))


def trend_at(result: Mapping[str, Any], alpha_deg: float) -> str:
    """Why a section's result is marked as a trend at an angle; empty where it is not."""
    points = [p for p in result["points"] if p["converged"]]
    nearest = min(points, key=lambda p: abs(p["alpha_deg"] - alpha_deg), default=None)
    if nearest is None or not nearest["extrapolated"]:
        return ""
    return str(nearest["warnings"][0]) if nearest["warnings"] else "past where this tier was checked"
