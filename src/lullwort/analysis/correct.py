"""From the gravity that a sensor reports to points at the batch's reference temperature."""

from __future__ import annotations

from dataclasses import dataclass, field

from lullwort.analysis.originalgravity import MeasuredOriginal, measured_original
from lullwort.errors import OutOfRangeError
from lullwort.records import Batch, TemperatureAnswer
from lullwort.science import CorrectionTable

__all__ = ["GravityCorrection"]


@dataclass
class GravityCorrection:
    """Corrects the gravities of one batch for temperature, as the liquid that they are of.

    What was added (`add_points`) raises the original gravity by which the liquid's make-up is known. What a sensor's
    own answer to temperature is known to be is taken off as well.
    """

    batch: Batch
    added_points: float = 0.0
    answers: dict[str, TemperatureAnswer] = field(init=False)
    """By sensor; of those that were learned as this batch's log is corrected."""
    measured: MeasuredOriginal | None = field(init=False)
    """The original gravity without additions; None where it was not measured."""
    _sensor: CorrectionTable | None = field(init=False)

    def __post_init__(self) -> None:
        self.answers = {
            traits.name: traits.answer
            for traits in self.batch.sensors
            if traits.answer is not None
            and traits.answer.corrected == (self.batch.gravity_reported == "corrected")
            and traits.answer.expansion_per_k == self.batch.sensor_expansion_per_k
        }
        self.measured = measured_original(self.batch)
        self._sensor = self._sensor_table()

    def add_points(self, points: float) -> None:
        """Sugar or fruit raised the original gravity by `points`."""
        self.added_points += points
        self._sensor = self._sensor_table()

    def points(self, gravity: float, temp_c: float | None, sensor: str | None = None) -> float | None:
        """Gravity points at the reference temperature; None where the correction would be a guess.

        Args:
            gravity: [SG] as the sensor reports it.
            temp_c:  [°C] of the liquid, None if not known.
            sensor:  id, for taking off what it is known to add; None: nothing is.
        """
        if self.answers and sensor in self.answers and temp_c is not None:
            gravity -= self.answers[sensor].points(temp_c) / 1000.0
        if self._sensor is None:
            return (gravity - 1.0) * 1000.0
        return None if temp_c is None else _points(self._sensor, gravity, temp_c)

    @property
    def original_gravity(self) -> float | None:
        """[SG] With what was added since; None where it was not measured."""
        return None if self.measured is None else self.measured.sg + self.added_points / 1000.0

    @property
    def original_sd(self) -> float:
        """[points] How sure that is; 0 where there is none."""
        return 0.0 if self.measured is None else self.measured.sd

    def _sensor_table(self) -> CorrectionTable | None:
        if self.batch.gravity_reported == "corrected":
            return None
        return CorrectionTable(self.original_gravity, self.batch.reference_c, self.batch.sensor_expansion_per_k)


def _points(table: CorrectionTable, gravity: float, temp_c: float) -> float | None:
    try:
        return (table.sg_at_reference(gravity, temp_c) - 1.0) * 1000.0
    except OutOfRangeError:
        return None
