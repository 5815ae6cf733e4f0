"""The course of a batch hour by hour, as the detector is given it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis.calibrated import settled_gravities
from lullwort.analysis.correct import GravityCorrection
from lullwort.analysis.hours import WHY_LEFT_OUT, Gathered, Hour, HourGatherer
from lullwort.records import HOUR_US, Batch, VesselReadings

__all__ = ["WHY_PASSED_BY", "CourseHour", "CourseReadings", "course_readings", "hourly_course"]


class CourseHour(NamedTuple):
    """One clock hour that ends at `end_us` [µs]: median gravity [points] and temperature [°C], None if there is none.

    The gravity is corrected for temperature; what the sensor reads too high is still in it. `reported` [SG] is as
    `sensor` gave it, in steps of `resolution` [points], 0 where not known.
    """

    end_us: int
    points: float | None
    temperature_c: float | None
    reported: float | None = None
    sensor: str | None = None
    resolution: float = 0.0


class CourseReadings(NamedTuple):
    """Every single reading of a course, column by column, in order of time.

    Attributes:
        at_us:  [µs].
        points: [points] corrected as the hours are; of what was passed over, and lies beyond correcting, as reported.
            NaN where there is none.
        temperature_c: [°C] as reported; NaN where not given.
        why:    its place in WHY_PASSED_BY of why its gravity is in no hour; 0 where it is.
    """

    at_us: NDArray[np.int64]
    points: NDArray[np.float32]
    temperature_c: NDArray[np.float32]
    why: NDArray[np.int8]


WHY_PASSED_BY = (*WHY_LEFT_OUT, "no temperature known by which to correct it")
"""Reasons by number, 0 for none."""
_UNCORRECTED = len(WHY_PASSED_BY) - 1


def hourly_course(batch: Batch, readings: VesselReadings, as_of_us: int) -> Iterator[CourseHour]:
    """Every hour with a value, from the pitch to the last one that was over at `as_of_us` [µs].

    Args:    readings: those that the batch owns, in any order.
    """
    gathered = _gathered(batch, readings, as_of_us)
    for hour, correction, temp_c in _with_correction(batch, gathered.hours):
        points = None if hour.gravity is None else correction.points(hour.gravity, temp_c, hour.sensor)
        if points is not None or hour.temperature_c is not None:
            yield CourseHour(hour.end_us, points, hour.temperature_c, hour.gravity, hour.sensor, hour.resolution_points)


def course_readings(batch: Batch, readings: VesselReadings, as_of_us: int) -> CourseReadings:
    """The readings in the hours that `hourly_course` gives, each with its own gravity.

    Args:    as those of `hourly_course`.
    """
    hours, of_hours, why = _gathered(batch, readings, as_of_us)
    points, why = np.full(len(of_hours), np.nan, dtype=np.float32), why.copy()
    names = [of_hours.sensors[code] for code in of_hours.sensor_codes]
    values = of_hours.gravity.tolist()
    temps_c: list[float] = of_hours.temperature_c.tolist()
    upto = np.searchsorted(of_hours.at_us, [hour.end_us for hour in hours]).tolist()
    begin = 0
    for (_, correction, hour_c), end in zip(_with_correction(batch, hours), upto, strict=True):
        for i in range(begin, end):
            gravity, temp_c = values[i], temps_c[i]
            if gravity == gravity:  # not NaN
                found = correction.points(gravity, hour_c if temp_c != temp_c else temp_c, names[i])
                if found is not None:
                    points[i] = found
                elif why[i]:
                    points[i] = (gravity - 1.0) * 1000.0
                else:
                    why[i] = _UNCORRECTED
        begin = end
    return CourseReadings(of_hours.at_us, points, of_hours.temperature_c.astype(np.float32), why)


def _gathered(batch: Batch, readings: VesselReadings, as_of_us: int) -> Gathered:
    gatherer = HourGatherer()
    settled = settled_gravities(batch, readings).readings
    gatherer.add(settled.within(batch.pitched_us, as_of_us // HOUR_US * HOUR_US))
    return gatherer.close_telling(as_of_us)


def _with_correction(batch: Batch, hours: Sequence[Hour]) -> Iterator[tuple[Hour, GravityCorrection, float | None]]:
    """Each hour with what corrects it, as it stands until the next one is asked for, and its temperature [°C]."""
    correction = GravityCorrection(batch)
    additions = [event for event in batch.events if event.points is not None]
    temp_c = batch.steady_temperature_c
    for hour in hours:
        while additions and additions[0].at_us < hour.end_us - HOUR_US:
            correction.add_points(additions.pop(0).points_of_original)
        # An hour without a temperature of its own has the last one's, or where there is none the steady one.
        temp_c = next((t for t in (hour.temperature_c, batch.steady_temperature_c, temp_c) if t is not None), None)
        yield hour, correction, temp_c
