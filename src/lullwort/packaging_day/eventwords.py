"""What was done to a batch, in a few words for each deed."""

from __future__ import annotations

from lullwort.analysis import HandReading
from lullwort.detector import Units
from lullwort.records import Event

__all__ = ["event_says"]

_TOLD_POINTS = 0.05
# What correcting a reading changes by less need not be told.


def event_says(event: Event, said: HandReading | None, units: Units) -> list[str]:
    """What was put in or read, in parts; nothing where the kind alone says it. The brewer's own words are not in it.

    Args:    said: what a sample says once it is corrected.

    >>> event_says(Event(at_us=0, kind="addition", points=2.5), None, Units(decimal="comma"))
    ['2,5 points']
    """
    parts = []
    if event.points is not None:
        parts.append(f"{units.short(event.points)} points")
    if event.original_points is not None:
        parts.append(f"{units.short(event.original_points)} on the original gravity")
    if event.gravity is not None:
        parts.append(units.level((event.gravity - 1.0) * 1000.0))
    if event.brix is not None:
        parts.append(f"{units.short(event.brix)} °Bx")
    if event.temperature_c is not None:
        parts.append(f"read at {units.temp(event.temperature_c)}")
    if event.instrument is not None:
        parts.append(f"with {event.instrument}")
    if said is not None and (
        event.gravity is None or abs(said.points - (event.gravity - 1.0) * 1000.0) >= _TOLD_POINTS
    ):
        parts.append(f"{'about' if said.estimate else 'that is'} {units.level(said.points)}")
    return parts
