"""What is on record, written for other programs and for another book: each file whole or not at all."""

from __future__ import annotations

from lullwort.exporting.batchcurve import BatchCurve, SampleMark, Tick, batch_curve, gravities_shown, held_shown
from lullwort.exporting.batchesfile import batches_text
from lullwort.exporting.calendarfile import calendar_text
from lullwort.exporting.columns import Written, battery_unit
from lullwort.exporting.csvfile import write_csv
from lullwort.exporting.curve import curve_svg
from lullwort.exporting.curveground import CurveGround, Present, curve_ground, runs, smooth_runs
from lullwort.exporting.curveheld import HeldStill, held_still
from lullwort.exporting.curvelines import band, extremes, line, strokes
from lullwort.exporting.curvemarks import LANE, event_marks, held_boxes, placed, sample_marks, samples_joined
from lullwort.exporting.curvepanel import (
    UNITS_ON_AXIS,
    Axis,
    CurveSize,
    Panel,
    clock_marks,
    day_marks,
    grid,
    level_line,
)
from lullwort.exporting.curvesays import FEW_DAYS, curve_says, moment_of
from lullwort.exporting.curvestyle import CURVE_STYLE
from lullwort.exporting.escaped import escaped
from lullwort.exporting.inks import INKS
from lullwort.exporting.overlay import DrawnCourse, frame_of, overlay_svg, ticks
from lullwort.exporting.parquetfile import write_parquet
from lullwort.exporting.record import batch_record, record_text
from lullwort.exporting.recordshape import SCHEMA_ID, BatchRecord, schema_text
from lullwort.exporting.senmlfile import write_senml
from lullwort.exporting.sheetfile import sheet_html
from lullwort.exporting.sheetroom import Room, room_for, shown_events
from lullwort.exporting.wholefile import whole_file, write_text

__all__ = [
    "CURVE_STYLE",
    "FEW_DAYS",
    "INKS",
    "LANE",
    "SCHEMA_ID",
    "UNITS_ON_AXIS",
    "Axis",
    "BatchCurve",
    "BatchRecord",
    "CurveGround",
    "CurveSize",
    "DrawnCourse",
    "HeldStill",
    "Panel",
    "Present",
    "Room",
    "SampleMark",
    "Tick",
    "Written",
    "band",
    "batch_curve",
    "batch_record",
    "batches_text",
    "battery_unit",
    "calendar_text",
    "clock_marks",
    "curve_ground",
    "curve_says",
    "curve_svg",
    "day_marks",
    "escaped",
    "event_marks",
    "extremes",
    "frame_of",
    "gravities_shown",
    "grid",
    "held_boxes",
    "held_shown",
    "held_still",
    "level_line",
    "line",
    "moment_of",
    "overlay_svg",
    "placed",
    "record_text",
    "room_for",
    "runs",
    "sample_marks",
    "samples_joined",
    "schema_text",
    "sheet_html",
    "shown_events",
    "smooth_runs",
    "strokes",
    "ticks",
    "whole_file",
    "write_csv",
    "write_parquet",
    "write_senml",
    "write_text",
]
