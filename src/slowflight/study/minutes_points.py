"""Finished angles of a lift curve of the minutes tier, kept so that an interrupted sweep can go on."""

from __future__ import annotations

import hashlib
import math
from pathlib import Path
from typing import Any

import numpy as np

from slowflight.flow.rans.newton import Flow
from slowflight.study.array_file import Column, decode_arrays, encode_arrays
from slowflight.study.code_version import code_version
from slowflight.study.record_file import key_of
from slowflight.study.section_case import row_descriptions
from slowflight.study.store import RunStore
from slowflight.wing.section import Section
from slowflight.wing.vane_row import VaneRow

SUFFIX = ".nc"
COLUMNS = {
    "state": Column(
        axes=("cell", "unknown"),
        unit="1",
        meaning="pressure, both velocities, turbulence variable of each cell, over flight speed and chord",
    ),
    "history": Column(axes=("step",), unit="1", meaning="residual before each step of Newton's method"),
}


class KeptPoints:
    """States of one section at one Reynolds number on one grid, by angle.

    A state's file depends on the angles asked for too, because each is reached from the one before.

    Parameters
    ----------
    folder : Path
        Made when the first state is kept.
    section : Section
    reynolds : float
        [-]
    grid : str
        Name of the family.
    angles_deg : tuple of float
        All that were asked for [deg].
    vane_rows : tuple of VaneRow
        On the section; their names and spans make no difference.
    chord_m : float or None
        That their sizes are measured against [m]; without meaning without vanes.
    transition, critical_amplification
        As of ``flow.rans.lift_curve``.
    """

    def __init__(
        self,
        folder: Path,
        *,
        section: Section,
        reynolds: float,
        grid: str,
        angles_deg: tuple[float, ...],
        vane_rows: tuple[VaneRow, ...] = (),
        chord_m: float | None = None,
        transition: tuple[float | None, float | None] | None = None,
        critical_amplification: float = 9.0,
    ) -> None:
        self._store = RunStore(folder)
        outline = hashlib.sha256(section.x.tobytes() + section.y.tobytes()).hexdigest()
        self._common = {
            "kind": "state of the minutes tier",
            "section": {"name": section.name, "outline": outline},
            "reynolds": reynolds,
            "grid": grid,
            "angles_deg": sorted(angles_deg),
            "vane_rows": row_descriptions(vane_rows),
            "chord_m": chord_m if vane_rows else None,
            "transition": None if transition is None else list(transition),
            "critical_amplification": None if transition is None else critical_amplification,
            "code": code_version(),
        }
        self._title = f"{section.name}, Reynolds number {reynolds:.3g}, {grid} grid"

    def recall(self, alpha: float) -> Flow | None:
        """The converged flow kept for an angle [rad], or ``None``; a damaged file is set aside."""
        description = self._description(alpha)
        key = key_of(description)
        content = self._store.read(key, suffix=SUFFIX)
        if content is None:
            return None
        try:
            numbers, arrays = decode_arrays(content, key=key)
        except ValueError:
            self._store.set_aside(key, suffix=SUFFIX)
            return None
        return Flow(
            alpha=alpha,
            q=arrays["state"],
            circulation=numbers["circulation"],
            residual=numbers["residual"],
            converged=True,
            steps=numbers["steps"],
            factors=numbers["factors"],
            iterations=numbers["iterations"],
            history=tuple(float(r) for r in arrays["history"]),
        )

    def keep(self, flow: Flow) -> None:
        """Write a converged flow; another is left out, so that it is tried again."""
        if not flow.converged:
            return
        description = self._description(flow.alpha)
        key = key_of(description)
        numbers = {
            name: getattr(flow, name)
            for name in ("circulation", "residual", "steps", "factors", "iterations")
        }
        content = encode_arrays(
            key=key,
            title=f"flow at {math.degrees(flow.alpha):g} degrees around {self._title}",
            description=description,
            numbers=numbers,
            arrays={"state": flow.q, "history": np.array(flow.history)},
            columns=COLUMNS,
        )
        self._store.keep(key, content, suffix=SUFFIX)

    def _description(self, alpha: float) -> dict[str, Any]:
        return {**self._common, "alpha_deg": round(math.degrees(alpha), 9)}
