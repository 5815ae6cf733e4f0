"""Readings as reported turned into gravities by what is known of their sensors; the reported values stay on record."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from lullwort.analysis.calibration import calibrated_sg
from lullwort.analysis.screen import BEYOND_CALIBRATION, NO_INCLINATION, UNCALIBRATED
from lullwort.analysis.settle import Settled, settle
from lullwort.records import Batch, Calibration, VesselReadings
from lullwort.science import water_density

__all__ = ["calibrated", "settled_gravities"]


def settled_gravities(batch: Batch, readings: VesselReadings) -> Settled:
    """What the sensors say of a batch: reports settled as they were made, then turned into gravities.

    Args:    readings: as reported, in any order.
    """
    settled = settle(readings)
    return settled._replace(readings=calibrated(batch, settled.readings))


def calibrated(batch: Batch, readings: VesselReadings) -> VesselReadings:
    """The readings with the gravities that the calibrations of their sensors give.

    A raw value beyond the points of its sensor's calibration gives none, with a reason of its own; so does a sensor
    that reports inclination alone and has no calibration. What has none and reports gravity stays as it is.
    """
    known = {traits.name: traits.calibration for traits in batch.sensors if traits.calibration is not None}
    if readings.inclination is None and not any(name in known for name in readings.sensors):
        return readings
    nothing = np.full(len(readings), np.nan)
    inclination = nothing if readings.inclination is None else readings.inclination
    gravity, unusable = readings.gravity.copy(), np.zeros(len(readings), dtype=np.int8)
    unusable[np.isnan(gravity) & ~np.isnan(inclination)] = UNCALIBRATED
    for code, name in enumerate(readings.sensors):
        if (calibration := known.get(name)) is not None:
            mine = readings.sensor_codes == code
            raw = (inclination if calibration.of == "inclination" else readings.gravity)[mine]
            gravity[mine], unusable[mine] = _gravities(batch, calibration, raw, readings.gravity[mine])
    return VesselReadings(
        readings.sensors,
        readings.sensor_codes,
        readings.at_us,
        gravity,
        readings.temperature_c,
        unusable=unusable if unusable.any() else None,
    )


def _gravities(
    batch: Batch, calibration: Calibration, raw: NDArray[np.float64], reported: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.int8]]:
    gravity = calibrated_sg(calibration, raw)
    if calibration.reported == "uncorrected" and batch.reference_c != 20.0:
        gravity *= float(water_density(20.0)) / float(water_density(batch.reference_c))
    unusable = np.where(np.isnan(gravity) & ~np.isnan(raw), BEYOND_CALIBRATION, 0)
    unusable[np.isnan(raw) & ~np.isnan(reported)] = NO_INCLINATION
    return gravity, unusable.astype(np.int8)
