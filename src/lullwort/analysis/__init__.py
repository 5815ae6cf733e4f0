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
from lullwort.analysis.course import WHY_PASSED_BY, CourseHour, CourseReadings, course_readings, hourly_course
from lullwort.analysis.fallrecord import FallBlock, FallRecord
from lullwort.analysis.handreading import hand_reading, hand_readings
from lullwort.analysis.hours import LONE_SPIKE, Hour, HourGatherer, hour_end
from lullwort.analysis.nocurve import NoCurveError
from lullwort.analysis.noise import SensorNoise
from lullwort.analysis.originalgravity import ENTERED_SD, MeasuredOriginal, measured_original
from lullwort.analysis.sampleread import (
    SAMPLE_EXPLAINED,
    WORT_SAMPLE_US,
    HandReading,
    instrument_of,
    is_wort_sample,
    read_sample,
)
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
from lullwort.analysis.sensorstood import sensor_stood
from lullwort.analysis.settle import SAME_DEGREES, SAME_GRAVITY_SG, SAME_TEMPERATURE_C, Settled, settle
from lullwort.analysis.stepdown import StepDown, steps_down
from lullwort.analysis.steps import LiftWatch, Misfit, StepWatch
from lullwort.analysis.trend import Trend

__all__ = [
    "ANSWER_EXPLAINED",
    "BAD_GRAVITY",
    "BAD_TEMPERATURE",
    "BEYOND_CALIBRATION",
    "CALIBRATION_EXPLAINED",
    "ENTERED_SD",
    "GRAVITY_RANGE",
    "LONE_SPIKE",
    "SAME_DEGREES",
    "SAME_GRAVITY_SG",
    "SAME_TEMPERATURE_C",
    "SAMPLE_EXPLAINED",
    "TEMP_RANGE_C",
    "UNCALIBRATED",
    "WHY_PASSED_BY",
    "WHY_PASSED_OVER",
    "WORT_SAMPLE_US",
    "CalibrationFit",
    "CourseHour",
    "CourseReadings",
    "FallBlock",
    "FallRecord",
    "GravityCorrection",
    "HandReading",
    "Hour",
    "HourGatherer",
    "Lesson",
    "LiftWatch",
    "MeasuredOriginal",
    "Misfit",
    "NoCurveError",
    "OrderTried",
    "SensorNoise",
    "Settled",
    "StepDown",
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
    "course_readings",
    "gravities_sg",
    "hand_reading",
    "hand_readings",
    "hour_end",
    "hourly_course",
    "instrument_of",
    "is_wort_sample",
    "measured_original",
    "read_sample",
    "reasons_to_pass_over",
    "sensor_stood",
    "settle",
    "settled_gravities",
    "steps_down",
    "vessel_readings",
]
