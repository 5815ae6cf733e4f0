"""The named kinds of invented batch, each with the right answer written beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lullwort.rehearsal import beer_kinds, sensor_kinds
from lullwort.rehearsal.drawing import Rng, draw_ale
from lullwort.rehearsal.plan import Plan

__all__ = ["KINDS", "SCORED", "Kind"]


@dataclass(frozen=True)
class Kind:
    """A kind of batch.

    Attributes:
        name, says:   what it is called, and what it is in one line.
        right_answer: what a good judge says of it.
        build:        draws the plan of one such batch.
        scored:       whether it counts in the score; the others are drills for one trap each.
    """

    name: str
    says: str
    right_answer: str
    build: Callable[[Rng], Plan]
    scored: bool = True


_ALL = (
    Kind(
        "plain ale",
        "an ordinary ale, cellar and sensor",
        "ready after the oracle hour",
        draw_ale,
    ),
    Kind(
        "fast ale",
        "most of it gone in two days",
        "ready after the oracle hour",
        beer_kinds.fast_ale,
    ),
    Kind(
        "slow tail",
        "the last points take a fortnight",
        "not ready while the tail runs; ready after it",
        beer_kinds.slow_tail,
    ),
    Kind(
        "strong ale",
        "a strong wort with a tail of weeks",
        "not ready while the tail runs; ready after it",
        beer_kinds.strong_ale,
    ),
    Kind(
        "cold lager",
        "slow and cold to the end",
        "not ready at the first flat days; ready at the end",
        beer_kinds.cold_lager,
    ),
    Kind(
        "lager with warm rest",
        "a lager warmed for its last points",
        "the clock starts after the warming; ready at the end",
        beer_kinds.lager_with_warm_rest,
    ),
    Kind(
        "stuck warm",
        "stands still, warm and far too high",
        "stalled; never ready",
        beer_kinds.stuck_warm,
    ),
    Kind(
        "cold stall",
        "the heating fails and works again days later",
        "too cold, then fermenting; ready at the end",
        beer_kinds.cold_stall,
    ),
    Kind(
        "pause and resume",
        "a yeast that rests half-way",
        "stalled, then fermenting; ready at the end",
        beer_kinds.pause_and_resume,
    ),
    Kind(
        "hop creep",
        "dry hops free sugar from dextrin",
        "the clock restarts at the hops; ready after the creep",
        beer_kinds.hop_creep,
    ),
    Kind(
        "sugar or fruit added",
        "more to ferment, late",
        "the clock restarts at the addition; ready after it",
        beer_kinds.sugar_or_fruit_added,
    ),
    Kind(
        "creeping fall",
        "wild yeast eats on, slowly",
        "not ready while it falls",
        beer_kinds.creeping_fall,
    ),
    Kind(
        "noisy sensor",
        "two to four times the usual noise",
        "ready, later than others",
        sensor_kinds.noisy_sensor,
    ),
    Kind(
        "drifting sensor",
        "readings creep up or down by themselves",
        "ready or unclear, never early",
        sensor_kinds.drifting_sensor,
    ),
    Kind(
        "outliers and garbage",
        "wild readings and brown-outs",
        "ready after the oracle hour; the wild ones passed over",
        sensor_kinds.outliers_and_garbage,
    ),
    Kind(
        "bump",
        "someone moved the vessel",
        "no alarm, no fall seen in the step; ready after the oracle hour",
        sensor_kinds.bump,
    ),
    Kind(
        "pinned or frozen sensor",
        "the reading stands while the beer moves",
        "not flat while it stands; ready once it is back",
        sensor_kinds.pinned_or_frozen_sensor,
    ),
    Kind(
        "gaps",
        "hours or days of silence",
        "not ready across a silence; ready after it",
        sensor_kinds.gaps,
    ),
    Kind(
        "coarse steps",
        "whole points only, and a tail",
        "not ready while the tail runs",
        sensor_kinds.coarse_steps,
        scored=False,
    ),
    Kind(
        "offset and scale",
        "reads far off, but evenly",
        "ready after the oracle hour; no talk of stalling",
        sensor_kinds.offset_and_scale,
        scored=False,
    ),
    Kind(
        "cold crash after the end",
        "chilled when it was done",
        "ready before the crash; no alarm in it",
        beer_kinds.cold_crash_after_the_end,
        scored=False,
    ),
    Kind(
        "long lag",
        "two or three days of nothing",
        "lag; not ready, not stalled",
        beer_kinds.long_lag,
        scored=False,
    ),
    Kind(
        "start transient",
        "reads high for hours after pitching",
        "the measured original gravity stands; ready after the oracle hour",
        sensor_kinds.start_transient,
        scored=False,
    ),
    Kind(
        "deposit falling off",
        "crud lifts the reading, then drops off",
        "the drop is not taken for fermentation",
        sensor_kinds.deposit_falling_off,
        scored=False,
    ),
    Kind(
        "very slow creep",
        "wild yeast slower than a float can show",
        "cannot be proven; a hand sample is asked for",
        beer_kinds.very_slow_creep,
        scored=False,
    ),
    Kind(
        "late intruder",
        "wild yeast comes in days after the end",
        "ready before it; then moving again",
        beer_kinds.late_intruder,
        scored=False,
    ),
    Kind(
        "creep while cold",
        "dry hops, then chilled before they have worked",
        "too cold; never ready",
        beer_kinds.creep_while_cold,
        scored=False,
    ),
    Kind(
        "poorly fermentable",
        "done at 55 to 60 % attenuation, shown by a forced test",
        "ready after the oracle hour, by the forced test",
        beer_kinds.poorly_fermentable,
        scored=False,
    ),
    Kind(
        "day and night",
        "a swing of 2 °C and a sensor that minds it",
        "ready after the oracle hour; no cycle taken for movement",
        sensor_kinds.day_and_night,
        scored=False,
    ),
    Kind(
        "sealed vessel",
        "sealed under way: pressure lifts the reading",
        "no rise, no stall called; the clock restarts at the sealing",
        sensor_kinds.sealed_vessel,
        scored=False,
    ),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL}
SCORED: tuple[str, ...] = tuple(kind.name for kind in _ALL if kind.scored)
