"""Levels as a sensor gave them made gravities, each by what is known of the sensor in its own hour."""

from __future__ import annotations

import math
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
    """What is known of a batch's sensors through it.

    Attributes:
        from_us: [µs] in order of time the beginnings of the hours from which on the reading was shifted.
        offsets, scales: of the sensor before the first of them, before the second, and so on, and now.
        sds:    [points] of gravities by each, for what is not known of those.
    """

    from_us: NDArray[np.int64]
    offsets: FloatArray
    scales: FloatArray
    sds: FloatArray

    def gravities(self, at_us: NDArray[np.int64], levels: FloatArray) -> FloatArray:
        """[points] Of beers of which the sensor read `levels` [points] at `at_us` [µs]."""
        place = np.searchsorted(self.from_us, at_us, side="right")
        return np.asarray((levels - self.offsets[place]) / self.scales[place])

    def sds_at(self, at_us: NDArray[np.int64]) -> FloatArray:
        """[points] Standard deviations of such gravities, for what is not known of offset and scale."""
        return self.sds[np.searchsorted(self.from_us, at_us, side="right")]


def mending_of(seen: Snapshot, ends_us: NDArray[np.int64]) -> Mending:
    """As the detector has understood it.

    Args:    ends_us: [µs] of the hours with a gravity, in order of time.
    """
    begun = list(_begun(seen.shifts, ends_us))
    lines = [(seen.offset, seen.scale, math.hypot(seen.still_sd, seen.hand_error_sd))]
    for _, shift in reversed(begun):
        offset, scale, sd = lines[-1]
        former = shift.former
        lines.append((offset - shift.points, scale, sd) if former is None else (former.offset, former.scale, former.sd))
    offsets, scales, sds = np.array(lines[::-1], dtype=np.float64).T
    return Mending(np.array([from_us for from_us, _ in begun], dtype=np.int64), offsets, scales, sds)


def _begun(shifts: Sequence[Shift], ends_us: NDArray[np.int64]) -> Sequence[tuple[int, Shift]]:
    understood = np.array([shift.at_us for shift in shifts], dtype=np.int64)
    first = (np.searchsorted(ends_us, understood, side="right") - _UNDERSTOOD_H).tolist()
    return [(int(ends_us[at]) - HOUR_US, shift) for at, shift in zip(first, shifts, strict=True) if at >= 0]
