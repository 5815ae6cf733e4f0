"""What is known of one sensor, whatever it floats in: how its raw value is read, how it answers to temperature."""

from __future__ import annotations

from typing import Literal

import msgspec

__all__ = ["Calibration", "RawValue", "SensorTraits", "TemperatureAnswer"]

RawValue = Literal["inclination", "gravity"]


class Calibration(msgspec.Struct, frozen=True, kw_only=True):
    """Gravity as a polynomial of what a sensor reports, holding within the range of its points and nowhere else.

    Attributes:
        of:    what is reported: an inclination [as reported] or a gravity [SG].
        coefficients: [SG], that of the constant first, of (raw - middle) / half, which runs from -1 to 1.
        low, high: [as `of`] the range of the points.
        sd:    [points] of one point about the curve.
        points: how many the fit rests on.
        made_us: [µs since 1970-01-01 UTC].
    """

    of: RawValue
    coefficients: tuple[float, ...]
    low: float
    high: float
    sd: float
    points: int
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
