"""A hand sample as a gravity with its uncertainty: corrected for temperature and for the instrument's own error."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.analysis.correct import GravityCorrection
from lullwort.records import Batch, Event, Instrument

__all__ = ["HandReading", "hand_reading", "instrument_of"]


class HandReading(NamedTuple):
    """What one degassed sample says of the beer.

    Attributes:
        at_us:   [µs] when it was drawn.
        points:  [points] at the batch's reference temperature, the instrument's known error taken off.
        read_sd: [points] standard deviation of what differs from one reading to the next.
        error_sd: [points] and of what is the same in every reading of `instrument`, the name of which may be empty.
        instrument: readings of the same one share its error.
    """

    at_us: int
    points: float
    read_sd: float
    error_sd: float
    instrument: str

    @property
    def sd(self) -> float:
        """[points] Standard deviation of all that may be wrong."""
        return float((self.read_sd**2 + self.error_sd**2) ** 0.5)


def instrument_of(batch: Batch, event: Event) -> Instrument:
    """What the sample was read with; an ordinary hydrometer where it is not on record."""
    for instrument in batch.instruments:
        if instrument.name == event.instrument:
            return instrument
    calibrated_c = batch.reference_c if event.calibrated_c is None else event.calibrated_c
    return Instrument(name=event.instrument or "", calibrated_c=calibrated_c)


def hand_reading(batch: Batch, event: Event, correction: GravityCorrection) -> HandReading | None:
    """What a sample of `batch` says; None if it gives no gravity, or if correcting it would be a guess.

    Args: correction: of the batch, with what had been added by then.
    """
    if event.gravity is None:
        return None
    instrument = instrument_of(batch, event)
    gravity = event.gravity - instrument.error / 1000.0
    temp_c = instrument.calibrated_c if event.temperature_c is None else event.temperature_c
    points = correction.sample_points(gravity, temp_c, instrument.calibrated_c)
    if points is None:
        return None
    return HandReading(event.at_us, points, instrument.read_sd, instrument.error_sd, instrument.name)
