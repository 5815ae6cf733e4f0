"""What an invented beer truly does, hour by hour. Only the score may look at it; a detector never does."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Floats", "Truth", "oracle_hour"]

Floats = NDArray[np.float64]

ORACLE_POINTS_LEFT = 1.0


@dataclass(frozen=True, eq=False)
class Truth:
    """The noise-free beer on a grid of whole hours since pitch; all arrays have one length.

    Attributes:
        hours:         [h since pitch] 0, 1, 2 and so on.
        gravity:       [SG at 20 °C] of the degassed beer.
        points_left:   [gravity points] that the beer would still lose in time if the brewer did nothing
                       more than what was already done, stuck sugars included; never negative.
        temperature_c: [°C] of the liquid.
        action_hours:  [h since pitch] when the brewer set the beer going again (dry hop, sugar, fruit), or put
                       another in its place.
    """

    hours: Floats
    gravity: Floats
    points_left: Floats
    temperature_c: Floats
    action_hours: tuple[float, ...] = field(default=())

    def points_left_at(self, hour: float) -> float:
        """Points left at `hour` [h since pitch], which may lie between whole hours.

        Sugar goes in at one instant, so the value of the last whole hour counts, not one drawn in between.
        """
        index = int(np.searchsorted(self.hours, hour + 1e-9, side="right")) - 1
        return float(self.points_left[max(index, 0)])

    def gravity_at(self, hour: float) -> float:
        """Noise-free gravity [SG at 20 °C] at `hour` [h since pitch]."""
        return float(np.interp(hour, self.hours, self.gravity))

    def oracle_hour(self, window_h: int = 48, tolerance: float = 0.001) -> float | None:
        """See `oracle_hour`; counted after the last thing the brewer did to set the beer going again."""
        after_h = max(self.action_hours, default=0.0)
        return oracle_hour(self.hours, self.gravity, self.points_left, window_h, tolerance, after_h)

    def followed_by(self, other: Truth, empty_h: int) -> Truth:
        """This beer, its vessel empty for `empty_h` [h], 1 or more, then `other`, whose pitch counts as an action.

        While the vessel is empty the last of this beer stands.
        """

        def joined(first: Floats, second: Floats) -> Floats:
            return np.concatenate([first, np.full(empty_h - 1, first[-1]), second])

        gravity = joined(self.gravity, other.gravity)
        pitched_h = float(self.hours[-1]) + empty_h
        return Truth(
            np.arange(float(len(gravity))),
            gravity,
            joined(self.points_left, other.points_left),
            joined(self.temperature_c, other.temperature_c),
            (*self.action_hours, pitched_h, *(pitched_h + hour for hour in other.action_hours)),
        )

    def until(self, hour: float) -> Truth:
        """The same truth cut off after `hour`."""
        kept = self.hours <= hour
        return Truth(
            self.hours[kept],
            self.gravity[kept],
            self.points_left[kept],
            self.temperature_c[kept],
            tuple(h for h in self.action_hours if h <= hour),
        )


def oracle_hour(
    hours: Floats,
    gravity: Floats,
    points_left: Floats,
    window_h: int,
    tolerance: float,
    after_h: float = 0.0,
) -> float | None:
    """First hour at which all of the last `window_h` hours lay within `tolerance`, with at most 1 point left.

    Args:     hours: [h], whole and one apart; gravity: [SG]; points_left: [points]; tolerance: [SG];
              after_h: [h] the window may not begin before this hour.
    Returns:  [h since pitch], or None where that never happens.

    >>> hours = np.arange(100.0)
    >>> oracle_hour(hours, np.full(100, 1.010), np.zeros(100), 48, 0.001)
    48.0
    """
    if len(hours) <= window_h:
        return None
    windows = np.lib.stride_tricks.sliding_window_view(gravity, window_h + 1)
    spread = windows.max(axis=1) - windows.min(axis=1)
    ends = hours[window_h:]
    # a billionth of slack: 1.011 - 1.010 is a little more than 0.001 in binary
    good = (spread <= tolerance + 1e-9) & (points_left[window_h:] <= ORACLE_POINTS_LEFT)
    good &= ends - window_h >= after_h
    found = np.flatnonzero(good)
    return float(ends[found[0]]) if len(found) else None
