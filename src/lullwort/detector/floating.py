"""How the float reads the beer: its offset, what has shifted it since, and the hand samples that tell."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

from lullwort.analysis import HandReading
from lullwort.detector.offset import SensorOffset
from lullwort.records import HOUR_US

__all__ = ["PRESSURE_POINTS", "Floating", "Seen"]

PRESSURE_POINTS = 6.0
"""[points] By which a reading rises where gas that cannot escape presses on the float. Common practice, no source."""

_LARGEST_BUMP = 9.0
# What lifts a reading by more is no bump of the float. Common practice, no source.
_BUMP_OVER = 0.35
# Share of a bump up to which the reading has come down again: a raft of hops or foam that has gone, not a bump.
_RESETTLES_H = 3
_WORT_H = 12.0
# Within which a sample is still one of the wort, near enough.


_LEVEL_SD, _FOAM_SD = 0.4, 0.9
# [points] By which a level lies off what the float would read of a still beer, and of one that foams besides.
_DRAWN_BEFORE_H = 6.0
# For as long a sample's moment can be reckoned back from the level that is known next.


class Seen(NamedTuple):
    """What a sample is held against: the sensor's `level` [points] at `at_us` [µs], known within `level_sd`, and its
    `fall` [points per hour]."""

    at_us: int
    level: float
    level_sd: float
    fall: float
    main_fall: bool


class _Sample(NamedTuple):
    """A hand sample; whether it was drawn from the wort while the float came to rest, and whether in the main fall."""

    reading: HandReading
    in_wort: bool
    falling: bool


class _Lift(NamedTuple):
    """A reading was lifted by `points` from `level` [points], by a bump of the float as far as one can tell."""

    level: float
    points: float


class _Before(NamedTuple):
    """The `level` [points] before the float was moved or changed; whether the beer is known to be what it was."""

    level: float
    beer_known: bool


@dataclass
class Floating:
    """Takes apart what the beer does and what its float does. All in points; O(1) memory but for waiting samples.

    A bump moves the offset along, so that the beer's gravity stays what it was. What only lifted the reading for a
    while and went again, a raft of hops or foam, takes its offset with it; or else a stuck beer would pass for one
    that has ended.
    """

    offset: SensorOffset
    bumped: float = 0.0
    """[points] that the float reads higher than at first, of the same beer."""
    sample_above: bool = False
    """Whether a hand sample that still waits to be compared lies above where the beer should be."""
    pressed: bool = False
    """Whether the vessel was sealed and no hand sample taken since, so that pressure may lift the reading."""
    resettling_h: int = 0
    """[h with readings] until it is known how a float reads that was moved or changed."""
    _before: _Before | None = None
    _lift: _Lift | None = None
    _samples: list[_Sample] = field(default_factory=list)

    def hour(self, level: float) -> None:
        """An hour's reading was taken up, and the sensor's level is now `level`."""
        if self._lift is not None and level <= self._lift.level + _BUMP_OVER * self._lift.points:
            self._undo(self._lift)
        if self.resettling_h:
            self._settle_again(level)

    @property
    def awaits(self) -> bool:
        """Whether a sample waits for an hour's reading; and for the float to come to rest after the pitch."""
        return bool(self._samples) and self.offset.may_move

    def compare(self, seen: Seen) -> None:
        """Hold the samples that wait against the sensor."""
        for sample in self._samples:
            self._compare(sample, seen)
        self._samples.clear()
        self.sample_above = False

    def _compare(self, sample: _Sample, seen: Seen) -> None:
        start = self.offset.start_level
        if sample.in_wort and start is not None:
            self.offset.sample(sample.reading, start, _FOAM_SD)
            return
        hours = min(max((seen.at_us - sample.reading.at_us) / HOUR_US, 0.0), _DRAWN_BEFORE_H)
        fallen = max(seen.fall * hours, self._fell_unseen(sample, seen))
        sds = (seen.level_sd, _LEVEL_SD, _FOAM_SD if seen.main_fall else 0.0, 0.5 * fallen)
        self.offset.sample(sample.reading, seen.level + fallen, math.hypot(*sds))

    def _fell_unseen(self, sample: _Sample, seen: Seen) -> float:
        """[points, as the sensor reads] By which the beer has fallen between a sample of the main fall and a reading
        long after it, as far as the sensor says: such a sample tells nothing of how it reads now."""
        if not sample.falling or seen.at_us - sample.reading.at_us <= _DRAWN_BEFORE_H * HOUR_US:
            return 0.0
        return max(0.0, self.offset.scale * sample.reading.points + self.offset.points - seen.level)

    def sample(
        self, reading: HandReading, since_pitch_h: float, ceiling: float | None, *, falling: bool = False
    ) -> None:
        """A degassed hand sample, of the main fall if `falling`; above `ceiling` [points] it speaks for itself."""
        self._samples.append(_Sample(reading, not self.offset.may_move and since_pitch_h <= _WORT_H, falling))
        self.sample_above = self.sample_above or (ceiling is not None and reading.points > ceiling)
        self.pressed = False

    def added(self, points: float) -> None:
        """So much [points] was put in: of samples that still wait the beer has changed as well."""
        self._samples = [
            sample._replace(reading=sample.reading._replace(points=sample.reading.points + points))
            for sample in self._samples
        ]

    def sealed(self) -> None:
        """The vessel was sealed."""
        self.pressed = True
        self.offset.pressed()

    def disturbed(self, level: float, *, beer_known: bool) -> None:
        """The float was moved, or another one speaks: for some hours it is not known how it reads.

        Args: beer_known: whether the beer can be taken to be what it was a moment ago, at `level`.
        """
        self.resettling_h, self._before = _RESETTLES_H, _Before(level, beer_known)

    def _settle_again(self, level: float) -> None:
        self.resettling_h -= 1
        if self.resettling_h or self._before is None:
            return
        by = level - self._before.level
        self.bumped += by
        self._lift = None
        if self._before.beer_known:
            self.offset.moved(by)
            self.offset.loosened()
        else:
            self.offset.unknown()

    def stepped(self, points: float, level: float) -> None:
        """The reading stepped by `points` to `level`, which is the float's doing: offset and beer part there."""
        if points > _LARGEST_BUMP or not self.offset.may_move:
            return
        if points > 0.0:
            self.offset.moved(points)
            self.bumped += points
            lifted = 0.0 if self._lift is None else self._lift.points
            self._lift = _Lift(level - points - lifted, points + lifted)
        elif self._lift is not None and -points > 0.5 * self._lift.points:
            self._undo(self._lift)
        else:  # perhaps the float coming free: then it is right now, and was not before
            self.bumped += points

    def _undo(self, lift: _Lift) -> None:
        """What lifted the reading has gone: it reads as it did before."""
        self.offset.moved(-lift.points)
        self.bumped -= lift.points
        self._lift = None
