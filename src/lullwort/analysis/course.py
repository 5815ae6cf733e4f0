"""The course of a batch hour by hour, as the detector is given it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from lullwort.analysis.calibrated import settled_gravities
from lullwort.analysis.correct import GravityCorrection
from lullwort.analysis.hours import HourGatherer
from lullwort.records import HOUR_US, Batch, VesselReadings

__all__ = ["CourseHour", "hourly_course"]


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


def hourly_course(batch: Batch, readings: VesselReadings, as_of_us: int) -> Iterator[CourseHour]:
    """Every hour with a value, from the pitch to the last one that was over at `as_of_us` [µs].

    Args:    readings: those that the batch owns, in any order.
    """
    gatherer, correction = HourGatherer(), GravityCorrection(batch)
    additions = [event for event in batch.events if event.points is not None]
    settled = settled_gravities(batch, readings).readings
    gatherer.add(settled.within(batch.pitched_us, as_of_us // HOUR_US * HOUR_US))
    temp_c = batch.steady_temperature_c
    for hour in gatherer.close(as_of_us):
        while additions and additions[0].at_us < hour.end_us - HOUR_US:
            correction.add_points(additions.pop(0).points_of_original)
        # An hour without a temperature of its own has the last one's, or where there is none the steady one.
        temp_c = next((t for t in (hour.temperature_c, batch.steady_temperature_c, temp_c) if t is not None), None)
        points = None if hour.gravity is None else correction.points(hour.gravity, temp_c, hour.sensor)
        if points is not None or hour.temperature_c is not None:
            yield CourseHour(hour.end_us, points, hour.temperature_c, hour.gravity, hour.sensor, hour.resolution_points)
