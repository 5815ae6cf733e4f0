"""Readings as reported, in whatever units, made into SG and °C; inclinations stay as they are."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lullwort.errors import OutOfRangeError
from lullwort.records import Block, VesselReadings
from lullwort.science import to_sg
from lullwort.units import GravityUnit, to_celsius

__all__ = ["gravities_sg", "vessel_readings"]

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


def vessel_readings(block: Block) -> dict[str, VesselReadings]:
    """The readings of each vessel in `block`, in its order."""
    if not len(block):
        return {}
    gravity = gravities_sg(block.gravity, block.units.gravity)
    temp_c = np.asarray(to_celsius(block.temperature, block.units.temperature), dtype=np.float64)
    inclination = None if np.isnan(block.inclination).all() else block.inclination
    by_vessel = np.argsort(block.vessel_codes, kind="stable")
    ends = np.cumsum(np.bincount(block.vessel_codes, minlength=len(block.vessels)))
    return {
        vessel: VesselReadings(
            tuple(block.sensors[code] for code in occurring),
            codes.astype(np.int32),
            block.at_us[mine],
            gravity[mine],
            temp_c[mine],
            None if inclination is None else inclination[mine],
        )
        for vessel, mine in zip(block.vessels, np.split(by_vessel, ends[:-1]), strict=True)
        if len(mine)
        for occurring, codes in [np.unique(block.sensor_codes[mine], return_inverse=True)]
    }
