"""Another batch in the same log, which nobody has entered: gravity back up where worts are, after a beer had fallen."""

from __future__ import annotations

import math
from dataclasses import dataclass

import msgspec

from lullwort.detector.snapshot import Split
from lullwort.records import HOUR_US, Batch

__all__ = ["NextBatch", "NextBatchWatch"]

_RISE_POINTS, _WORT_POINTS = 20.0, 25.0
# Fruit that nobody noted lifts a beer by up to 15 points, a bump of the float by 8, pressure by 6; few worts are
# weaker than 1.025. Common practice, no source.
_ANOTHER_SENSOR_POINTS = 10.0
# Two floats differ by as much. Common practice, no source.
_HOLDS_H, _LEAST_HOURS = 12.0, 3
# Longer than a float is rinsed or looked at, shorter than the quickest wort stands that high.
_LONE_H = 1
_FALL_POINTS, _FALL_POINTS_PER_H = 5.0, 3.0
# The quickest fall there is takes 2 points an hour. Common practice, no source.
_OUT_OF_BEER_H = 48
_BACK_POINTS, _BACK_WITHIN_US, _BACK_HOLDS_H = 8.0, 3 * HOUR_US, 6
# From a wort to near the end of a beer in three hours: no yeast does that, so the float had been out of the beer.
# Later, when the wort has fallen to a beer, a float may be taken out and come back to that.
_CREEP_POINTS_PER_H = 0.2
# Ten times what a deposit or a drifting float gains.


class NextBatch(msgspec.Struct, frozen=True):
    """What makes one think so; gravities [points] as the sensor reads them.

    Attributes:
        last_us:  [µs] end of the last hour in which the sensor read the earlier beer.
        began_us: [µs] beginning of the first hour in which it read as much as a wort has.
        low:      to which the earlier beer had fallen.
        least:    the least that was read since, while the rise was being watched.
    """

    last_us: int
    began_us: int
    low: float
    least: float

    def split_from(self, batch: Batch) -> Split:
        """What is to be entered so that the log is two batches', `batch` and this one."""
        options = " --reported corrected" if batch.gravity_reported == "corrected" else ""
        if batch.steady_temperature_c is not None:
            options += f" --steady-temperature {batch.steady_temperature_c:g}C"
        if batch.reading_interval_h != 1.0:
            options += f" --reading-interval {batch.reading_interval_h:g}"
        return Split(batch.name, batch.vessel, self.last_us, self.began_us, self.low, self.least, options)


@dataclass
class NextBatchWatch:
    """Watches a batch that has begun to fall for a rise that nothing put into a beer explains. O(1) memory.

    A rise counts when it has held for twelve hours with readings, or as long where they are far between, a lone hour
    left out. The low from which it is measured follows the beer down no faster than beer falls, so that a float in
    water does not lower it, and up as slowly as only a fault lifts a reading.
    """

    interval_h: float
    """[h] from one reading to the next, at best."""
    found: NextBatch | None = None
    """Stands until something noted explains the rise, or the reading steps back for good."""
    _low: float = math.inf
    _first: float = math.nan
    """What was read in the first hour. It may be a wild one: of two hours far apart the higher begins the low."""
    _last_us: int = 0
    _heard_us: int = 0
    _began_us: int = 0
    _least: float = math.inf
    _held_h: int = 0
    _missed_h: int = 0
    _out_h: int = 0
    _high_us: int = 0
    _back_h: int = 0
    _between_h: int = 0
    _fell: bool = False
    """Whether what was found has fallen as a beer does, so that no step can undo it."""

    def hour(self, end_us: int, points: float) -> None:
        """Take what the sensor read [points] in the hour that ended at `end_us` [µs]."""
        heard_us, self._heard_us = self._heard_us, end_us
        if self._low == math.inf:
            self._last_us = end_us
            if self._first == self._first:
                apart = abs(self._first - points) > _BACK_POINTS
                self._low = max(self._first, points) if apart else min(self._first, points)
            self._first = points
            return
        if points >= self._low + _RISE_POINTS and points >= _WORT_POINTS:
            self._high(end_us, points)
            return
        if self.found is not None:
            self._look_back(end_us, points, self.found.low)
        if self._held_h and self._missed_h < _LONE_H:
            self._missed_h += 1
            return
        self._held_h = 0
        if points < self._low - _FALL_POINTS and self._is_too_deep(points, (end_us - heard_us) / HOUR_US):
            self._out_h += 1
            return
        self._out_h, self._last_us = 0, end_us
        highest = self._low + _CREEP_POINTS_PER_H
        self._low = points if points < highest else highest

    def _is_too_deep(self, points: float, silent_h: float) -> bool:
        fallen = self._low - points
        return _FALL_POINTS + _FALL_POINTS_PER_H * silent_h < fallen < math.inf and self._out_h < _OUT_OF_BEER_H

    def _high(self, end_us: int, points: float) -> None:
        self._high_us, self._back_h, self._between_h = end_us, 0, 0
        if self.found is not None:
            return
        if not self._held_h:
            self._began_us, self._least = end_us - HOUR_US, math.inf
        self._held_h, self._missed_h = self._held_h + 1, 0
        self._least = min(self._least, points)
        if self._held_h >= max(_LEAST_HOURS, _HOLDS_H / self.interval_h):
            self._fell = False
            self.found = NextBatch(self._last_us, self._began_us, self._low, self._least)

    def _look_back(self, end_us: int, points: float, low: float) -> None:
        if points <= low + _BACK_POINTS and (self._back_h or end_us - self._high_us <= _BACK_WITHIN_US):
            self._back_h += 1
            if self._back_h >= _BACK_HOLDS_H and not self._fell:
                self.found, self._held_h = None, 0
            return
        self._back_h, self._between_h = 0, self._between_h + 1
        self._fell = self._fell or self._between_h > _LONE_H

    def added(self, points: float) -> None:
        """So much [points] was noted as added: it explains a rise by as much."""
        self._low += points
        if self.found is not None and self.found.least < self._low + _RISE_POINTS:
            self.found, self._held_h = None, 0

    def another_sensor(self) -> None:
        """Another float speaks from now on, which reads otherwise."""
        self._low += _ANOTHER_SENSOR_POINTS
