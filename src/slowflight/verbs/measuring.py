"""Measuring the wing at home: sheets, a rib's photograph, daylight under the nose gauge, a flap's hinge."""

from __future__ import annotations

import datetime
import io
from pathlib import Path
from typing import Any

import numpy as np

from slowflight import units
from slowflight.errors import InputError, library_missing
from slowflight.layout.files import replace_file
from slowflight.project import Project, open_project
from slowflight.verbs.readings_table import number_in, read_readings
from slowflight.wing.airfoils import airfoil
from slowflight.wing.gauge_correction import Daylight, corrected_outline
from slowflight.wing.hinge_fit import HingeReading, solve_hinge
from slowflight.wing.outline import FloatArray
from slowflight.wing.photo.rib_photo import RibOutline, load_gray, outline_from_photo
from slowflight.wing.points_file import points_text
from slowflight.wing.wing_file import WingFile, read_wing_file

PAPERS = ("a4", "letter")
FOLDER = "measure"
CAUTIONS = (
    "Measured, not proven: look at the result against the wing, with a gauge cut from it, before it decides"
    " anything. Nothing here is a clearance to fly slower.",
)


def measuring_sheets(folder: str | Path, *, station: int = 1) -> dict[str, Any]:
    """Write photo cards, offset sheet and half templates for one measured station.

    Parameters
    ----------
    folder : str or Path
        A project folder.
    station : int, optional
        Which ``[[wing.section]]`` of wing.toml, from 1.

    Returns
    -------
    dict
        ``files`` written and ``cautions``.

    Raises
    ------
    InputError
        Where wing.toml cannot be used or has no such station.
    SlowflightError
        Where the library that draws is not installed.
    """
    project, file = _opened(folder)
    known = file.wing.stations[_index(file, station)]
    try:
        from slowflight.layout.measuring_sheets import write_measuring_sheets
        from slowflight.layout.strip_page import SheetTitle
    except ModuleNotFoundError as missing:
        raise library_missing("measure", library=missing.name, extra="layout") from None
    today = datetime.date.today().isoformat()
    title = SheetTitle(aircraft=file.aircraft.name, revision="-", made_on=today, trial=False)
    place = (
        f"station {station}, {units.format_length(known.span_station, 'mm', decimals=0)} from the centerline"
    )
    folder_ = project.ready(project.folder / FOLDER)
    files = [
        write_measuring_sheets(
            folder_ / f"sheets-{paper}.pdf",
            paper=paper,
            title=title,
            chord_mm=1000.0 * known.chord,
            place=place,
        )
        for paper in PAPERS
    ]
    return {"kind": "sheets", "files": [str(each) for each in files], "cautions": list(CAUTIONS)}


def measure_photo(folder: str | Path, photo: str | Path, *, chord: str) -> dict[str, Any]:
    """Turn a photograph of a rib with both cards into an airfoil file.

    Parameters
    ----------
    folder : str or Path
        A project folder.
    photo : str or Path
        The picture, the rib's upper side up.
    chord : str
        By tape, such as ``"1370 mm"``.

    Returns
    -------
    dict
        The airfoil ``file``, a ``check`` picture with the outline drawn in, the fit error and what the cards
        say, in plain data.

    Raises
    ------
    InputError
        With the reason, where the picture is not good enough.
    SlowflightError
        Where the library that reads pictures is not installed.
    """
    project, _ = _opened(folder)
    length = 1000.0 * units.length(chord, where="--chord")
    gray = load_gray(photo)
    found = outline_from_photo(gray, chord=length, where=str(photo))
    place = project.ready(project.folder / FOLDER)
    stem = Path(photo).stem
    remarks = (
        f"from the photograph {Path(photo).name}",
        f"edge {found.fit_mm:.2f} mm rms about the smooth outline; targets {found.camera.residual_mm:.2f} mm"
        " rms",
    )
    text = points_text(found.points, name=f"{stem}, photographed", chord_mm=length, remarks=remarks)
    target = replace_file(place / f"{stem}.dat", text.encode("utf-8"))
    section = airfoil(str(target))
    check = _check_picture(gray, found, place / f"{stem}-check.png")
    return {
        "kind": "photo",
        "file": str(target),
        "check": str(check),
        "chord_mm": length,
        "chord_by_cards_off_percent": 100.0 * found.scale_off,
        "pixel_mm": found.camera.pixel_mm,
        "targets_off_mm": found.camera.residual_mm,
        "lens": found.camera.lens,
        "fit_mm": found.fit_mm,
        "fit_most_mm": found.fit_most_mm,
        "contrast": found.silhouette.contrast,
        "blur_pixels": found.silhouette.blur_px,
        "thickness_percent": 100.0 * section.max_thickness,
        "notes": list(section.notes),
        "files": [str(target), str(check)],
        "cautions": [*CAUTIONS, *section.cautions],
        "sources": ["HartleyZisserman2004"],
    }


def measure_gauge(folder: str | Path, readings: str | Path, *, station: int = 1) -> dict[str, Any]:
    """Correct a section by the daylight under its nose gauge.

    Parameters
    ----------
    folder : str or Path
        A project folder.
    readings : str or Path
        A table with the columns side, along_skin_mm and gap_mm.
    station : int, optional
        Which ``[[wing.section]]`` of wing.toml, from 1.

    Returns
    -------
    dict
        The corrected airfoil ``file`` and how far the outline moved.

    Raises
    ------
    InputError, RangeError
        Where the table or a reading cannot be used.
    """
    project, file = _opened(folder)
    known = file.wing.stations[_index(file, station)]
    lines = read_readings(readings, ("side", "along_skin_mm", "gap_mm"))
    daylight = []
    for where, cells in lines:
        side = cells["side"].strip().lower()
        if side not in ("upper", "lower"):
            raise InputError(where=f"{where} side", found=repr(cells["side"]), needed="upper or lower")
        daylight.append(
            Daylight(
                side=side,
                along_skin=1e-3 * number_in(cells, "along_skin_mm", where),
                gap=1e-3 * number_in(cells, "gap_mm", where),
            )
        )
    points = 1000.0 * corrected_outline(known.section, chord=known.chord, readings=daylight)
    place = project.ready(project.folder / FOLDER)
    stem = f"{Path(known.airfoil).stem}-corrected"
    text = points_text(
        points, name=f"{stem}, by {len(daylight)} feeler readings", chord_mm=1000.0 * known.chord
    )
    target = replace_file(place / f"{stem}.dat", text.encode("utf-8"))
    section = airfoil(str(target))
    return {
        "kind": "gauge",
        "file": str(target),
        "readings": len(daylight),
        "most_mm": 1000.0 * max(reading.gap for reading in daylight),
        "notes": list(section.notes),
        "files": [str(target)],
        "cautions": [*CAUTIONS, *section.cautions],
    }


def measure_hinge(folder: str | Path, readings: str | Path, *, bolt: str | None = None) -> dict[str, Any]:
    """Solve where a hung flap's axis is.

    Parameters
    ----------
    folder : str or Path
        A project folder whose wing.toml has a hung flap with its chord and airfoil.
    readings : str or Path
        A table with the columns angle_deg, gap_mm, trailing_edge_below_mm and, where measured,
        trailing_edge_aft_mm.
    bolt : str, optional
        Axis behind the flap's nose along its chord line, such as ``"82 mm"``.

    Returns
    -------
    dict
        The axis in the words of wing.toml, with errors and every residual.

    Raises
    ------
    InputError, RangeError
        Where the flap, the table or the readings cannot be used.
    """
    _, file = _opened(folder)
    flap = file.flap
    if flap is None or flap.kind != "hung" or flap.airfoil is None:
        raise InputError(
            where=f"{file.path}: flap", found="no hung flap with an airfoil of its own",
            needed='kind = "hung", chord and airfoil', fix="write what the plans say first",
        )  # fmt: skip
    main = file.wing.stations[0]
    chord, flap_chord = main.chord, flap.chord * main.chord
    needed = ("angle_deg", "gap_mm", "trailing_edge_below_mm")
    found = []
    for where, cells in read_readings(readings, needed):
        aft = cells.get("trailing_edge_aft_mm", "").strip()
        found.append(
            HingeReading(
                angle=np.radians(number_in(cells, "angle_deg", where)),
                gap=1e-3 * number_in(cells, "gap_mm", where),
                trailing_edge_below=1e-3 * number_in(cells, "trailing_edge_below_mm", where),
                trailing_edge_aft=1e-3 * number_in(cells, "trailing_edge_aft_mm", where) if aft else None,
            )
        )
    fit = solve_hinge(
        main.section, airfoil(flap.airfoil, base_folder=file.path.parent), chord=chord, flap_chord=flap_chord,
        readings=found, bolt=None if bolt is None else units.length(bolt, where="--bolt"),
    )  # fmt: skip
    return {
        "kind": "hinge",
        "axis_aft_mm": 1e3 * fit.axis_aft, "axis_aft_error_mm": 1e3 * fit.error_aft,
        "axis_below_mm": 1e3 * fit.axis_below, "axis_below_error_mm": 1e3 * fit.error_below,
        "axis_in_flap_mm": 1e3 * fit.axis_in_flap * flap_chord,
        "axis_in_flap_error_mm": 1e3 * fit.error_in_flap * flap_chord,
        "wing_toml": [
            f'axis_aft = "{100 * fit.axis_aft / chord:.2f} %"',
            f'axis_below = "{100 * fit.axis_below / chord:.2f} %"',
            f'axis_in_flap = "{100 * fit.axis_in_flap:.1f} %"',
        ],
        "residuals": [
            {
                "angle_deg": float(np.degrees(r.angle)),
                "gap_mm": 1e3 * gap,
                "trailing_edge_below_mm": 1e3 * height,
            }
            for r, (gap, height) in zip(found, fit.residuals, strict=True)
        ],
        "worst_mm": 1e3 * fit.worst,
        "files": [],
        "cautions": list(CAUTIONS),
    }  # fmt: skip


def _opened(folder: str | Path) -> tuple[Project, WingFile]:
    project = open_project(folder)
    return project, read_wing_file(project.wing_file)


def _index(file: WingFile, station: int) -> int:
    count = len(file.wing.stations)
    if not 1 <= station <= count:
        raise InputError(
            where="--station", found=str(station), needed=f"1 to {count}, a [[wing.section]] of {file.path}"
        )
    return station - 1


def _check_picture(gray: FloatArray, found: RibOutline, path: Path) -> Path:
    """The picture, smaller, with the edge that was followed."""
    from PIL import Image, ImageDraw

    shrink = max(1, round(max(gray.shape) / 1800))
    small = Image.fromarray((255.0 * gray).astype(np.uint8)).convert("RGB").reduce(shrink)
    draw = ImageDraw.Draw(small)
    edge = [(float(x) / shrink, float(y) / shrink) for x, y in found.silhouette.edge]
    draw.line([*edge, edge[0]], fill=(220, 30, 30), width=2)
    written = io.BytesIO()
    small.save(written, format="PNG")
    return replace_file(path, written.getvalue())
