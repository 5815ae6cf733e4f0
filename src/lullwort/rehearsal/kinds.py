"""The named kinds of invented batch, each with the right answer written beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from lullwort.rehearsal import beer_kinds, hidden_kinds, log_kinds, sensor_kinds
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
    Kind(
        "warm rest misread",
        "a lager warmed for its last points, and a sensor that minds the warmth",
        "the clock starts after the warming; ready at the end",
        hidden_kinds.warm_rest_misread,
        scored=False,
    ),
    Kind(
        "late cold stall",
        "the heating fails with 5 to 10 points left and works again days later",
        "too cold or stalled, never ready while it stands; ready at the end",
        beer_kinds.late_cold_stall,
        scored=False,
    ),
    Kind(
        "long hop creep",
        "dry hops whose creep goes on for weeks",
        "the clock restarts at the hops; not ready while more than 2 points are left",
        beer_kinds.long_hop_creep,
        scored=False,
    ),
    Kind(
        "creep beside drift",
        "wild yeast and a drift of the same size",
        "cannot be proven; a hand sample is asked for",
        hidden_kinds.creep_beside_drift,
        scored=False,
    ),
    Kind(
        "fruit raft",
        "fruit that floats, and lets a third of itself be seen",
        "the clock restarts at the addition; ready after it, its points in the strength",
        hidden_kinds.fruit_raft,
        scored=False,
    ),
    Kind(
        "stuck under a raft",
        "stands far too high, and hops lift the float for a while",
        "stalled; never ready, whatever lay on the float",
        hidden_kinds.stuck_under_a_raft,
        scored=False,
    ),
    Kind(
        "stuck with a late start",
        "stands far too high, and the float came to rest late",
        "stalled; never ready",
        hidden_kinds.stuck_with_a_late_start,
        scored=False,
    ),
    Kind(
        "spikes and zeros",
        "lone readings of 107 points and of nothing",
        "passed over; original gravity and strength unmoved",
        sensor_kinds.spikes_and_zeros,
        scored=False,
    ),
    Kind(
        "long silence",
        "silent while the last third falls, and again in the proof",
        "unclear in the silence, no end read into it; ready after it",
        hidden_kinds.long_silence,
        scored=False,
    ),
    Kind(
        "frozen in the fall",
        "the same row again and again for days, half-way down",
        "not believed, not flat, not stalled; ready once it is back",
        hidden_kinds.frozen_in_the_fall,
        scored=False,
    ),
    Kind(
        "repeated and late rows",
        "readings up to three times over, hours of them days late",
        "judged as if each had come once and in time",
        log_kinds.repeated_and_late_rows,
        scored=False,
    ),
    Kind(
        "sensor clock wrong",
        "a clock in a wrong year at first, and hours off later",
        "what has an impossible time is left out; ready after the oracle hour, give or take the jump",
        log_kinds.sensor_clock_wrong,
        scored=False,
    ),
    Kind(
        "two batches in one log",
        "the next wort in the same vessel, of which nobody entered anything",
        "not ready from the second pitch on; a split is offered, none is made",
        log_kinds.two_batches_in_one_log,
        scored=False,
    ),
    Kind(
        "dates that fit twice",
        "a log whose 03/04 may be March or April, and which names no unit",
        "what cannot be told is asked before a row is taken, what is concluded is stated; no silent guess",
        log_kinds.dates_that_fit_twice,
        scored=False,
    ),
)

KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL}
SCORED: tuple[str, ...] = tuple(kind.name for kind in _ALL if kind.scored)
