"""How sure the smoothed gravity of each hour is."""

from __future__ import annotations

import numpy as np

from lullwort.detector import Snapshot
from lullwort.exporting import CurveGround, runs
from lullwort.units import FloatArray

__all__ = ["level_sds"]

_WINDOW_H = 25
_MAD_TO_SD = 1.4826
# Of a normal distribution.
_LEFT_IN = 0.6
# Of the hours' scatter, after the median of 7 and the mean of 9 of them: between 0.4 for hours that scatter each by
# itself, and 1 for those that wander together.


def level_sds(ground: CurveGround, seen: Snapshot) -> FloatArray:
    """Standard deviation [points] of each smoothed hour: by the scatter about it, by what is not known of its sensor's
    offset and scale, and by what the instrument of hand samples may be off. Towards the newest that is believed it
    becomes that of the words.

    The second is what holds of the gravity that is read now; of one far from that it may be more or less. NaN for what
    was read in the cold: the sensor's own error there is not known.

    Args:    seen: by which the hours were mended.
    """
    apart, scatter = np.abs(ground.points - ground.smooth), np.zeros(len(ground.points))
    for run in runs(ground.days):
        padded = np.pad(apart[run], _WINDOW_H // 2, mode="edge")
        windows = np.lib.stride_tricks.sliding_window_view(padded, _WINDOW_H)
        scatter[run] = _MAD_TO_SD * _LEFT_IN * np.partition(windows, _WINDOW_H // 2, axis=1)[:, _WINDOW_H // 2]
    sds = np.sqrt(scatter**2 + seen.offset_sd**2 + seen.hand_error_sd**2)
    if ground.present is not None:
        sds += ground.leads * (ground.present.sd - sds)
    return np.where(ground.believed, sds, np.nan)
