"""That a beer may stand higher than its sensor says: the sensor has stepped down, and nobody knows why."""

from __future__ import annotations

from lullwort.detector import Snapshot, Units, Verdict, advice
from lullwort.packaging_day.doubts import Doubts

__all__ = ["advised"]


def advised(verdict: Verdict, seen: Snapshot, doubts: Doubts | None, units: Units, *, proved: bool) -> str:
    """What to do next, as `advice` has it; of a ready beer first that it may stand higher.

    Args:    doubts: None where they are not known.
    """
    stepped = _stepped_down(seen, doubts, units) if verdict == "ready" and doubts is not None else ""
    return f"{stepped} {advice(verdict, seen, units, proved=proved)}".lstrip()


def _stepped_down(seen: Snapshot, doubts: Doubts, units: Units) -> str:
    """By how much, and at which gravity the beer then stands; empty where a hand sample has told since."""
    if not doubts.more or seen.gravity is None or seen.hand is not None:
        return ""
    when = units.day_and_time(doubts.steps_us[-1])
    return (
        f"The sensor stepped down by {units.difference(doubts.more)}, last on {when}: if it was knocked, and did not "
        f"come free, the beer stands higher by as much, at {units.level(seen.gravity + doubts.more)}."
    )
