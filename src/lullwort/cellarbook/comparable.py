"""Values of whatever units made comparable: one row for each quantity in its common unit."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis import SAME_DEGREES, SAME_GRAVITY_SG, SAME_TEMPERATURE_C, gravities_sg
from lullwort.records import COMMON_UNITS, ReportedUnits
from lullwort.units import FloatArray, to_celsius

__all__ = ["QUANTITIES", "TOLERANCES", "comparable"]

QUANTITIES = ("gravity", "temperature", "inclination", "battery V", "battery %", "signal")
"""SG, °C, degrees, volts, percent and dBm. Volts cannot be compared with percent, so that each has a row."""

TOLERANCES = np.array([SAME_GRAVITY_SG, SAME_TEMPERATURE_C, SAME_DEGREES, 1e-6, 1e-6, 1e-6])
"""What is no difference, for each of QUANTITIES; see `lullwort.analysis.settle`."""


def comparable(values: FloatArray, units: Sequence[ReportedUnits], origin: NDArray[np.int64]) -> FloatArray:
    """Values in common units, shape (len(QUANTITIES), n).

    Args:    values: shape (len(VALUE_COLUMNS), n), as reported in units[origin[i]].
    """
    gravity, temperature, inclination, battery, signal = values
    volts, percent = battery, np.full_like(battery, np.nan)
    gravity, temperature, volts = gravity.copy(), temperature.copy(), volts.copy()
    for kind in set(units) - {COMMON_UNITS}:
        here = np.array([unit == kind for unit in units])[origin]
        gravity[here] = gravities_sg(gravity[here], kind.gravity)
        temperature[here] = to_celsius(temperature[here], kind.temperature)
        if kind.battery == "%":
            percent[here], volts[here] = battery[here], np.nan
    return np.array([gravity, temperature, inclination, volts, percent, signal])
