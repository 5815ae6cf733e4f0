"""One look at a hand sample as a gravity with its uncertainty, by whatever it was read with."""

from __future__ import annotations

import math
from typing import NamedTuple

from lullwort.errors import OutOfRangeError
from lullwort.explained import COMMON_PRACTICE, Explained
from lullwort.records import DIVISIONS, HOUR_US, Batch, Event, Instrument
from lullwort.science import hydrometer_in_beer, refractometer_gravity, refractometer_gravity_sd

__all__ = ["SAMPLE_EXPLAINED", "WORT_SAMPLE_US", "HandReading", "instrument_of", "is_wort_sample", "read_sample"]

WORT_SAMPLE_US = 24 * HOUR_US
"""[µs] By which a sample of the wort may be drawn before the yeast goes in."""

SAMPLE_EXPLAINED = Explained(
    "range of a sample",
    "value ± 1.645 sqrt(look² + error²): one look is 0.29 of a division and 0.3 points (0.1 °Bx), an instrument's "
    "error 2 points (0.3 °Bx) until it is checked in water, and as sure as one look after that; by refractometer also "
    "its wort factor (0.02), the original gravity, the alcohol's refraction (5 %) and 1.2 points for the model itself",
    COMMON_PRACTICE,
)


class HandReading(NamedTuple):
    """What one degassed sample says of the beer.

    Attributes:
        at_us:   [µs] when it was drawn.
        points:  [points] at the batch's reference temperature, the instrument's known error taken off.
        read_sd: [points] standard deviation of what differs from one reading to the next.
        error_sd: [points] and of what is the same in every reading of `instrument`.
        instrument: readings of the same one share its error; empty, or in brackets, where it is not on record.
        estimate: whether it is a refractometer's of fermenting beer, which rests on how much alcohol is assumed: it
                 proves nothing and corrects no sensor.
    """

    at_us: int
    points: float
    read_sd: float
    error_sd: float
    instrument: str
    estimate: bool = False

    @property
    def sd(self) -> float:
        """[points] Standard deviation of all that may be wrong."""
        return float((self.read_sd**2 + self.error_sd**2) ** 0.5)


def instrument_of(batch: Batch, event: Event) -> Instrument:
    """What the sample was read with; an ordinary hydrometer or refractometer where it is not on record."""
    for instrument in batch.instruments:
        if instrument.name == event.instrument:
            return instrument
    name = event.instrument or ""
    if event.brix is not None:
        return Instrument(name=name, kind="refractometer", division=DIVISIONS["refractometer"])
    calibrated_c = batch.reference_c if event.calibrated_c is None else event.calibrated_c
    return Instrument(name=name, calibrated_c=calibrated_c)


def is_wort_sample(batch: Batch, event: Event) -> bool:
    """Whether it was drawn before the yeast went in, or just then: its gravity is the original one."""
    return event.kind == "sample" and event.at_us <= batch.pitched_us


def read_sample(batch: Batch, event: Event, original: float | None, original_sd: float) -> HandReading | None:
    """What a sample of `batch` says; None if it gives no gravity, or if correcting it would be a guess.

    Args: original: [SG] original gravity with what had been added by then, None where not known; `original_sd` [points]
          its standard deviation.
    """
    instrument, wort = instrument_of(batch, event), is_wort_sample(batch, event)
    if wort:
        original = None
    try:
        if event.gravity is not None:
            return _by_hydrometer(batch, event, instrument, original)
        if event.brix is not None and (wort or original is not None):
            return _by_refractometer(batch, event, instrument, original, original_sd)
    except OutOfRangeError:
        pass
    return None


def _by_hydrometer(batch: Batch, event: Event, instrument: Instrument, original: float | None) -> HandReading:
    assert event.gravity is not None
    gravity = hydrometer_in_beer(
        original,
        event.gravity - instrument.error / 1000.0,
        instrument.calibrated_c if event.temperature_c is None else event.temperature_c,
        calibration_c=instrument.calibrated_c,
        reference_c=batch.reference_c,
    )
    points = (gravity - 1.0) * 1000.0
    return HandReading(event.at_us, points, instrument.read_sd, instrument.error_sd, _told_apart(batch, instrument))


def _told_apart(batch: Batch, instrument: Instrument) -> str:
    """Its name; of those that are not on record, and cannot be one and the same, what is known of them."""
    if instrument.name or (instrument.kind == "hydrometer" and instrument.calibrated_c == batch.reference_c):
        return instrument.name
    return f"({instrument.kind} made for {instrument.calibrated_c} °C)"  # no name of one on record has a bracket


def _by_refractometer(
    batch: Batch, event: Event, instrument: Instrument, original: float | None, original_sd: float
) -> HandReading:
    assert event.brix is not None
    brix, factor = event.brix - instrument.error, instrument.wort_factor
    gravity = refractometer_gravity(original, brix, wort_factor=factor, reference_c=batch.reference_c)
    slope, sd = refractometer_gravity_sd(
        original, brix, wort_factor=factor, original_sd=original_sd, reference_c=batch.reference_c
    )
    return HandReading(
        event.at_us,
        (gravity - 1.0) * 1000.0,
        slope * instrument.read_sd,
        math.hypot(slope * instrument.error_sd, sd),
        _told_apart(batch, instrument),
        estimate=original is not None,
    )
