"""How the float reads the beer: its offset, what has shifted it since, and the hand samples that tell."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from lullwort.detector.offset import SensorOffset

__all__ = ["PRESSURE_POINTS", "Floating"]

PRESSURE_POINTS = 6.0
"""[points] By which a reading rises where gas that cannot escape presses on the float. Common practice, no source."""

_LARGEST_BUMP = 9.0
# What lifts a reading by more is no bump of the float. Common practice, no source.
_BUMP_OVER = 0.35
# Share of a bump up to which the reading has come down again: a raft of hops or foam that has gone, not a bump.
_RESETTLES_H = 3
_WORT_H = 12.0
# Within which a sample is still one of the wort, near enough.


class _Sample(NamedTuple):
    """A hand sample of `points`, and whether it was drawn from the wort while the float came to rest."""

    points: float
    at_us: int
    in_wort: bool


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

    def hour(self, level: float) -> bool:
        """An hour's reading was taken up, and the sensor's level is now `level`; whether a sample was held against it.

        A sample waits for that, and for the float to come to rest after the pitch.
        """
        if self._lift is not None and level <= self._lift.level + _BUMP_OVER * self._lift.points:
            self._undo(self._lift)
        if self.resettling_h:
            self._settle_again(level)
        if not self._samples or not self.offset.may_move:
            return False
        start = self.offset.start_level
        for sample in self._samples:
            in_wort = sample.in_wort and start is not None
            self.offset.sample(sample.points, start if in_wort and start is not None else level, sample.at_us)
        self._samples.clear()
        self.sample_above = False
        return True

    def sample(self, points: float, at_us: int, since_pitch_h: float, ceiling: float | None) -> None:
        """A degassed hand sample, taken at `at_us` [µs]; above `ceiling` it speaks for itself at once."""
        self._samples.append(_Sample(points, at_us, not self.offset.may_move and since_pitch_h <= _WORT_H))
        self.sample_above = self.sample_above or (ceiling is not None and points > ceiling)
        self.pressed = False

    def sealed(self) -> None:
        """The vessel was sealed."""
        self.pressed = True
        self.offset.loosened()

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
