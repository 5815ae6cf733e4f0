"""Hours that do not fit the trend: a lone odd one is passed over, three on one side mean that something happened.

And hours that do fit, but lie above it for so long that something must have lifted the reading.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

__all__ = ["LiftWatch", "Misfit", "StepWatch"]

_MISFIT_SD = 4.5
_MISFIT_POINTS = 1.5
_HOURS = 3
_LIFT_DRIFT, _LIFT_ALARM, _LIFT_MOST = 1.0, 4.0, 4.0
# One hour alone, however high, is none.
# On invented batches six of seven rafts of hops that nobody had noted, and a false alarm in one of forty batches.


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

    def fits(self, innovation: float, sd: float) -> bool:
        """Whether an hour's value lies where the trend may expect it; both in points.

        If it does, a misfit before it was a lone odd one.
        """
        if -_MISFIT_POINTS <= innovation <= _MISFIT_POINTS or abs(innovation) <= _MISFIT_SD * sd:
            if self._run:
                self._run.clear()
            return True
        return False

    @property
    def at_rest(self) -> bool:
        """Whether no misfit waits to be understood."""
        return not self._run

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


@dataclass
class LiftWatch:
    """Page's cumulative sum of innovations, upward: what three misfits are too blunt to see. O(1) memory.

    Source: [Page1954]; drift and threshold are our own.
    """

    _sum: float = 0.0

    def add(self, innovation_sds: float) -> bool:
        """Take the innovation of an hour that fitted, in standard deviations; whether the reading has been lifted."""
        total = self._sum + (innovation_sds if innovation_sds < _LIFT_MOST else _LIFT_MOST) - _LIFT_DRIFT
        self._sum = total if total > 0.0 else 0.0
        if self._sum <= _LIFT_ALARM:
            return False
        self._sum = 0.0
        return True

    def reset(self) -> None:
        """What came before says nothing any more."""
        self._sum = 0.0
