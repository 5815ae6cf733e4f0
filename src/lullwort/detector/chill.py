"""What was known of a beer when it was chilled: the cold hides what is left to ferment, and a warm bottle does not."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

from lullwort.analysis import TailBank, Trend
from lullwort.analysis.bank import State
from lullwort.detector.expected import ExpectedEnd, driest_points
from lullwort.detector.offset import SensorOffset
from lullwort.records import HOUR_US

__all__ = ["BeforeCold", "Chill", "Left"]

_COOLING_US = 36 * HOUR_US
# A vessel needs a day and more to be cold.


class Left(NamedTuple):
    """Points still to fall, and how many at most; whether that is by where the beer should end, not by its own tail."""

    about: float
    at_most: float
    by_expected: bool


class BeforeCold(NamedTuple):
    """A beer's tail at `at_us` [µs], its `level` [points] as the sensor saw it, weights and states of the bank."""

    at_us: int
    level: float
    main_fall: bool
    weights: list[float]
    states: list[State]

    def left(self, line: SensorOffset, original: float | None, expected: ExpectedEnd | None, chance: float) -> Left:
        """What was still to fall.

        Where the main fall still ran its slope tells nothing of its end, so that where the beer should end must tell;
        soon after it the slope promises too much. Never more than would make it the driest beer of its wort.

        Args:
            line: how the sensor reads a beer.
            original: [points] original gravity, as high as it may have been; None if not known.
            chance: of more than `at_most` where the beer's own tail tells, 0 to 0.5.
        """
        gravity = line.gravity(self.level)
        all_of_it = max(0.0, gravity - driest_points(original))
        # Below where it should end, that says no more of what is left.
        if expected is not None and self._is_far(gravity, expected) and gravity > expected.low:
            return Left(*expected.left_from(gravity), True)
        bank = TailBank(weights=self.weights, states=self.states)
        to_end = math.inf if expected is None else expected.down_to_end(gravity)
        about = min(bank.left() / line.scale, to_end, all_of_it)
        at_most = all_of_it if self.main_fall else min(bank.left_upper(chance) / line.scale, all_of_it)
        return Left(about, max(about, at_most), False)

    def may_lose(self, points: float, line: SensorOffset, expected: ExpectedEnd | None, chance: float) -> bool:
        """Whether more than `points` were still to fall at most: a tenth of the work of `left`."""
        if expected is not None and self._is_far(line.gravity(self.level), expected):
            return True
        return TailBank(weights=self.weights, states=self.states).may_lose(points * line.scale, chance)

    def _is_far(self, gravity: float, expected: ExpectedEnd) -> bool:
        return self.main_fall or gravity > expected.ceiling


@dataclass
class Chill:
    """Remembers the last hour in which the beer was warm and its temperature steady, and keeps it through the cold.

    While a vessel cools, its float answers to temperature, so what is seen then says little. O(1) memory: the bank
    makes new lists each hour, so that those of one hour may be kept as they are.
    """

    before: BeforeCold | None = None
    """None while the yeast can work, or where nothing was known before the cold."""
    _steady: tuple[int, float, bool, list[float], list[State]] | None = None
    """As in `BeforeCold`, which takes three times as long to make."""
    _cools_until_us: int = 0

    def hour(self, end_us: int, trend: Trend, level: float, *, warm: bool, steady: bool) -> None:
        """Take what is known at `end_us` [µs], the end of an hour: whether the yeast could work, temperature stood."""
        if not warm:
            self._cools_until_us = 0
            self._freeze()
        elif end_us >= self._cools_until_us:
            self.before = None
            if steady and trend.started:
                bank = trend.bank
                self._steady = (end_us, level, trend.in_main_fall, bank.weights, bank.states)

    def noted(self, at_us: int) -> None:
        """A cold crash was noted as begun at `at_us` [µs]."""
        self._freeze()
        self._cools_until_us = at_us + _COOLING_US

    def _freeze(self) -> None:
        if self.before is None and self._steady is not None:
            self.before = BeforeCold(*self._steady)

    def ended(self) -> None:
        """The brewer warms it again."""
        self._cools_until_us = 0
