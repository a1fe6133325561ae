"""What an owner can ask for; Python, the command line and the browser all call these.

A verb takes what the owner wrote (text with units, file names), turns it into the frozen objects the rooms
below work on, and returns the room's own result. It prints nothing.
"""

from slowflight.flow.solution import FlowPoint, LiftCurve
from slowflight.sources import describe_all as describe_sources
from slowflight.study.pool import usable_cores
from slowflight.verbs.clips import film_clip, sweep_clip
from slowflight.verbs.demonstration import DemoResult, demo
from slowflight.verbs.distributions import check_destination, write_distributions
from slowflight.verbs.evidence import Evidence, evidence
from slowflight.verbs.evidence_plot import check_plot, plot_evidence
from slowflight.verbs.explaining import explain_test
from slowflight.verbs.figuring import figures
from slowflight.verbs.flying import fly
from slowflight.verbs.flying_add import add_flights
from slowflight.verbs.flying_marks import draw_stalls, restore_stall, strike_stall
from slowflight.verbs.flying_plan import plan_flights
from slowflight.verbs.flying_tufts import reduce_tufts
from slowflight.verbs.installing import installed
from slowflight.verbs.laying_out import layout
from slowflight.verbs.measuring import measure_gauge, measure_hinge, measure_photo, measuring_sheets
from slowflight.verbs.minutes_positions import Positions, positions
from slowflight.verbs.packing import pack
from slowflight.verbs.predicting import predict
from slowflight.verbs.records import lift_curve_record, shortfall
from slowflight.verbs.reporting import report, report_pdf
from slowflight.verbs.second_opinion import second_opinion
from slowflight.verbs.section_sweep import lift_curve
from slowflight.verbs.stations import stations_from
from slowflight.verbs.unpacking import unpack

__all__ = [
    "DemoResult",
    "Evidence",
    "FlowPoint",
    "LiftCurve",
    "Positions",
    "add_flights",
    "check_destination",
    "check_plot",
    "demo",
    "describe_sources",
    "draw_stalls",
    "evidence",
    "explain_test",
    "figures",
    "film_clip",
    "fly",
    "installed",
    "layout",
    "lift_curve",
    "lift_curve_record",
    "measure_gauge",
    "measure_hinge",
    "measure_photo",
    "measuring_sheets",
    "pack",
    "plan_flights",
    "plot_evidence",
    "positions",
    "predict",
    "reduce_tufts",
    "report",
    "report_pdf",
    "restore_stall",
    "second_opinion",
    "shortfall",
    "stations_from",
    "strike_stall",
    "sweep_clip",
    "unpack",
    "usable_cores",
    "write_distributions",
]
