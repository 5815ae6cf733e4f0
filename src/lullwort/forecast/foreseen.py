"""What is foreseen of a batch from its readings, in whatever order they are given."""

from __future__ import annotations

from lullwort.analysis import settled_gravities
from lullwort.detector import judging
from lullwort.forecast.foresee import foresee
from lullwort.forecast.lessons import NOTHING_LEARNED, Lessons
from lullwort.forecast.shapes import Forecast
from lullwort.records import HOUR_US, Batch, VesselReadings

__all__ = ["foreseen"]

_DAY_US = 24 * HOUR_US


def foreseen(
    batch: Batch,
    readings: VesselReadings,
    *,
    as_of_us: int,
    until_us: int | None = None,
    learned: Lessons = NOTHING_LEARNED,
) -> Forecast:
    """The forecast at the end of the last hour before `as_of_us`, compared with that of a day earlier.

    Args:
        readings: of the batch's vessel; those outside its time, or later, are left out.
        as_of_us: [µs] not before the pitch.
        until_us: [µs] end of the batch's ownership of the vessel, None while open.
        learned: from earlier batches of its recipe.
    """
    day_before_us = as_of_us - _DAY_US
    stops_us = (day_before_us, as_of_us) if day_before_us >= batch.pitched_us else (as_of_us,)
    before = None
    for judge in judging(batch, settled_gravities(batch, readings).readings, stops_us, until_us):
        forecast, before = foresee(judge, learned, before)
    return forecast
