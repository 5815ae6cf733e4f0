"""What is on record, written for other programs and for another book: each file whole or not at all."""

from __future__ import annotations

from lullwort.exporting.batchcurve import BatchCurve, batch_curve
from lullwort.exporting.batchesfile import batches_text
from lullwort.exporting.calendarfile import calendar_text
from lullwort.exporting.columns import Written, battery_unit
from lullwort.exporting.csvfile import write_csv
from lullwort.exporting.curve import CURVE_STYLE, CurveSize, curve_says, curve_svg
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
    "INKS",
    "SCHEMA_ID",
    "BatchCurve",
    "BatchRecord",
    "CurveSize",
    "DrawnCourse",
    "Room",
    "Written",
    "batch_curve",
    "batch_record",
    "batches_text",
    "battery_unit",
    "calendar_text",
    "curve_says",
    "curve_svg",
    "escaped",
    "frame_of",
    "overlay_svg",
    "record_text",
    "room_for",
    "schema_text",
    "sheet_html",
    "shown_events",
    "ticks",
    "whole_file",
    "write_csv",
    "write_parquet",
    "write_senml",
    "write_text",
]
