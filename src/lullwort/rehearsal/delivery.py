"""The way of readings from the sensor into the log: dated by its clock, repeated, held back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lullwort.rehearsal.sensor import Report

__all__ = ["Delivery", "HeldBack", "WrongClock", "deliver"]

_AGAIN_WITHIN_H = 48.0


@dataclass(frozen=True)
class WrongClock:
    """From `from_h` to `to_h` [h since pitch] the sensor's clock is `ahead_h` [h] ahead; behind where negative."""

    from_h: float
    to_h: float
    ahead_h: float


@dataclass(frozen=True)
class HeldBack:
    """Readings from `from_h` to `to_h` [h since pitch] reach the log `late_h` [h] late, after newer ones."""

    from_h: float
    to_h: float
    late_h: float


@dataclass(frozen=True, kw_only=True)
class Delivery:
    """What befalls readings on their way.

    Attributes:
        clocks, held_back: times of a wrong clock, and of a link that was down.
        repeated_share: share of readings that come again within two days, once or twice.
    """

    clocks: tuple[WrongClock, ...] = ()
    held_back: tuple[HeldBack, ...] = ()
    repeated_share: float = 0.0


def deliver(delivery: Delivery, sent: Report, rng: np.random.Generator) -> Report:
    """What stands in the log, dated as the sensor dated it and in the order in which it came."""
    dated = sent.hours.copy()
    for clock in delivery.clocks:
        dated[(sent.hours >= clock.from_h) & (sent.hours < clock.to_h)] += clock.ahead_h
    comes_h = sent.hours.copy()
    for held in delivery.held_back:
        comes_h[(sent.hours >= held.from_h) & (sent.hours < held.to_h)] += held.late_h
    which = np.arange(len(comes_h))
    if delivery.repeated_share:
        times = np.where(rng.random(len(which)) < delivery.repeated_share, rng.integers(1, 3, len(which)), 0)
        again = np.repeat(which, times)
        comes_h = np.concatenate([comes_h, comes_h[again] + rng.uniform(0.0, _AGAIN_WITHIN_H, len(again))])
        which = np.concatenate([which, again])
    order = which[np.argsort(comes_h, kind="stable")]
    return Report(dated[order], sent.gravity[order], sent.temperature_c[order])
