"""Readings of batches one by one, as a curve shows them: of as many batches as there is room for."""

from __future__ import annotations

from dataclasses import dataclass, field

from lullwort.analysis import CourseReadings

__all__ = ["HeldReadings"]


@dataclass
class HeldReadings:
    """Holds so many bytes at most; what nobody asked for the longest goes first."""

    most_bytes: int = 8 << 20
    _held: dict[str, CourseReadings] = field(default_factory=dict)
    _bytes: int = 0

    def get(self, batch: str) -> CourseReadings | None:
        """Those of a batch; None where they are not held."""
        found = self._held.pop(batch, None)
        if found is not None:
            self._held[batch] = found
        return found

    def put(self, batch: str, readings: CourseReadings) -> None:
        """Hold these of a batch from now on, and no others of it."""
        self.drop(batch)
        self._held[batch] = readings
        self._bytes += _size(readings)
        while self._bytes > self.most_bytes:
            self.drop(next(iter(self._held)))

    def drop(self, batch: str) -> None:
        """Hold those of a batch no longer."""
        found = self._held.pop(batch, None)
        if found is not None:
            self._bytes -= _size(found)


def _size(readings: CourseReadings) -> int:
    return sum(column.nbytes for column in readings)
