"""That a beer may stand higher than its sensor says: the sensor has stepped down, and nobody knows why."""

from __future__ import annotations

from lullwort.detector import Snapshot, Units
from lullwort.packaging_day.doubts import Doubts

__all__ = ["stepped_down_says"]


def stepped_down_says(seen: Snapshot, doubts: Doubts, units: Units) -> str:
    """By how much, and at which gravity the beer then stands; empty where a hand sample has told since."""
    if not doubts.more or seen.gravity is None or seen.hand is not None:
        return ""
    when = units.day_and_time(doubts.steps_us[-1])
    return (
        f"The sensor stepped down by {units.difference(doubts.more)}, last on {when}: if it was knocked, and did not "
        f"come free, the beer stands higher by as much, at {units.level(seen.gravity + doubts.more)}."
    )
