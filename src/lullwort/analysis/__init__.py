"""From readings to level, slope and points left: streaming, pure, one small class a concept."""

from __future__ import annotations

from lullwort.analysis.answers import ANSWER_EXPLAINED, Lesson, Unusable, WhyNot, answer_of, answers_in
from lullwort.analysis.bank import TailBank
from lullwort.analysis.calibrated import settled_gravities
from lullwort.analysis.calibration import (
    CALIBRATION_EXPLAINED,
    CalibrationFit,
    OrderTried,
    calibrate,
    calibrated_sd,
    calibrated_sg,
)
from lullwort.analysis.common_units import gravities_sg, vessel_readings
from lullwort.analysis.correct import GravityCorrection
from lullwort.analysis.course import CourseHour, hourly_course
from lullwort.analysis.fallrecord import FallBlock, FallRecord
from lullwort.analysis.handreading import HandReading, hand_reading, instrument_of
from lullwort.analysis.hours import Hour, HourGatherer, hour_end
from lullwort.analysis.noise import SensorNoise
from lullwort.analysis.screen import (
    BAD_GRAVITY,
    BAD_TEMPERATURE,
    BEYOND_CALIBRATION,
    GRAVITY_RANGE,
    TEMP_RANGE_C,
    UNCALIBRATED,
    WHY_PASSED_OVER,
    reasons_to_pass_over,
)
from lullwort.analysis.settle import SAME_DEGREES, SAME_GRAVITY_SG, SAME_TEMPERATURE_C, Settled, settle
from lullwort.analysis.steps import LiftWatch, Misfit, StepWatch
from lullwort.analysis.trend import Trend

__all__ = [
    "ANSWER_EXPLAINED",
    "BAD_GRAVITY",
    "BAD_TEMPERATURE",
    "BEYOND_CALIBRATION",
    "CALIBRATION_EXPLAINED",
    "GRAVITY_RANGE",
    "SAME_DEGREES",
    "SAME_GRAVITY_SG",
    "SAME_TEMPERATURE_C",
    "TEMP_RANGE_C",
    "UNCALIBRATED",
    "WHY_PASSED_OVER",
    "CalibrationFit",
    "CourseHour",
    "FallBlock",
    "FallRecord",
    "GravityCorrection",
    "HandReading",
    "Hour",
    "HourGatherer",
    "Lesson",
    "LiftWatch",
    "Misfit",
    "OrderTried",
    "SensorNoise",
    "Settled",
    "StepWatch",
    "TailBank",
    "Trend",
    "Unusable",
    "WhyNot",
    "answer_of",
    "answers_in",
    "calibrate",
    "calibrated_sd",
    "calibrated_sg",
    "gravities_sg",
    "hand_reading",
    "hour_end",
    "hourly_course",
    "instrument_of",
    "reasons_to_pass_over",
    "settle",
    "settled_gravities",
    "vessel_readings",
]
