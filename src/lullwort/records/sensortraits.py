"""What is known of one sensor, whatever it floats in: how its raw value is read, how it answers to temperature."""

from __future__ import annotations

from typing import Literal

import msgspec

__all__ = [
    "ANSWER_BEYOND_K",
    "AnswerInBatch",
    "Calibration",
    "CalibrationPoint",
    "GravityReported",
    "RawValue",
    "SensorTraits",
    "TemperatureAnswer",
]

GravityReported = Literal["uncorrected", "corrected"]
RawValue = Literal["inclination", "gravity"]

ANSWER_BEYOND_K = 2.0
"""[K] beyond the temperatures at which an answer was learned for which it is still believed."""


class CalibrationPoint(msgspec.Struct, frozen=True, kw_only=True):
    """What a sensor reported in one liquid of known gravity.

    Attributes:
        raw:     an inclination [degrees] or a gravity [SG], as reported.
        gravity: [SG 20/20] of the liquid.
        temperature_c: [°C] of the liquid then.
        sd:      [points] by how much the gravity may be wrong, as a standard deviation; None where nobody said.
    """

    raw: float
    gravity: float
    temperature_c: float = 20.0
    sd: float | None = None


class Calibration(msgspec.Struct, frozen=True, kw_only=True):
    """Gravity as a polynomial of what a sensor reports, holding within the range of its points and nowhere else.

    Attributes:
        of:      what is reported: an inclination [degrees] or a gravity [SG].
        reported: "uncorrected" where the gravity that comes out is the density at the liquid's temperature over that
                 of water at 20 °C, as a float feels it; "corrected" where the sensor refers it to 20 °C itself.
        coefficients: [SG], that of the constant first, of (raw - middle) / half, which runs from -1 to 1.
        covariance: [SG²] of those, row by row.
        low, high: [as `of`] the range of the points.
        sd:      [points] of one point about the curve.
        freedom: degrees of freedom on which `sd` rests.
        points:  what it was fitted to, in the order in which they were given.
        made_us: [µs since 1970-01-01 UTC].
    """

    of: RawValue
    reported: GravityReported = "uncorrected"
    coefficients: tuple[float, ...]
    covariance: tuple[tuple[float, ...], ...]
    low: float
    high: float
    sd: float
    freedom: int
    points: tuple[CalibrationPoint, ...]
    made_us: int


class AnswerInBatch(msgspec.Struct, frozen=True, kw_only=True):
    """A sensor's answer to temperature as the log of one batch shows it.

    Attributes:
        batch:        name.
        points_per_k: [points/K] and its standard deviation `sd`.
        low_c, high_c: [°C] between which temperature moved.
        hours:        of resting gravity and moving temperature behind it.
        corrected:    whether the sensor's own correction for temperature stands before it (`Batch.gravity_reported`).
        expansion_per_k: [1/K] of the float's body that was taken off before (`Batch.sensor_expansion_per_k`).
    """

    batch: str
    points_per_k: float
    sd: float
    low_c: float
    high_c: float
    hours: int
    corrected: bool = False
    expansion_per_k: float = 0.0


class TemperatureAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """By how much a sensor reads higher when it gets warmer, beyond what the beer does and its correction takes off.

    Attributes:
        points_per_k: [points/K] and its standard deviation `sd`.
        reference_c:  [°C] at which nothing is taken off.
        hours:        of resting gravity and moving temperature it was learned from.
        learned_us:   [µs since 1970-01-01 UTC] to when the log goes that taught it last.
        low_c, high_c: [°C] between which it was learned. It may bend, so what lies farther than ANSWER_BEYOND_K beyond
                      counts as that.
        batches:      how many it rests on.
        corrected, expansion_per_k: what is taken off before it, as in `AnswerInBatch`.
    """

    points_per_k: float
    sd: float
    reference_c: float
    hours: int
    learned_us: int
    low_c: float = 0.0
    high_c: float = 40.0
    batches: int = 1
    corrected: bool = False
    expansion_per_k: float = 0.0

    def points(self, temp_c: float) -> float:
        """[points] that the sensor reads too high at `temp_c` [°C].

        >>> answer = TemperatureAnswer(
        ...     points_per_k=0.5, sd=0.05, reference_c=20.0, hours=40, learned_us=0, low_c=4.0, high_c=22.0
        ... )
        >>> answer.points(10.0), answer.points(0.0), answer.points(20.0)
        (-5.0, -9.0, 0.0)
        """
        return self.points_per_k * (self._within(temp_c) - self._within(self.reference_c))

    def _within(self, temp_c: float) -> float:
        return min(max(temp_c, self.low_c - ANSWER_BEYOND_K), self.high_c + ANSWER_BEYOND_K)


class SensorTraits(msgspec.Struct, frozen=True, kw_only=True):
    """All that is kept with one sensor; `name` is its id.

    `answer` is what `answers`, one for each batch that showed it, come to; None where that is not enough to go by.
    """

    name: str
    calibration: Calibration | None = None
    answer: TemperatureAnswer | None = None
    answers: tuple[AnswerInBatch, ...] = ()
