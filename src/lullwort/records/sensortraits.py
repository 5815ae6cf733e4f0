"""What is known of one sensor, whatever it floats in: how its raw value is read, how it answers to temperature."""

from __future__ import annotations

from typing import Literal

import msgspec

__all__ = ["Calibration", "CalibrationPoint", "GravityReported", "RawValue", "SensorTraits", "TemperatureAnswer"]

GravityReported = Literal["uncorrected", "corrected"]
RawValue = Literal["inclination", "gravity"]


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


class TemperatureAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """By how much a sensor reads higher when it gets warmer, beyond what the beer does and its correction takes off.

    Attributes:
        points_per_k: [points/K] and its standard deviation `sd`.
        reference_c:  [°C] at which nothing is taken off.
        hours:        of resting gravity and moving temperature it was learned from.
        learned_us:   [µs since 1970-01-01 UTC].
    """

    points_per_k: float
    sd: float
    reference_c: float
    hours: int
    learned_us: int


class SensorTraits(msgspec.Struct, frozen=True, kw_only=True):
    """All that is kept with one sensor; `name` is its id."""

    name: str
    calibration: Calibration | None = None
    answer: TemperatureAnswer | None = None
