"""What most kinds of invented batch start from: an ordinary ale, cellar and sensor, drawn at random.

The ranges follow what brewers report for such beers and sensors; they are settings of a rehearsal, not
measurements.
"""

from __future__ import annotations

import numpy as np

from lullwort.rehearsal.beer import Beer
from lullwort.rehearsal.plan import Plan
from lullwort.rehearsal.sensor import Sensor
from lullwort.rehearsal.temperature import Cellar

__all__ = ["Rng", "draw_ale", "draw_cellar", "draw_sensor", "either_sign"]

Rng = np.random.Generator


def draw_sensor(rng: Rng) -> Sensor:
    """An ordinary sensor on an ordinary day: quiet noise of 0.25 to 0.6 points, most of it correlated."""
    quiet = rng.uniform(0.25, 0.6)
    red_share = rng.uniform(0.5, 0.85)
    return Sensor(
        interval_min=float(rng.choice([15, 15, 15, 30, 30, 30, 10, 20, 60, 5])),
        white_points=quiet * (1.0 - red_share) ** 0.5,
        red_points=quiet * red_share**0.5,
        red_h=rng.uniform(2.0, 6.0),
        active_factor=rng.uniform(2.0, 5.0),
        step_points=float(rng.choice([0.1, 0.1, 0.1, 1.0])),
        offset_points=rng.normal(0.0, 2.0),
        scale=1.0 + rng.normal(0.0, 0.015),
        drift_points_per_day=rng.normal(0.0, 0.01),
        points_per_c=rng.normal(0.0, 0.15),
        outlier_share=0.002,
        missing_share=rng.uniform(0.0, 0.03),
    )


def draw_cellar(rng: Rng, *knots: tuple[float, float]) -> Cellar:
    """A cellar set to these (hour, °C), with day, night and weather."""
    return Cellar(
        knots=knots,
        swing_c=rng.uniform(0.2, 1.2),
        peak_h=rng.uniform(0.0, 24.0),
        wander_c=rng.uniform(0.1, 0.4),
    )


def draw_ale(rng: Rng) -> Plan:
    """An ordinary ale in an ordinary cellar, watched by an ordinary sensor."""
    original = rng.uniform(42.0, 58.0)
    usual_c = rng.uniform(18.5, 21.0)
    beer = Beer(
        original_points=original,
        end_points=original * (1.0 - rng.uniform(0.72, 0.82)),
        lag_h=rng.uniform(6.0, 18.0),
        middle_h=24.0 * rng.uniform(1.3, 2.4),
        steepness_per_h=rng.uniform(1.6, 2.6) / 24.0,
        tail_points=rng.uniform(1.5, 4.0),
        tail_tau_h=24.0 * rng.uniform(0.9, 2.0),
        usual_c=usual_c,
        yeast_min_c=rng.uniform(13.0, 15.0),
    )
    return Plan(
        beer=beer,
        cellar=draw_cellar(rng, (0.0, usual_c)),
        sensor=draw_sensor(rng),
        days=rng.uniform(18.0, 24.0),
    )


def either_sign(rng: Rng, smallest: float, largest: float) -> float:
    """A number of this size, up or down."""
    return float(rng.choice([-1.0, 1.0]) * rng.uniform(smallest, largest))
