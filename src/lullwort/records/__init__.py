"""The shapes that every part passes to the next: readings, a batch, an event. No behaviour beyond checks."""

from __future__ import annotations

from lullwort.records.alert import ALERT_KINDS, OF_A_MOMENT, Alert, AlertKind, Subject
from lullwort.records.batch import (
    ATTENUATION,
    BESIDE_A_BATCH,
    CAUTIONS,
    EVENT_KINDS,
    PLACE_C,
    TOLERANCE_POINTS,
    VOLUME_L,
    Batch,
    Caution,
    Event,
)
from lullwort.records.block import COMMON_UNITS, VALUE_COLUMNS, Block, ReportedUnits, SetAside
from lullwort.records.drill import as_drill, is_drill
from lullwort.records.ids import check_id, near_id
from lullwort.records.instrument import DIVISIONS, INSTRUMENT_KINDS, UNCHECKED_SD, Instrument, InstrumentKind
from lullwort.records.keys import key64
from lullwort.records.packagingday import (
    CONTAINER_NAMES,
    SUGAR_NAMES,
    BottleLot,
    ContainerName,
    PackagingDay,
    SugarName,
)
from lullwort.records.reading import Reading
from lullwort.records.sensortraits import (
    ANSWER_BEYOND_K,
    AnswerInBatch,
    Calibration,
    CalibrationPoint,
    GravityReported,
    RawValue,
    SensorTraits,
    TemperatureAnswer,
)
from lullwort.records.times import HOUR_US, NOT_BEFORE_US, format_utc, from_datetime, parse_instant, to_datetime
from lullwort.records.vesselreadings import VesselReadings
from lullwort.records.zones import ZONE_NAME, zone_info

__all__ = [
    "ALERT_KINDS",
    "ANSWER_BEYOND_K",
    "ATTENUATION",
    "BESIDE_A_BATCH",
    "CAUTIONS",
    "COMMON_UNITS",
    "CONTAINER_NAMES",
    "DIVISIONS",
    "EVENT_KINDS",
    "HOUR_US",
    "INSTRUMENT_KINDS",
    "NOT_BEFORE_US",
    "OF_A_MOMENT",
    "PLACE_C",
    "SUGAR_NAMES",
    "TOLERANCE_POINTS",
    "UNCHECKED_SD",
    "VALUE_COLUMNS",
    "VOLUME_L",
    "ZONE_NAME",
    "Alert",
    "AlertKind",
    "AnswerInBatch",
    "Batch",
    "Block",
    "BottleLot",
    "Calibration",
    "CalibrationPoint",
    "Caution",
    "ContainerName",
    "Event",
    "GravityReported",
    "Instrument",
    "InstrumentKind",
    "PackagingDay",
    "RawValue",
    "Reading",
    "ReportedUnits",
    "SensorTraits",
    "SetAside",
    "Subject",
    "SugarName",
    "TemperatureAnswer",
    "VesselReadings",
    "as_drill",
    "check_id",
    "format_utc",
    "from_datetime",
    "is_drill",
    "key64",
    "near_id",
    "parse_instant",
    "to_datetime",
    "zone_info",
]
