"""The original gravity of a batch as it was measured: as it was entered, or by a sample of its wort."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.analysis.sampleread import is_wort_sample, read_sample
from lullwort.records import Batch, Event

__all__ = ["ENTERED_SD", "MeasuredOriginal", "measured_original"]

ENTERED_SD = 0.5
"""[points] How far an original gravity may be off that was entered as such. Common practice, no source."""

_STRONGEST_POINTS = 200.0
# As far as the tables of beer reach.


class MeasuredOriginal(NamedTuple):
    """Original gravity [points] at the batch's reference, its standard deviation [points], and the sample of the wort
    that gave it; None where it was entered."""

    points: float
    sd: float
    sample: Event | None

    @property
    def sg(self) -> float:
        """[SG]"""
        return 1.0 + self.points / 1000.0


def measured_original(batch: Batch) -> MeasuredOriginal | None:
    """What was entered; or else the last sample of the wort that can be read, so that a later check of its instrument
    corrects it, too. None where neither was."""
    if batch.original_gravity is not None:
        return MeasuredOriginal((batch.original_gravity - 1.0) * 1000.0, ENTERED_SD, None)
    for event in reversed(batch.events):
        if is_wort_sample(batch, event):
            reading = read_sample(batch, event, None, 0.0)
            if reading is not None and 0.0 <= reading.points <= _STRONGEST_POINTS:
                return MeasuredOriginal(reading.points, reading.sd, event)
    return None
