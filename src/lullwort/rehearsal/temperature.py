"""Temperature of the liquid in an invented cellar: what was set, day and night, and the vessel's slowness."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import accumulate

import numpy as np

from lullwort.rehearsal.truth import Floats

__all__ = ["Cellar"]

COLDEST_C = 0.5  # chillers are set to keep beer from freezing


@dataclass(frozen=True, kw_only=True)
class Cellar:
    """A cellar's temperature over time.

    Attributes:
        knots:    (hour since pitch, °C) in time order; straight lines between them, level before and after.
        swing_c:  [°C] half of the difference between day and night.
        peak_h:   [h since pitch] of the warmest time of day.
        wander_c: [°C] standard deviation of slow weather, correlated over about a day.
        vessel_h: [h] time constant with which the liquid follows the air.

    >>> Cellar(knots=((0.0, 20.0),)).temperature_c(np.arange(3.0), np.random.default_rng(1)).tolist()
    [20.0, 20.0, 20.0]
    """

    knots: tuple[tuple[float, float], ...]
    swing_c: float = 0.0
    peak_h: float = 6.0
    wander_c: float = 0.0
    vessel_h: float = 5.0

    def temperature_c(self, hours: Floats, rng: np.random.Generator) -> Floats:
        """Liquid temperature [°C] at `hours` [h since pitch], which must be whole hours from 0."""
        at_h, level_c = np.array(self.knots).T
        day = self.swing_c * np.cos(2 * math.pi * (hours - self.peak_h) / 24.0)
        keep = math.exp(-1.0 / 24.0)
        kicks = self.wander_c * math.sqrt(1 - keep**2) * rng.standard_normal(len(hours))
        weather = np.fromiter(accumulate(kicks, lambda last, kick: keep * last + kick), dtype=float)
        air = np.interp(hours, at_h, level_c) + day + weather
        follow = 1.0 - math.exp(-1.0 / self.vessel_h)
        liquid = accumulate(air, lambda last, now: last + follow * (now - last))
        return np.asarray(np.maximum(np.fromiter(liquid, dtype=float), COLDEST_C), dtype=float)
