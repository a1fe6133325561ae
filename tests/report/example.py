"""An invented prediction, layout and flow fields: no number here was computed or measured."""

from pathlib import Path
from typing import Any

import numpy as np

Record = dict[str, Any]

ANGLES = [float(angle) for angle in range(-2, 21, 2)]
STATIONS = [0.03, 0.07, 0.10, 0.20]
HEIGHTS = (5.0, 8.0)
CAUTIONS = ["Slow flight & stalls kill: this page is no permission to fly.", "Only flights measure."]
WARNINGS = ["uncalibrated: the gain rests on few <published> cases"]
ROW_WARNINGS = ["the vane stands higher than the layer", "a vane near the tank's vent"]
LAYOUT_CAUTIONS = ["A vane in the way of a control surface can jam it."]
LAYOUT_WARNINGS = ["vane 3 meets a rib"]
SOURCES = ["DrelaGiles1987", "Wendt2001"]


def speed(kt: float, low: float, high: float) -> Record:
    """A speed as the record carries it."""
    return {"m_s": kt * 1852.0 / 3600.0, "kt": kt, "low_kt": low, "high_kt": high}


def row(candidate: str, station: float, height: float, fall: float, warning: str) -> Record:
    """One row of the position study."""
    return {
        "candidate": candidate,
        "station": station,
        "height_mm": height,
        "length_mm": 21.5,
        "pitch_mm": 77.7,
        "gap_mm": 19.3,
        "incidence_deg": 16.5,
        "arrangement": "counter-rotating",
        "opening": "downstream",
        "shape": "rectangular",
        "span_from_m": 0.65,
        "span_to_m": 4.35,
        "cl_max": 1.57,
        "stall_angle_deg": 19.2,
        "stall_speed": speed(38.6, 36.8, 40.3),
        "fall": speed(fall, 0.4, 2.9),
        "cruise_loss": speed(0.3, 0.1, 0.7),
        "cruise_drag_counts": {"value": 8.4, "low": 2.2, "high": 17.1},
        "layer_mm": 4.7,
        "skin_to_separation_mm": 533.0,
        "separation_mm": 612.0,
        "reason": "layer here 5 mm, your vane 8 mm",
        "warnings": [warning],
    }


def gain_table(candidate: str, height: float) -> Record:
    """One table of gains with two cells unanswered and losses at low angles."""
    gain: list[list[float | None]] = [
        [round(0.02 * height / 8.0 * (angle - 6.0) * (1.0 - 3.0 * abs(station - 0.1)), 4) for angle in ANGLES]
        for station in STATIONS
    ]
    gain[0][-1] = gain[3][-1] = None
    return {
        "candidate": candidate,
        "height_mm": height,
        "stations": STATIONS,
        "angles_deg": ANGLES,
        "gain": gain,
        "fall_kt": [0.9, 1.4, 1.7, None],
        "cruise_loss_kt": [0.2, 0.25, 0.3, None],
        "answered": [True, True, True, False],
    }


def curve(top: float) -> Record:
    """A lift curve with one angle unanswered and one not converged."""
    lift: list[float | None] = [round(min(0.085 * (angle + 4.0), top), 4) for angle in ANGLES]
    lift[-1] = None
    return {
        "wing_angles_deg": ANGLES,
        "cl": lift,
        "cd": [0.04 for _ in ANGLES],
        "speed_kt": [None if value is None else round(50.0 / value**0.5, 2) for value in lift],
        "separation": [None for _ in ANGLES],
        "section_angles_deg": [0.8 * angle for angle in ANGLES],
        "section_cl": lift,
        "converged": [*[True for _ in ANGLES[:-2]], False, True],
    }


def prediction() -> Record:
    """The whole record, new each time."""
    return {
        "kind": "prediction",
        "version": "0.9.9",
        "predicted_on": "2026-11-25",
        "aircraft": "Invented high-wing",
        "tier": "integral",
        "conditions": {
            "mass_kg": 548.0,
            "density_altitude_m": 300.0,
            "density_kg_m3": 1.19,
            "wing_area_m2": 12.7,
            "span_m": 9.3,
            "aspect_ratio": 6.81,
            "mean_chord_m": 1.37,
            "reference": "main wing without flap",
        },
        "assumptions": [
            {"field": "wing.incidence", "value": "2.5 deg", "why": "unknown; common practice, no source"},
            {"field": "vane.edges", "value": "rounded", "why": "not given; the less favorable"},
        ],
        "claim": {
            "speed": speed(35.2, 33.4, 37.1),
            "flap_deg": 17.0,
            "implied_cl": {"value": 2.13, "low": 1.91, "high": 2.37},
            "predicted_cl_max": {"value": 1.38, "low": 1.26, "high": 1.51},
            "finding": "lift too high",
            "sentence": "The slowest speed asks for more lift than this wing is predicted to give.",
            "explanations": ["the indicator reads low at a high angle"],
        },
        "attitude": {
            "three_point_deg": 12.5,
            "incidence_deg": 2.5,
            "wing_angle_deg": 15.0,
            "stall_angle_clean_deg": 17.5,
            "stall_angle_vanes_deg": 19.2,
            "reaches_clean_stall": False,
            "reaches_vane_stall": False,
            "sentence": "On its three wheels the wing stands at 15.0 deg and does not reach its stall.",
        },
        "settings": [
            {
                "flap_deg": 0.0,
                "predicted": True,
                "sentence": "flaperon up; its own lift is left out",
                "stall_speed_clean": speed(40.9, 39.2, 42.6),
                "stall_speed_vanes": speed(38.7, 36.7, 40.8),
                "binding_limit": "three-point attitude",
                "clean": curve(1.38),
                "vanes": curve(1.57),
                "row": row("printed", 0.10, 8.0, 1.7, ROW_WARNINGS[0]),
                "best": row("printed", 0.10, 8.0, 1.7, ROW_WARNINGS[0]),
                "two_rows": {
                    "stations": [0.10, 0.22],
                    "fall": speed(1.9, 0.0, 3.8),
                    "cruise_loss": speed(0.6, 0.0, 1.2),
                },
                "ties": [row("folded", 0.07, 8.0, 1.3, ROW_WARNINGS[1])],
                "gain_tables": [
                    gain_table(candidate, height) for candidate in ("printed", "folded") for height in HEIGHTS
                ],
            },
            {
                "flap_deg": 33.0,
                "predicted": False,
                "sentence": "not yet predicted: this version computes no hung flap that is down",
            },
        ],
        "measure_next": [
            {
                "name": "weight",
                "key": "aircraft.mass",
                "low": "531 kg",
                "high": "564 kg",
                "measure": "three scales under three wheels",
                "band_removed_kt": 0.573,
                "fall_band_removed_kt": 0.021,
                "clean_kt": [-0.4, 0.4],
                "fall_kt": [0.0, 0.0],
            }
        ],
        "rivals": [
            {"name": "less fuel", "change_kt": -0.83, "real": True, "how": "arithmetic"},
            {"name": "a hidden port", "change_kt": -1.13, "real": False, "how": "half the pressure"},
            {"name": "a wider slot", "change_kt": None, "real": True, "how": "not yet"},
        ],
        "marks": [
            {"name": "three-point", "wing_angle_deg": 15.0},
            {"name": "stall clean", "wing_angle_deg": 17.5},
        ],
        "verdict": {
            "finding": "worth a trial",
            "reasons": ["the predicted fall is larger than its price"],
            "would_settle": ["baseline stalls, three flights"],
        },
        "pictures": [
            {
                "section_angle_deg": 13.0,
                "wing_angle_deg": 17.5,
                "speed_kt": 40.4,
                "clean": {"field": "clean.npz", "cl": 1.37, "cd": 0.0312, "separation": 0.55},
                "vanes": {
                    "field": "vanes.npz",
                    "cl": 1.54,
                    "cd": 0.0347,
                    "separation": None,
                    "station": 0.10,
                    "height_mm": 8.0,
                },
                "lift_change_percent": 12.4,
                "drag_change_counts": -35.0,
            }
        ],
        "cautions": list(CAUTIONS),
        "warnings": list(WARNINGS),
        "sources": list(SOURCES),
    }


def opinion() -> Record:
    """Both tiers on the first flap setting; the other could not be asked."""

    def wing(top: float, kt: float, fall: float | None) -> Record:
        found = {
            "problem": "", "cl_max": top, "stall_angle_deg": 16.0, "rising": fall is not None,
            "curve": curve(top), "warnings": [], "stall_speed": speed(kt, kt - 1.0, kt + 1.0),
        }  # fmt: skip
        if fall is not None:
            found |= {"gain": 0.1, "fall": {"kt": fall, "low_kt": 0.0, "high_kt": 2.0 * fall}}
        return found

    def with_row(top: float, kt: float, fall: float) -> Record:
        return {**wing(top, kt, fall), "credited": wing(top - 0.1, kt + 0.3, fall - 0.3)}

    def one(name: str, *stations: float, chosen: bool = False) -> Record:
        return {
            "name": name, "stations": list(stations), "chosen": chosen, "single": len(stations) == 1,
            "seconds": with_row(1.60, 38.9, 2.1), "minutes": with_row(1.58, 38.2, 1.4), "section": {},
        }  # fmt: skip

    return {
        "kind": "second-opinion",
        "aircraft": "Invented high-wing",
        "candidate": "printed",
        "height_mm": 8.0,
        "grid": "preview",
        "conditions": "both tiers turbulent from the nose",
        "bands": "6 % of lift",
        "three_point_wing_deg": 15.0,
        "every_row": True,
        "stations_asked": [],
        "findings": ["Flap 0\u00b0, without vanes: the two tiers differ."],
        "practice": [
            {
                "said": "little change at 0\u00b0",
                "seconds": {"found": "at most +0.4 %", "agrees": True},
                "minutes": {"found": "no answer", "agrees": None},
            }
        ],
        "settings": [
            {
                "flap_deg": 0.0,
                "problem": "",
                "clean": {
                    "seconds": wing(1.38, 41.0, None),
                    "minutes": wing(1.43, 40.1, None),
                    "section": {},
                },
                "rows": [
                    one("at 5 %", 0.05),
                    one("at 10 %", 0.10, chosen=True),
                    one("two rows, at 5 and 17 %", 0.05, 0.17),
                ],
            },
            {"flap_deg": 33.0, "problem": "not predicted: no such flap"},
        ],
        "cautions": list(CAUTIONS),
        "warnings": ["the preview grid is for a first look"],
        "sources": ["NASATMR"],
    }


def layout() -> Record:
    """Two pairs of vanes, one on each side."""
    vanes = [
        {
            "side": side,
            "number": number + 1,
            "span_position_mm": 650.0 + 19.3 * number,
            "hand": hand,
            "chord_distance_mm": 137.0,
            "skin_distance_mm": 158.8,
            "toe_deg": toe,
        }
        for side in ("left", "right")
        for number, (hand, toe) in enumerate((("A", 16.5), ("B", -16.5)))
    ]
    return {
        "kind": "layout",
        "candidate": "printed",
        "row": {
            "station": 0.10,
            "surface": "upper",
            "height_mm": 8.0,
            "span_from_mm": 640.0,
            "span_to_mm": 4360.0,
        },
        "reference": {
            "toe": "positive where the forward tip lies outboard",
            "hand": {"A": "leaning like \\", "B": "leaning like /"},
        },
        "vanes": vanes,
        "counts": {"to_make": {"A": 3, "B": 4}},
        "mass_fitted_kg": 0.012,
        "cautions": list(LAYOUT_CAUTIONS),
        "warnings": list(LAYOUT_WARNINGS),
        "files": ["row 1.pdf"],
    }


def save_field(path: Path, *, angle_deg: float = 13.0, left_out: str = "") -> Path:
    """Save a uniform stream past a thin ellipse, with a patch marked as separated."""
    x, y = np.linspace(-0.5, 1.6, 64), np.linspace(-0.5, 0.6, 40)
    across, up = np.meshgrid(x, y)
    inside = ((across - 0.5) / 0.5) ** 2 + (up / 0.07) ** 2 < 1.0
    around = np.linspace(0.0, 2.0 * np.pi, 60)
    arrays: dict[str, Any] = {
        "x": x,
        "y": y,
        "u": np.where(inside, np.nan, np.cos(np.radians(angle_deg))),
        "v": np.where(inside, np.nan, np.sin(np.radians(angle_deg))),
        "slow": (across > 0.6) & (across < 1.2) & (up > 0.0) & (up < 0.1),
        "outline_x": 0.5 + 0.5 * np.cos(around),
        "outline_y": 0.07 * np.sin(around),
    }
    arrays.pop(left_out, None)
    np.savez_compressed(path, **arrays)
    return path
