"""What a floating sensor reads too high, and too steep, from the gravities that the brewer measured by hand."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from lullwort.analysis import HandReading
from lullwort.detector.sensorline import SAME_REST_POINTS, SCALE_SD, Line, Pair, contradicts_from, settled
from lullwort.detector.shifts import Former
from lullwort.detector.startlevel import StartLevel
from lullwort.records import HOUR_US

__all__ = ["LARGEST_POINTS", "UNKNOWN_SD", "OddOne", "OffsetSource", "SensorOffset"]

OffsetSource = Literal["the original gravity", "the hand sample", "a step in its reading"]

LARGEST_POINTS = 12.0
"""[points] More at the start of a log is no offset."""
# Offsets of floats and hand instruments are 2 to 5 points each. Common practice, no source.
_START_SD = 1.8
_START_PAIR_SD = 1.1
# Of these the part that is neither the sensor's scale nor its wandering since, which a line knows apart: on invented
# batches 0.65 to 0.9 for the level of the wort, beside 0.65 of a look at the hydrometer.
UNKNOWN_SD = 3.0
"""[points] Uncertainty of an offset of which nothing is known; no sample can contradict such a sensor."""
_LOOSENED_VAR = 6.0**2
_MOVED_SD, _MOVED_SHARE = 0.5, 0.2
# [points] By which a step is known that moved the float, and share of it.
_MOST_SAMPLES = 8
_TOLD_POINTS = 3.0
# By less no sample contradicts a sensor.
_ORDINARY_SD, _WANDERED_SD = 0.8, 0.6
# [points] Of a sample in an ordinary hydrometer, beside what all of its readings have in common, and the level with it;
# and of what a float wanders in the ten days of a fermentation.


class OddOne(NamedTuple):
    """A hand sample of `at_us` [µs] that is left out: it lies `above` [points] what the others and the sensor say."""

    at_us: int
    above: float


@dataclass
class SensorOffset:
    """Offset [points] and scale of the sensor in one batch: it reads offset + scale × gravity.

    The start gives the offset: where the sensor read the unfermented wort, against the measured original gravity. Hand
    samples outrank it, and of two far apart the scale is learned, too (`sensorline`). Where neither is to be had, or
    what they say is no offset (a sensor that did not come to rest before the yeast began), it stays 0 and is less sure.
    Memory is bounded: of many samples the first and the last ones are kept.
    """

    original: float | None
    pitched_us: int = 0
    added_at_start: float = 0.0
    """[points] Of what was put in before the sensor's start was known, which is in that start but not in `original`."""
    points: float = 0.0
    """[points] by which it reads the gravity of water too high."""
    scale: float = 1.0
    sd: float = UNKNOWN_SD
    """[points] see `sd_at`."""
    still_sd: float = UNKNOWN_SD
    """[points] As `sd`, but for what pressure may do to the float: of the beer before the vessel was sealed."""
    mended: float = 0.0
    """[points] By which it has shifted in all while the beer did not, as far as that was taken up."""
    former: Former | None = None
    """How the sensor before this one read, of which this one says nothing."""
    scale_sd: float = SCALE_SD
    error_sd: float = 0.0
    """[points] By which the instrument of the hand samples may be wrong itself; 0 where there are none."""
    known_by: OffsetSource = "a step in its reading"
    """By what the offset is known, if it is not 0."""
    samples: int = 0
    """How many hand samples it rests on."""
    sampled_us: int | None = None
    """[µs] of the last hand sample that stands."""
    odd: OddOne | None = None
    """The last hand sample, of those that are kept, that is left out as wrong."""
    outvoted: bool = False
    """Whether hand samples agree against what the sensor said."""
    disagreement: float = 0.0
    """[points] by which the last sample lies above what the sensor said, where that is more than both may err."""
    start_disagreement: float = 0.0
    """[points] by which the sensor's start lies above a measured original gravity, if by more than an offset, until a
    hand sample settles it."""
    _start: StartLevel = field(default_factory=StartLevel)
    _pairs: list[Pair] = field(default_factory=list)
    _stands: Pair | None = None
    _doubt: float = 0.0
    _pivot: float | None = None

    @property
    def start_level(self) -> float | None:
        """[points] the sensor's own reading of the unfermented wort; None while not known."""
        return self._start.points

    @property
    def too_late(self) -> bool:
        """Whether the sensor was put in too late to tell."""
        return self._start.too_late

    def gravity(self, level: float) -> float:
        """[points] of the beer of which the sensor reads `level` [points]."""
        return (level - self.points) / self.scale

    def sd_at(self, gravity: float) -> float:
        """[points] Standard deviation of a beer's gravity about `gravity` [points], by offset and scale, as the
        brewer's instrument would read it."""
        return self._sd_at(gravity, self.sd)

    def still_sd_at(self, gravity: float) -> float:
        """[points] As `sd_at`, but for what pressure may do to the float."""
        return self._sd_at(gravity, self.still_sd)

    def _sd_at(self, gravity: float, sd: float) -> float:
        return sd if self._pivot is None else math.hypot(sd, self.scale_sd * (gravity - self._pivot))

    def contradicted_from(self, gravity: float) -> float | None:
        """[points] By which a sample must differ from `gravity` [points] to contradict the sensor; None where too
        little is known of it."""
        if self.sd >= UNKNOWN_SD:
            return None
        if self.original is None or self._pivot is not None:
            return contradicts_from(math.hypot(self.sd_at(gravity), _ORDINARY_SD))
        by_scale = SCALE_SD * (self.original - gravity)
        return contradicts_from(math.hypot(_START_PAIR_SD, by_scale, _WANDERED_SD, _ORDINARY_SD))

    def sampled_gravity(self, level: float) -> float | None:
        """[points] of the beer by the last sample alone, now that the sensor reads `level` [points]; None without one
        of this rest."""
        last = self._stands
        if last is None or abs(level - last.level) > SAME_REST_POINTS:
            return None
        return last.gravity + (level - last.level) / self.scale

    def hour(self, y: float | None, since_pitch_h: float) -> None:
        """Take an hour's corrected value [points], `since_pitch_h` [h] after the pitch."""
        if y is None or self._start.points is not None:
            return
        self._start.hour(y, since_pitch_h)
        if self._start.steady:
            self._compare(self._start.points, since_pitch_h)

    def _compare(self, start_level: float | None, since_pitch_h: float) -> None:
        if start_level is None or self.original is None or self.samples:
            return
        wort = self.original + self.added_at_start
        above = start_level - wort
        if abs(above) <= LARGEST_POINTS:
            self.points, self.sd, self.known_by = above, _START_SD, "the original gravity"
            self.still_sd = self.sd
            at_us = self.pitched_us + round(since_pitch_h * HOUR_US)
            self._pairs.append(Pair(at_us, wort, start_level, _START_PAIR_SD, 0.0, "", self._doubt, sampled=False))
        else:
            self.start_disagreement = above

    def sample(self, reading: HandReading, level: float, level_sd: float) -> None:
        """A degassed hand sample, drawn while the sensor's level was `level` [points], known within `level_sd`.

        It outranks the sensor. Where the two contradict each other, one of them is wrong: that stays open until a
        further sample agrees with either, and then the odd one is left out.
        """
        before = self.gravity(level)
        sd = math.hypot(reading.read_sd, level_sd)
        shared, doubt = (reading.error_sd, reading.instrument), self._doubt
        self._pairs.append(Pair(reading.at_us, reading.points, level, sd, *shared, doubt, sampled=True))
        sampled = [pair for pair in self._pairs if pair.sampled]
        if len(sampled) > _MOST_SAMPLES:  # the first lies highest, and so tells most of the scale
            self._pairs.remove(sampled[1])
        found = settled(self._pairs)
        self._take(found.line)
        standing = [pair for i, pair in enumerate(self._pairs) if pair.sampled and i not in found.odd]
        self.samples, self._stands = len(standing), standing[-1] if standing else None
        self.sampled_us = None if self._stands is None else self._stands.at_us
        self.odd = None
        if found.odd:
            last = self._pairs[max(found.odd)]
            self.odd = OddOne(last.at_us, last.gravity - found.line.gravity(last.level))
        self.outvoted = found.shifted
        if found.disputed:  # one more that fits neither leaves open what the one before had opened
            above = reading.points - before
            self.disagreement = self.disagreement if self.disagreement and abs(above) < _TOLD_POINTS else above
        else:
            self.disagreement = self.start_disagreement = 0.0

    def _take(self, line: Line) -> None:
        self.points, self.scale, self.scale_sd = line.offset, line.scale, line.scale_sd
        self._pivot, self.sd, self.error_sd = line.pivot, line.sd, line.error_sd
        self.still_sd = self.sd
        self.known_by = "the hand sample"

    def loosened(self) -> None:
        """Something shifts the reading by what nobody knows: what was known of it holds no more as a contradiction."""
        self.pressed()
        self.still_sd = UNKNOWN_SD

    def pressed(self) -> None:
        """As `loosened`, by the pressure of a sealed vessel, of which one knows which way and how far it shifts."""
        self.sd = UNKNOWN_SD
        self._doubt += _LOOSENED_VAR

    def moved(self, by: float) -> None:
        """The sensor reads `by` [points] higher than before, of the same beer."""
        self.points += by
        self.mended += by
        self._doubt += _MOVED_SD**2 + (_MOVED_SHARE * by) ** 2
        self._pairs = [pair._replace(level=pair.level + by) for pair in self._pairs]
        if self._stands is not None:
            self._stands = self._stands._replace(level=self._stands.level + by)

    def unknown(self) -> None:
        """Another sensor, of which nothing is known."""
        self.former = Former(self.points, self.scale, math.hypot(self.still_sd, self.error_sd))
        self.points, self.scale, self.known_by = 0.0, 1.0, "a step in its reading"
        self.scale_sd, self._pivot, self.error_sd = SCALE_SD, None, 0.0
        self._pairs, self._stands, self.samples, self.odd, self.outvoted = [], None, 0, None, False
        self.loosened()

    @property
    def may_move(self) -> bool:
        """Whether the float has come to rest after the start, so that a step is a bump."""
        return self._start.points is not None or self._start.too_late
