"""Levels as a sensor gave them made gravities, each by what is known of the sensor in its own hour."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.detector import Shift, Snapshot
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["Mending", "mending_of"]

_UNDERSTOOD_H = 3
# Hours with a value that a shift takes until it is understood, the first of them the one it is in.


class Mending(NamedTuple):
    """What is known of one sensor through one batch.

    Attributes:
        from_us: [µs] in order of time the beginnings of the hours from which on the reading was shifted.
        later:  [points] what the sensor reads more of the same beer by now than before the first of them, before the
            second, and so on; 0 after the last.
        offset, scale: of the sensor as it reads now.
    """

    from_us: NDArray[np.int64]
    later: FloatArray
    offset: float
    scale: float

    def gravities(self, at_us: NDArray[np.int64], levels: FloatArray) -> FloatArray:
        """[points] Of beers of which the sensor read `levels` [points] at `at_us` [µs]."""
        shifted = self.later[np.searchsorted(self.from_us, at_us, side="right")]
        return np.asarray((levels + shifted - self.offset) / self.scale)


def mending_of(seen: Snapshot, ends_us: NDArray[np.int64]) -> Mending:
    """As the detector has understood it.

    Args:    ends_us: [µs] of the hours with a gravity, in order of time.
    """
    from_us, points = _begun(seen.shifts, ends_us)
    later = np.append(np.cumsum(points[::-1])[::-1], 0.0)
    return Mending(from_us, later, seen.offset, seen.scale)


def _begun(shifts: Sequence[Shift], ends_us: NDArray[np.int64]) -> tuple[NDArray[np.int64], FloatArray]:
    understood = np.array([shift.at_us for shift in shifts], dtype=np.int64)
    points = np.array([shift.points for shift in shifts], dtype=np.float64)
    first = np.searchsorted(ends_us, understood, side="right") - _UNDERSTOOD_H
    known = first >= 0
    return ends_us[first[known]] - HOUR_US, points[known]
