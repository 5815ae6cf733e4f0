"""What a floating sensor reads too high, from the gravities that the brewer measured by hand."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from lullwort.detector.startlevel import StartLevel

__all__ = ["DISPUTED_POINTS", "LARGEST_POINTS", "UNKNOWN_SD", "OffsetSource", "SensorOffset"]

OffsetSource = Literal["the original gravity", "the hand sample", "a step in its reading"]

LARGEST_POINTS = 12.0
"""[points] More at the start of a log is no offset."""
DISPUTED_POINTS = 5.0
"""[points] By more a hand sample contradicts the sensor."""
# Offsets of floats and hand instruments are 2 to 5 points each. Common practice, no source.
_START_SD, _SAMPLE_SD = 1.8, 0.7
UNKNOWN_SD = 3.0
"""[points] Uncertainty of an offset of which nothing is known; no sample can contradict such a sensor."""


@dataclass
class SensorOffset:
    """Offset [points] of the sensor in one batch.

    The start gives it: where the sensor read the unfermented wort, against the measured original gravity. A hand
    sample replaces it. Where neither is to be had, or what they say is no offset (a sensor that did not come to rest
    before the yeast began), it stays 0 and is less sure.
    """

    original: float | None
    points: float = 0.0
    sd: float = UNKNOWN_SD
    known_by: OffsetSource = "a step in its reading"
    """By what the offset is known, if it is not 0."""
    sampled_us: int | None = None
    """[µs] of the last hand sample."""
    disagreement: float = 0.0
    """[points] by which the last sample lies above what the sensor said, where that is more than both may err."""
    start_disagreement: float = 0.0
    """[points] by which the sensor's start lies above a measured original gravity, if by more than an offset, until a
    hand sample settles it."""
    _before_dispute: float | None = None
    _start: StartLevel = field(default_factory=StartLevel)

    @property
    def start_level(self) -> float | None:
        """[points] the sensor's own reading of the unfermented wort; None while not known."""
        return self._start.points

    @property
    def too_late(self) -> bool:
        """Whether the sensor was put in too late to tell."""
        return self._start.too_late

    def hour(self, y: float | None, since_pitch_h: float) -> None:
        """Take an hour's corrected value [points], `since_pitch_h` [h] after the pitch."""
        if y is None or self._start.points is not None:
            return
        self._start.hour(y, since_pitch_h)
        if self._start.steady:
            self._compare(self._start.points)

    def _compare(self, start_level: float | None) -> None:
        if start_level is None or self.original is None or self.sampled_us is not None:
            return
        above = start_level - self.original
        if abs(above) <= LARGEST_POINTS:
            self.points, self.sd, self.known_by = above, _START_SD, "the original gravity"
        else:
            self.start_disagreement = above

    def sample(self, gravity: float, level: float, at_us: int) -> None:
        """A degassed hand sample of `gravity` [points] at `at_us` [µs] while the sensor's level was `level` [points].

        It outranks the sensor. Where the two contradict each other, one of them is wrong: that stays open until a
        further sample agrees with either.
        """
        points = level - gravity
        known = [self.points] if self.sd < UNKNOWN_SD else []
        if self._before_dispute is not None:
            known.append(self._before_dispute)
        if known and min(abs(points - offset) for offset in known) > DISPUTED_POINTS:
            self.disagreement, self._before_dispute = self.points - points, self.points
        else:
            self.disagreement, self._before_dispute = 0.0, None
        self.points, self.sd, self.sampled_us = points, _SAMPLE_SD, at_us
        self.known_by = "the hand sample"
        self.start_disagreement = 0.0

    def loosened(self) -> None:
        """Something shifts the reading by what nobody knows: what was known of it holds no more as a contradiction."""
        self.sd, self._before_dispute = UNKNOWN_SD, None

    def moved(self, by: float) -> None:
        """The sensor reads `by` [points] higher than before, of the same beer."""
        self.points += by

    def unknown(self) -> None:
        """Another sensor, of which nothing is known."""
        self.points, self.known_by = 0.0, "a step in its reading"
        self.loosened()

    @property
    def may_move(self) -> bool:
        """Whether the float has come to rest after the start, so that a step is a bump."""
        return self._start.points is not None or self._start.too_late
