"""What a floating sensor reads too high, from the gravities that the brewer measured by hand."""

from __future__ import annotations

from dataclasses import dataclass, field

__all__ = ["DISPUTED_POINTS", "LARGEST_POINTS", "UNKNOWN_SD", "SensorOffset"]

_FROM_H, _TO_H = 4, 10
_LATEST_START_H = 12.0
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

    The start gives it: the median of hours four to ten after the first value against the measured original gravity.
    Earlier a float lies (layered wort, air on the body), later the yeast has begun. A hand sample replaces it.
    Where neither is to be had, or what they say is no offset (a sensor put in late), it stays 0 and is less sure.
    """

    original: float | None
    points: float = 0.0
    sd: float = UNKNOWN_SD
    sampled_us: int | None = None
    """[µs] of the last hand sample."""
    disagreement: float = 0.0
    """[points] by which the last sample lies above what the sensor said, where that is more than both may err."""
    start_disagreement: float = 0.0
    """[points] by which the sensor's start lies above a measured original gravity, if by more than an offset, until a
    hand sample settles it."""
    start_level: float | None = None
    """[points] the sensor's own reading of the unfermented wort; None while not known."""
    _before_dispute: float | None = None
    _first_h: float | None = None
    _early: list[float] = field(default_factory=list)

    def hour(self, y: float | None, since_pitch_h: float) -> None:
        """Take an hour's corrected value [points], `since_pitch_h` [h] after the pitch."""
        if y is None or self.start_level is not None:
            return
        if self._first_h is None:
            self._first_h = since_pitch_h
        if self._first_h > _LATEST_START_H:
            return
        if since_pitch_h - self._first_h < _TO_H:
            if since_pitch_h - self._first_h >= _FROM_H or not self._early:
                self._early.append(y)
            return
        usable = sorted(self._early[1:] or self._early)
        self.start_level = usable[len(usable) // 2]
        if self.original is None:
            return
        above = self.start_level - self.original
        if abs(above) <= LARGEST_POINTS:
            self.points, self.sd = above, _START_SD
        elif self.sampled_us is None:
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
        self.start_disagreement = 0.0

    def moved(self, by: float) -> None:
        """The sensor was bumped upward by `by` [points]; a downward step may be the float coming free."""
        if by > 0.0:
            self.points += by
