"""The temperature correction of one batch and sensor, tabulated once for a stream of readings."""

from __future__ import annotations

import numpy as np

from lullwort.errors import OutOfRangeError
from lullwort.science.beer import (
    MAX_READING,
    MIN_READING,
    distillate_alcohol,
    float_swelling,
    original_extract,
    tabarie_density_excess,
)
from lullwort.science.extract import MAX_MASS_FRACTION
from lullwort.science.water import water_density

__all__ = ["CorrectionTable"]

_MAX_TEMP_C = 40
_STEPS_PER_SG = 2000  # half a point: the corrections bend where the beer can get no drier
_COLUMNS = round((MAX_READING - MIN_READING) * _STEPS_PER_SG)


class CorrectionTable:
    """Turns readings of one float in one batch into gravity at the reference temperature, 1 µs each.

    Bilinear between nodes 0.5 points and 1 K apart; within 0.01 points of `sg_at_reference`, which has the
    physics and says what is assumed without an original gravity.

    Args:   original_gravity: [SG at reference_c] 1.000 to 1.200, or None.  reference_c: [°C] 0 to 40.
            sensor_expansion_per_k: [1/K] cubic expansion of the float, 0 to 5e-4.
    Raises: OutOfRangeError outside these ranges.

    >>> table = CorrectionTable(original_gravity=1.050, reference_c=20.0, sensor_expansion_per_k=0.0)
    >>> round(table.sg_at_reference(1.01432, 4.0), 4)
    1.012
    """

    def __init__(self, original_gravity: float | None, reference_c: float, sensor_expansion_per_k: float) -> None:
        original = original_extract(original_gravity, reference_c)
        water_at_reference = water_density(reference_c)
        # Forward over the liquids there can be, then read off backwards: no equation has to be solved.
        residue = np.concatenate(
            [[-0.25], np.linspace(0.0, original, 100), np.linspace(original, MAX_MASS_FRACTION, 150)[1:]]
        )
        temp_c = np.arange(_MAX_TEMP_C + 1.0)[:, np.newaxis]
        alcohol = distillate_alcohol(original, residue, reference_c)
        density = water_density(temp_c) + tabarie_density_excess(residue, alcohol, temp_c)
        reading = density * float_swelling(temp_c, reference_c, sensor_expansion_per_k) / water_at_reference
        at_reference = tabarie_density_excess(residue, alcohol, np.full_like(residue, reference_c))
        gravity = 1.0 + at_reference / water_at_reference
        nodes = MIN_READING + np.arange(_COLUMNS + 1) / _STEPS_PER_SG
        self._correction: list[list[float]] = [np.interp(nodes, row, gravity - row).tolist() for row in reading]

    def sg_at_reference(self, reading: float, temp_c: float) -> float:
        """Gravity [SG at reference_c] of the liquid in which the float reads so at `temp_c`.

        Args:   reading: [-] 0.975 to 1.200, density over that of water at reference_c.  temp_c: [°C] 0 to 40.
        Raises: OutOfRangeError outside these ranges, also for NaN: a stream has no place for it.
        """
        if not MIN_READING <= reading <= MAX_READING:
            raise OutOfRangeError("reading", reading, "0.975 to 1.2 SG", source="Bubnik1995")
        if not 0.0 <= temp_c <= _MAX_TEMP_C:
            raise OutOfRangeError("temp_c", temp_c, "0 to 40 °C", source="Tanaka2001")
        row = min(int(temp_c), _MAX_TEMP_C - 1)
        place = (reading - MIN_READING) * _STEPS_PER_SG
        column = min(int(place), _COLUMNS - 1)
        up, right = temp_c - row, place - column
        colder, warmer = self._correction[row], self._correction[row + 1]
        at_colder = colder[column] + right * (colder[column + 1] - colder[column])
        at_warmer = warmer[column] + right * (warmer[column + 1] - warmer[column])
        return reading + at_colder + up * (at_warmer - at_colder)
