"""An invented batch as somebody sees it who has a hydrometer and no sensor, and opens it when Lullwort says so."""

from __future__ import annotations

import zlib
from collections.abc import Sequence
from typing import NamedTuple

import msgspec
import numpy as np

from lullwort.analysis import hour_end
from lullwort.detector import Judged, judge
from lullwort.records import HOUR_US, Batch, Event, Instrument, VesselReadings
from lullwort.rehearsal.invented import Invented
from lullwort.science import GLASS_EXPANSION_PER_K, sensor_reading

__all__ = ["HandJudged", "judged_by_hand"]

_JAR = Instrument(name="jar", division=2.0, checked_us=0)
_NOISE_POINTS, _STEP_POINTS = 0.5, 1.0
# A look at it, and half a division to which it is read.
_FIRST_LOOK_H = 3
# After the pitch: before that nobody asks.
_AGAIN_H = 72.0
# Where no next sample is named, as of a beer that stands too high, one is drawn after so many hours all the same.
_NEVER_US = 2**62
_NONE = VesselReadings.of(())


class HandJudged(NamedTuple):
    """What came of it; the last judgement, and how often the vessel was opened for a sample."""

    judged: Judged
    openings: int


def judged_by_hand(invented: Invented, *, error_sd: float = 0.65, unchecked: bool = False) -> HandJudged:
    """Draw samples when they are asked for until the beer is `ready` after all that was done to it, or its log ends.

    Args:
        error_sd: [points] of the hydrometer's own error, the same in every sample.
        unchecked: whether its owner never held it against plain water.
    """
    rng = np.random.default_rng([zlib.crc32(invented.kind.encode()), invented.seed, 2])
    own_error = error_sd * rng.standard_normal()
    jar = msgspec.structs.replace(_JAR, checked_us=None) if unchecked else _JAR
    bare = msgspec.structs.replace(
        invented.batch,
        events=tuple(e for e in invented.batch.events if e.kind != "sample"),
        instruments=(jar,),
        steady_temperature_c=None,
    )
    end_us = invented.batch.pitched_us + round(float(invented.truth.hours[-1])) * HOUR_US
    done_us = [event.at_us for event in bare.events]
    at_us = bare.pitched_us + _FIRST_LOOK_H * HOUR_US
    drawn: list[Event] = []
    while True:
        judged = _judged(bare, drawn, at_us)
        next_us = _asked_us(judged, at_us)
        if any(at_us < us <= min(next_us, end_us) for us in done_us):
            # What is done meanwhile changes when a sample is worth an opening.
            at_us = hour_end(min(us for us in done_us if us > at_us))
            continue
        if next_us >= end_us:
            return HandJudged(_judged(bare, drawn, end_us), len(drawn))
        drawn.append(_sample(invented, next_us, own_error, rng))
        at_us = hour_end(next_us)


def _judged(bare: Batch, drawn: Sequence[Event], at_us: int) -> Judged:
    events = sorted([*bare.events, *drawn], key=lambda event: event.order)
    until = [event for event in events if event.at_us < at_us]
    return judge(msgspec.structs.replace(bare, events=tuple(until)), _NONE, as_of_us=at_us)


def _asked_us(judged: Judged, at_us: int) -> int:
    """When [µs] the vessel is opened next, unless something else is done to it before."""
    if judged.verdict == "ready":
        return _NEVER_US
    asked = judged.now.first_sample if judged.now.hand is None else judged.now.hand.next
    return at_us + round(_AGAIN_H * HOUR_US) if asked is None else max(asked.from_us, at_us)


def _sample(invented: Invented, at_us: int, own_error: float, rng: np.random.Generator) -> Event:
    hour, truth = invented.hour_of(at_us), invented.truth
    temp_c = float(np.interp(hour, truth.hours, truth.temperature_c))
    shown = sensor_reading(
        invented.batch.original_gravity,
        truth.gravity_at(hour),
        max(temp_c, 0.0),
        sensor_expansion_per_k=GLASS_EXPANSION_PER_K,
    )
    points = 1000.0 * (shown - 1.0) + own_error + _NOISE_POINTS * rng.standard_normal()
    read = 1.0 + _STEP_POINTS * round(points / _STEP_POINTS) / 1000.0
    return Event(at_us=at_us, kind="sample", gravity=read, temperature_c=max(temp_c, 0.0), instrument="jar")
