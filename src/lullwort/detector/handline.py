"""Hand samples of a beer that should stand still, as a straight line: how much it moved at most."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from lullwort.analysis import HandReading

__all__ = ["Compared", "Drawn", "compared", "independent_sds"]


class Drawn(NamedTuple):
    """A sample with the beer's clocks when it was drawn.

    Attributes:
        age_h: [yeast h] since the pitch.  warm_h: [h] since the pitch, those too cold for the yeast left out.
    """

    reading: HandReading
    age_h: float
    warm_h: float


class Compared(NamedTuple):
    """Some samples, the newest among them, laid through a straight line.

    Attributes:
        first: the earliest of them.  tried: how many they are.
        apart_h: [h] between the first and the newest, cold ones left out.
        fell, fell_sd: [points] from the one to the other.
        mean, mean_sd: [points] of all, an error that they share left out.
    """

    first: Drawn
    tried: int
    apart_h: float
    fell: float
    fell_sd: float
    mean: float
    mean_sd: float

    def moved(self, window_h: float, sds: float) -> float:
        """[points] by which it falls at that pace, and `sds` standard deviations more, in `window_h` [h]."""
        return (self.fell + sds * self.fell_sd) * window_h / self.apart_h


def independent_sds(readings: Sequence[HandReading]) -> tuple[list[float], float]:
    """[points] Standard deviations of what differs from one to the next, and of what all share.

    Readings of one instrument share its own error, which then says nothing of how they differ.
    """
    if len({reading.instrument for reading in readings}) > 1:
        return [reading.sd for reading in readings], 0.0
    return [reading.read_sd for reading in readings], max((reading.error_sd for reading in readings), default=0.0)


def compared(drawn: Sequence[Drawn], least_h: float) -> Compared | None:
    """The newest of `drawn` with those before it that tell most of how little it moved.

    Of all that reach back at least `least_h` [h] the one is taken by which the beer can have fallen least; where none
    reaches as far, the newest two. None for fewer than two samples at different times.
    """
    lines = [line for first in range(len(drawn) - 1) if (line := _line(drawn[first:])) is not None]
    reaching = [line for line in lines if line.apart_h >= least_h]
    if reaching:
        return min(reaching, key=lambda line: line.moved(1.0, 1.0))
    return lines[-1] if lines else None


def _line(drawn: Sequence[Drawn]) -> Compared | None:
    sds, _ = independent_sds([d.reading for d in drawn])
    weight = np.array(sds) ** -2.0
    at_h = np.array([d.warm_h for d in drawn])
    points = np.array([d.reading.points for d in drawn])
    apart_h = float(at_h[-1] - at_h[0])
    mean = float(weight @ points / weight.sum())
    from_middle = at_h - float(weight @ at_h / weight.sum())
    spread = float(weight @ from_middle**2)
    if apart_h <= 0.0 or spread <= 0.0:
        return None
    slope = float(weight @ (from_middle * points) / spread)
    return Compared(
        drawn[0], len(drawn), apart_h, -slope * apart_h, apart_h * spread**-0.5, mean, float(weight.sum() ** -0.5)
    )
