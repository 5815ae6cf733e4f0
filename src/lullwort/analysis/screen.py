"""Which stored readings cannot be about beer, and why: they stay on record and are passed over."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lullwort.units import FloatArray

__all__ = [
    "BAD_GRAVITY",
    "BAD_TEMPERATURE",
    "BEYOND_CALIBRATION",
    "GRAVITY_RANGE",
    "NO_GRAVITY",
    "NO_INCLINATION",
    "TEMP_RANGE_C",
    "UNCALIBRATED",
    "WHY_PASSED_OVER",
    "reasons_to_pass_over",
    "without_gravity",
]

GRAVITY_RANGE = (0.975, 1.200)
"""[SG] A dry wine ends near 0.983 and the strongest worts start near 1.150; beyond is a fault of the sensor."""

TEMP_RANGE_C = (-5.0, 45.0)

WHY_PASSED_OVER = (
    "",
    "no gravity",
    f"gravity outside {GRAVITY_RANGE[0]:.3f} to {GRAVITY_RANGE[1]:.3f}",
    f"temperature outside {TEMP_RANGE_C[0]:g} to {TEMP_RANGE_C[1]:g} °C",
    "an inclination of a sensor that is not calibrated",
    "beyond the points of its sensor's calibration",
    "no inclination, by which its sensor is calibrated",
)
"""Reasons by number; 0 for none."""

NO_GRAVITY, BAD_GRAVITY, BAD_TEMPERATURE = 1, 2, 3
UNCALIBRATED, BEYOND_CALIBRATION, NO_INCLINATION = 4, 5, 6


def reasons_to_pass_over(
    gravity: FloatArray, temp_c: FloatArray, unusable: NDArray[np.int8] | None = None
) -> NDArray[np.int8]:
    """For each reading the place in WHY_PASSED_OVER of why it says nothing about the beer; 0 if it may be used.

    Args: gravity: [SG] and temp_c: [°C], both of shape (n,), NaN where not given.
          unusable: what calibrating found, see `VesselReadings`.

    >>> WHY_PASSED_OVER[reasons_to_pass_over(np.array([0.0]), np.array([20.0]))[0]]
    'gravity outside 0.975 to 1.200'
    """
    why = np.zeros(len(gravity), dtype=np.int8)
    # The weightier reason is written later. NaN compares false, so a temperature that is not given passes.
    why[(temp_c < TEMP_RANGE_C[0]) | (temp_c > TEMP_RANGE_C[1])] = BAD_TEMPERATURE
    why[(gravity < GRAVITY_RANGE[0]) | (gravity > GRAVITY_RANGE[1])] = BAD_GRAVITY
    why[np.isnan(gravity)] = NO_GRAVITY
    if unusable is not None:
        why = np.where((why == NO_GRAVITY) & (unusable > 0), unusable, why)
    return why


def without_gravity(why: NDArray[np.int8]) -> NDArray[np.bool_]:
    """Which readings give no gravity and may still give a temperature, by their places in WHY_PASSED_OVER."""
    # Comparisons cost a fifth of numpy's isin, and live judging asks this of a reading at a time.
    chosen: NDArray[np.bool_] = (why == NO_GRAVITY) | ((why >= UNCALIBRATED) & (why <= NO_INCLINATION))
    return chosen
