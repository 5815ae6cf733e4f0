"""A general change-detection library used as well as it can be: the adaptive window of Bifet and
Gavaldà (Learning from time-changing data with adaptive windowing, SIAM Data Mining 2007).

It keeps the longest window over which the mean of what it is fed has not changed. Fed with hourly falls it says since
when the beer falls as it does now, and by how much. Gated as the robust slope is, for it knows nothing of beer.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, cast

import numpy as np

from lullwort.records import HOUR_US, Batch, Reading
from lullwort.rehearsal.simple_methods import MEDIAN_H, WINDOW_H, highest_end, rolling_medians, start_shift

__all__ = ["no_more_change"]

_DELTA = 0.7
"""How sure a change must be: of 0.002 (the library's own) to 0.9 the one that does best on tuning seeds."""


def no_more_change(readings: Sequence[Reading], batch: Batch, after_us: int | None = None) -> int | None:
    """First hour [µs since the epoch] at which the mean hourly fall, over the hold window or longer, is within the
    tolerance for a window, and the level is plausible."""
    from river.drift import ADWIN

    medians = rolling_medians(readings, batch, MEDIAN_H)
    shift, highest = start_shift(rolling_medians(readings, batch, 1), batch), highest_end(batch)
    first = 0 if after_us is None else max(0, (after_us - batch.pitched_us) // HOUR_US)
    window: Any = cast("Any", ADWIN)(delta=_DELTA, clock=1)
    for hour in range(first + 1, len(medians)):
        fall = (medians[hour - 1] - medians[hour]) * 1000.0  # points, for it is made for values of the order of 1
        if not np.isfinite(fall):
            continue
        window.update(float(fall))
        flat = window.width >= WINDOW_H and abs(window.estimation) * WINDOW_H <= batch.tolerance * 1000.0
        if flat and medians[hour] + shift <= highest:
            return batch.pitched_us + (hour + 1) * HOUR_US
    return None
