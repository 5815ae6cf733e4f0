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
_NODES = MIN_READING + np.arange(_COLUMNS + 1) / _STEPS_PER_SG


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
        self._reference_c, self._expansion_per_k = reference_c, sensor_expansion_per_k
        self._water_at_reference = water_density(reference_c)
        # Forward over the liquids there can be, then read off backwards: no equation has to be solved.
        self._residue = np.concatenate(
            [[-0.25], np.linspace(0.0, original, 100), np.linspace(original, MAX_MASS_FRACTION, 150)[1:]]
        )
        self._alcohol = distillate_alcohol(original, self._residue, reference_c)
        at_reference = tabarie_density_excess(self._residue, self._alcohol, reference_c)
        self._gravity = 1.0 + at_reference / self._water_at_reference
        float_swelling(reference_c, reference_c, sensor_expansion_per_k)  # raises here, not at the first reading
        # A batch sees a few degrees of the forty: a row is made when first asked for.
        self._rows: list[list[float]] = [[]] * (_MAX_TEMP_C + 1)

    def _row(self, temp_c: int) -> list[float]:
        """Corrections [SG] at the nodes, for a liquid at `temp_c`."""
        density = water_density(float(temp_c)) + tabarie_density_excess(self._residue, self._alcohol, float(temp_c))
        swelling = float_swelling(float(temp_c), self._reference_c, self._expansion_per_k)
        reading = density * swelling / self._water_at_reference
        self._rows[temp_c] = np.interp(_NODES, reading, self._gravity - reading).tolist()
        return self._rows[temp_c]

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
        colder, warmer = self._rows[row] or self._row(row), self._rows[row + 1] or self._row(row + 1)
        at_colder = colder[column] + right * (colder[column + 1] - colder[column])
        at_warmer = warmer[column] + right * (warmer[column + 1] - warmer[column])
        return reading + at_colder + up * (at_warmer - at_colder)
