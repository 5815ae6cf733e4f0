"""How far a sensor may have drifted since it was last held against a gravity measured by hand."""

from __future__ import annotations

import numpy as np

from lullwort.units import FloatArray

__all__ = ["drift_sds"]

_PER_DAY = 0.055
# [points] Standard deviation of what a float creeps in a day, steadily: most by less than 0.02, one that gathers a
# deposit by 0.05 to 0.25. Assumed.
_COUNTED_D = 11.0
# For so long what is known by the original gravity counts what a float wanders already (0.6 points).


def drift_sds(days: FloatArray, *, by_sample: bool) -> FloatArray:
    """[points] Standard deviation of the drift `days` [d] away from the last or next comparison, beyond what is counted
    in the sensor's offset.

    Args:    by_sample: whether hand samples tell that offset, in which no drift is counted.

    >>> drift_sds(np.array([5.0, 20.0]), by_sample=False).round(2).tolist()
    [0.0, 0.92]
    """
    counted_d = 0.0 if by_sample else _COUNTED_D
    return _PER_DAY * np.sqrt(np.maximum(days**2 - counted_d**2, 0.0))
