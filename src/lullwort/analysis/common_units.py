"""Readings as reported, in whatever units, made into readings in SG and °C."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lullwort.errors import OutOfRangeError
from lullwort.records import Block, Reading
from lullwort.science import to_sg
from lullwort.units import GravityUnit, to_celsius

__all__ = ["gravities_sg", "readings_of"]

Floats = NDArray[np.float64]


def gravities_sg(values: Floats, unit: GravityUnit) -> Floats:
    """Gravities [SG] of shape (n,) from values in `unit`; NaN stays NaN.

    A value beyond what its unit can be turned from is no beer: it becomes 0, which every screen passes over.
    """
    try:
        return np.asarray(to_sg(values, unit), dtype=np.float64)
    except OutOfRangeError:
        return np.array([_one_sg(value, unit) for value in values.tolist()], dtype=np.float64)


def _one_sg(value: float, unit: GravityUnit) -> float:
    try:
        return float(to_sg(value, unit))
    except OutOfRangeError:
        return 0.0


def readings_of(block: Block) -> list[Reading]:
    """The readings of `block` in its order."""
    gravity = gravities_sg(block.gravity, block.units.gravity)
    temp_c = np.asarray(to_celsius(block.temperature, block.units.temperature), dtype=np.float64)
    sensors, vessels = block.sensors, block.vessels
    return [
        Reading(
            sensors[sensor],
            vessels[vessel],
            at_us,
            None if g != g else g,
            None if t != t else t,  # NaN: not given
        )
        for sensor, vessel, at_us, g, t in zip(
            block.sensor_codes.tolist(),
            block.vessel_codes.tolist(),
            block.at_us.tolist(),
            gravity.tolist(),
            temp_c.tolist(),
            strict=True,
        )
    ]
