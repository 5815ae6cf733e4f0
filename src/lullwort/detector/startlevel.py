"""Where a sensor reads the unfermented wort: in its first day, once it stands still and before the yeast has begun."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

__all__ = ["StartLevel"]

_LATEST_START_H = 12.0
# Of a sensor put in later the wort's level is not known.
_FROM_H, _TO_H = 4, 10
_GIVES_UP_H, _GUESSED_TO_H = 30, 16
_HALF_H = 3
_LEVEL_POINTS, _LEVEL_LATER_POINTS = 1.2, 0.6
# Two halves of six hours on level ground differ by half a point. Later the yeast may have begun, and a steady fall
# must not pass for level ground.
_SPREAD_POINTS = 2.0
# Three hours of a float at rest lie no further apart.
_MOST_POINTS = 3.0
# More in three hours the quickest yeast takes only at its height.


@dataclass
class StartLevel:
    """The level [points] at which the sensor read the wort. O(1) memory.

    Hours four to ten after the first value tell it: earlier a float lies (layered wort, foam, air on its body), later
    the yeast has begun. Where the reading does not stand still by then there are two cases. A fall that gathers speed
    is the yeast, and what was read before it counts. One that slackens, or a rise, is the float still coming to rest:
    the first six hours that stand still count, if they come within thirty.
    """

    points: float | None = None
    """[points] None while not known."""
    steady: bool = False
    """Whether it stood still then: otherwise `points` is no more than a guess."""
    _first_h: float | None = None
    _start_judged: bool = False
    _values: list[tuple[float, float]] = field(default_factory=list)

    def hour(self, y: float, since_pitch_h: float) -> None:
        """Take an hour's corrected value [points], `since_pitch_h` [h] after the pitch."""
        if self._first_h is None:
            self._first_h = since_pitch_h
        if self.points is not None or self.too_late:
            return
        at_h = since_pitch_h - self._first_h
        if at_h >= _TO_H and not self._start_judged:
            self._start_judged = True
            if self._settles(self._at_start()):
                return
        self._values.append((at_h, y))
        if at_h >= _GIVES_UP_H:
            self.points = _middle(self._between(_FROM_H, _GUESSED_TO_H) or self._between(0, math.inf))
        elif at_h >= _TO_H:
            self._settles(self._later(at_h))

    @property
    def too_late(self) -> bool:
        """Whether the first value came when the yeast may have begun long since."""
        return self._first_h is not None and self._first_h > _LATEST_START_H

    def _at_start(self) -> list[float]:
        """What tells the level at the tenth hour; empty where nothing does."""
        earliest = self._between(1, _FROM_H)
        first, second = self._between(_FROM_H, _FROM_H + _HALF_H), self._between(_FROM_H + _HALF_H, _TO_H)
        if not (earliest and first and second):  # too far between to show how it moved
            few = earliest + first + second
            return few if len(few) > 1 and max(few) - min(few) <= _SPREAD_POINTS else []
        fall = _middle(first) - _middle(second)
        if abs(fall) <= _LEVEL_POINTS:
            return first + second
        stood = max(earliest) - min(earliest) <= _SPREAD_POINTS
        level = abs(_middle(earliest) - _middle(first)) <= _LEVEL_POINTS
        return first if stood and level and 0.0 < fall <= _MOST_POINTS else []

    def _later(self, at_h: float) -> list[float]:
        first = self._between(at_h - 2 * _HALF_H + 1, at_h - _HALF_H + 1)
        second = self._between(at_h - _HALF_H + 1, math.inf)
        still = first and second and abs(_middle(first) - _middle(second)) <= _LEVEL_LATER_POINTS
        return first + second if still else []

    def _settles(self, values: list[float]) -> bool:
        if not values:
            return False
        self.points, self.steady = _middle(values), True
        self._values.clear()
        return True

    def _between(self, from_h: float, to_h: float) -> list[float]:
        return [y for at_h, y in self._values if from_h <= at_h < to_h]


def _middle(values: list[float]) -> float:
    return sorted(values)[len(values) // 2]
