"""A batch judged, and what is foreseen of it, from its readings in whatever order they are given."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.analysis import settle
from lullwort.detector import Judged, judged_so_far, judging
from lullwort.forecast.foresee import foresee
from lullwort.forecast.lessons import Lessons
from lullwort.forecast.shapes import Forecast
from lullwort.records import HOUR_US, Batch, VesselReadings

__all__ = ["Foreseen", "judge_and_foresee"]

_DAY_US = 24 * HOUR_US


class Foreseen(NamedTuple):
    """What a batch has come to, and what will come of it."""

    judged: Judged
    forecast: Forecast


def judge_and_foresee(
    batch: Batch,
    readings: VesselReadings,
    *,
    as_of_us: int | None = None,
    until_us: int | None = None,
    lessons: Lessons | None = None,
) -> Foreseen:
    """Judge a batch as `detector.judge` does, and foresee.

    Args:
        readings, as_of_us, until_us: as there.
        lessons: of earlier batches of its recipe.
    """
    settled, known = settle(readings), lessons or Lessons()
    if as_of_us is None:
        as_of_us = int(settled.readings.at_us[-1]) if len(settled.readings) else batch.pitched_us
    stops_us = [us for us in (as_of_us - _DAY_US, as_of_us) if us >= batch.pitched_us] or [as_of_us]
    before, forecast = None, None
    for streaming in judging(batch, settled.readings, stops_us, until_us):
        forecast, before = foresee(streaming, known, before)
    assert forecast is not None
    return Foreseen(judged_so_far(streaming, as_of_us, settled.conflicts), forecast)
