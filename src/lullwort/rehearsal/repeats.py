"""Invented repeats of one recipe, as a brewer makes them: the same plan, each time a little different.

By how much the same recipe differs at home from one time to the next is common practice, no source; these are settings
of a rehearsal, not measurements.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import msgspec
import numpy as np

from lullwort.records import HOUR_US
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.invented import Invented, brewed, drawn, shifted
from lullwort.rehearsal.plan import Plan
from lullwort.rehearsal.temperature import Cellar

__all__ = ["ODDITIES", "invent_repeats"]

_LAG, _PACE, _TAIL = 0.15, 0.08, 0.12
# Shares, one standard deviation.
_ORIGINAL, _END, _OFFSET = 1.0, 0.7, 1.0
# Points, likewise.
_WARMTH_C = 0.3
_EMPTY_H = 60


def _late(plan: Plan) -> Plan:
    return replace(plan, beer=replace(plan.beer, lag_h=3.0 * plan.beer.lag_h + 12.0))


def _slow(plan: Plan) -> Plan:
    beer = plan.beer
    slower = replace(beer, middle_h=1.7 * beer.middle_h, steepness_per_h=beer.steepness_per_h / 1.7)
    return replace(plan, beer=slower, days=plan.days + 4.0)


def _stuck(plan: Plan) -> Plan:
    return replace(plan, beer=replace(plan.beer, stuck_points=0.3 * (plan.beer.original_points - plan.beer.end_points)))


def _cool(plan: Plan) -> Plan:
    return replace(plan, cellar=_warmer(plan, -3.0), days=plan.days + 4.0)


ODDITIES: dict[str, Callable[[Plan], Plan]] = {"late": _late, "slow": _slow, "stuck": _stuck, "cool": _cool}
"""By name, what may be other with a repeat: yeast that wakes late, works slowly or gives up early, or 3 °C less."""


def invent_repeats(
    kind: str, seed: int, count: int, *, family: Family = "tail", last: str | None = None
) -> list[Invented]:
    """So many batches of one recipe after each other in one vessel, all but the last packaged.

    Args:    last: what is other with the last of them, one of `ODDITIES`; None: it goes as the others do.
    """
    plan, rng = drawn(kind, seed, family)
    vessel = kind.replace(" ", "-")
    repeats: list[Invented] = []
    for number in range(1, count + 1):
        again = _again(plan, rng)
        if number == count and last is not None:
            again = ODDITIES[last](again)
        batch = brewed(again, vessel, f"{vessel}-{number}", rng, kind=kind, seed=seed, family=family)
        after_us = repeats[-1].newest_us + _EMPTY_H * HOUR_US if repeats else batch.batch.pitched_us
        batch = shifted(batch, after_us // HOUR_US * HOUR_US - batch.batch.pitched_us)
        packaged_us = None if number == count else batch.newest_us
        entered = msgspec.structs.replace(batch.batch, recipe=kind, packaged_us=packaged_us)
        repeats.append(replace(batch, batch=entered))
    return repeats


def _again(plan: Plan, rng: np.random.Generator) -> Plan:
    """The same plan on another day."""
    beer, pace = plan.beer, np.exp(rng.normal(0.0, _PACE))
    other = replace(
        beer,
        original_points=beer.original_points + rng.normal(0.0, _ORIGINAL),
        end_points=beer.end_points + rng.normal(0.0, _END),
        lag_h=beer.lag_h * np.exp(rng.normal(0.0, _LAG)),
        middle_h=beer.middle_h * pace,
        steepness_per_h=beer.steepness_per_h / pace,
        tail_points=beer.tail_points * np.exp(rng.normal(0.0, _TAIL)),
        tail_tau_h=beer.tail_tau_h * np.exp(rng.normal(0.0, _TAIL)),
    )
    sensor = replace(plan.sensor, offset_points=plan.sensor.offset_points + rng.normal(0.0, _OFFSET))
    return replace(plan, beer=other, sensor=sensor, cellar=_warmer(plan, rng.normal(0.0, _WARMTH_C)))


def _warmer(plan: Plan, by_c: float) -> Cellar:
    return replace(plan.cellar, knots=tuple((hour, temp_c + by_c) for hour, temp_c in plan.cellar.knots))
