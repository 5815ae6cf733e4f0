"""Hand samples in the course of their batch: what had been added by then counts in what they say."""

from __future__ import annotations

from collections.abc import Iterator

from lullwort.analysis.correct import GravityCorrection
from lullwort.analysis.sampleread import HandReading, read_sample
from lullwort.records import Batch, Event

__all__ = ["hand_reading", "hand_readings"]


def hand_reading(batch: Batch, event: Event, correction: GravityCorrection) -> HandReading | None:
    """What a sample of `batch` says; None if it gives no gravity, or if correcting it would be a guess.

    Args: correction: of the batch, with what had been added by then.
    """
    return read_sample(batch, event, correction.original_gravity, correction.original_sd)


def hand_readings(batch: Batch) -> Iterator[tuple[Event, HandReading | None]]:
    """The samples of `batch` in order of time, each with what it says."""
    correction = GravityCorrection(batch)
    for event in sorted(batch.events, key=lambda event: event.order):
        if event.points is not None:
            correction.add_points(event.points_of_original)
        if event.kind == "sample":
            yield event, hand_reading(batch, event, correction)
