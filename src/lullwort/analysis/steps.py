"""Hours that do not fit the trend: a lone odd one is passed over, three on one side mean that something happened."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

__all__ = ["Misfit", "StepWatch"]

_MISFIT_SD = 4.5
_MISFIT_POINTS = 1.5
_HOURS = 3


class Misfit(NamedTuple):
    """What three misfitting hours in a row amount to.

    `bump`: the float reads `points` more, or less, from now on. `ramp`: the beer falls faster than believed.
    """

    kind: Literal["bump", "ramp"]
    points: float
    spread: float


@dataclass
class StepWatch:
    """Tells outliers, bumps and ramps apart from the innovations of the trend. O(1) memory."""

    _run: list[float] = field(default_factory=list)

    def fits(self, innovation: float, variance: float) -> bool:
        """Whether an hour's value lies where the trend may expect it."""
        return abs(innovation) <= max(_MISFIT_POINTS, _MISFIT_SD * math.sqrt(variance))

    def settle(self) -> None:
        """An hour fitted: what came before was a lone odd one."""
        self._run.clear()

    def add(self, innovation: float) -> Misfit | None:
        """Note a misfit [points]; tells what it was once three came in a row."""
        self._run.append(innovation)
        if len(self._run) < _HOURS:
            return None
        run, self._run = self._run, []
        low, high = min(run), max(run)
        middle = sorted(run)[_HOURS // 2]
        one_sided = low > 0.0 or high < 0.0
        # Beer does not rise: what lies above, however unevenly, is the float's.
        if low > 0.0 or (one_sided and high - low < 0.4 * abs(middle)):
            return Misfit("bump", middle, high - low)
        return Misfit("ramp", middle, high - low)
