"""Readings in time order, each key once: repeats are one, contradictions are none."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple

from lullwort.records import Reading

__all__ = ["Settled", "settle"]


class Settled(NamedTuple):
    """Readings by (time, sensor), and how many keys were left out because their values contradict each other."""

    readings: list[Reading]
    conflicts: int


def settle(readings: Iterable[Reading]) -> Settled:
    """Sort by (time, sensor); equal readings of one key become one, differing ones are all left out.

    >>> a, b = Reading("s", "v", 1, 1.050, 20.0), Reading("s", "v", 1, 1.051, 20.0)
    >>> settle([a, a]) == Settled([a], 0), settle([a, b]) == Settled([], 1)
    (True, True)
    """
    kept: list[Reading] = []
    conflicts = 0
    last: Reading | None = None
    contradicted = False
    for reading in sorted(readings, key=lambda r: (r.at_us, r.sensor)):
        if last is not None and (reading.at_us, reading.sensor) == (last.at_us, last.sensor):
            if reading != last and not contradicted:
                contradicted = True
                conflicts += 1
                kept.pop()
            continue
        kept.append(reading)
        last, contradicted = reading, False
    return Settled(kept, conflicts)
