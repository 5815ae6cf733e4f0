"""An invented batch: what the brewer entered, what the sensor sent, and the truth that neither knows."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace

import msgspec
import numpy as np

from lullwort.errors import UsageError
from lullwort.records import HOUR_US, Batch, Event, Reading, parse_instant
from lullwort.rehearsal.beer import ferment
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.kinds import KINDS
from lullwort.rehearsal.plan import Plan
from lullwort.rehearsal.sensor import Sensor, report
from lullwort.rehearsal.sensor_kinds import stranger_sensor, tilting_sensor
from lullwort.rehearsal.truth import Truth
from lullwort.rehearsal.vigour import draw_vigour

__all__ = ["Invented", "invent", "renamed", "shifted"]

FIRST_PITCH_US = parse_instant("2026-03-02T09:00:00Z")
LONGEST_DAYS = 75
DAYS_AFTER_ORACLE = 6.0


@dataclass(frozen=True, eq=False)
class Invented:
    """One invented batch.

    Attributes:
        kind, seed, family: what it was drawn from; the same three make the same batch.
        batch:    what the brewer would have entered, with a brewer's errors.
        readings: in time order, gravity uncorrected.
        truth:    the noise-free beer over the span of the log.
    """

    kind: str
    seed: int
    family: Family
    batch: Batch
    readings: list[Reading]
    truth: Truth

    def hour_of(self, at_us: int) -> float:
        """Hours since pitch of the instant `at_us` [µs since the epoch]."""
        return (at_us - self.batch.pitched_us) / HOUR_US

    def oracle_hour(self) -> float | None:
        """First hour [h since pitch] at which one who sees the truth would say ready; None if never."""
        return self.truth.oracle_hour(self.batch.hold_window_h, self.batch.tolerance)


def invent(kind: str, seed: int, *, family: Family = "tail") -> Invented:
    """The batch of this kind and seed; the same arguments always give the same batch.

    Raises: UsageError for a kind that is not in `KINDS`.

    >>> plain = invent("plain ale", 1)
    >>> plain.batch.vessel, len(plain.readings) > 500
    ('plain-ale', True)
    """
    if kind not in KINDS:
        raise UsageError(f"kind is {kind!r}, expected one of: {', '.join(KINDS)}")
    rng = np.random.default_rng([zlib.crc32(kind.encode()), seed])
    plan = KINDS[kind].build(rng)
    if family == "vigour":
        # a generator of its own, so that cellar and entries are those of the other families
        plan = replace(plan, beer=replace(plan.beer, vigour=draw_vigour(rng.spawn(1)[0])))
    truth = _truth(plan, family, rng)
    vessel = kind.replace(" ", "-")
    pitched_us = FIRST_PITCH_US + HOUR_US * int(rng.integers(0, 24 * 180))
    batch = _entries(plan, vessel, f"{vessel}-{seed}", pitched_us, rng)
    sent = report(_sensor(plan.sensor, family, rng), truth, rng)
    at_us = pitched_us + np.round(sent.hours * 3600.0).astype(np.int64) * 1_000_000
    readings = [
        Reading(vessel, vessel, at, gravity, temp_c)
        for at, gravity, temp_c in zip(at_us.tolist(), sent.gravity.tolist(), sent.temperature_c.tolist(), strict=True)
    ]
    return Invented(kind, seed, family, batch, readings, truth)


def renamed(invented: Invented, vessel: str, name: str) -> Invented:
    """The same batch under another name in another vessel."""
    return replace(
        invented,
        batch=msgspec.structs.replace(invented.batch, vessel=vessel, name=name),
        readings=[Reading(vessel, vessel, r.at_us, r.gravity, r.temperature_c) for r in invented.readings],
    )


def shifted(invented: Invented, by_us: int) -> Invented:
    """The same batch, everything in it `by_us` [µs] later."""
    batch = invented.batch
    packaged_us = None if batch.packaged_us is None else batch.packaged_us + by_us
    events = tuple(msgspec.structs.replace(event, at_us=event.at_us + by_us) for event in batch.events)
    return replace(
        invented,
        batch=msgspec.structs.replace(
            batch, pitched_us=batch.pitched_us + by_us, packaged_us=packaged_us, events=events
        ),
        readings=[msgspec.structs.replace(r, at_us=r.at_us + by_us) for r in invented.readings],
    )


def _truth(plan: Plan, family: Family, rng: np.random.Generator) -> Truth:
    """The truth over the planned days; longer where an oracle hour near their end could not be followed."""
    hours = np.arange(24.0 * LONGEST_DAYS + 1.0)
    longest = ferment(plan.beer, plan.cellar.temperature_c(hours, rng), family)
    end_h = 24.0 * plan.days
    oracle_h = longest.oracle_hour()
    if oracle_h is not None and oracle_h <= end_h:
        end_h = max(end_h, oracle_h + 24.0 * DAYS_AFTER_ORACLE)
    return longest.until(end_h)


def _sensor(ordinary: Sensor, family: Family, rng: np.random.Generator) -> Sensor:
    if family == "tail":
        return ordinary
    return stranger_sensor(ordinary, rng) if family == "uptake" else tilting_sensor(ordinary, rng)


def _entries(plan: Plan, vessel: str, name: str, pitched_us: int, rng: np.random.Generator) -> Batch:
    """What the brewer enters: original gravity to a point, an end within 2.5 points, the events."""
    original = plan.beer.original_points + rng.uniform(-1.0, 1.0)
    expected = plan.expected_points + float(np.clip(rng.normal(0.0, 1.2), -2.5, 2.5))
    return Batch(
        vessel=vessel,
        name=name,
        pitched_us=pitched_us,
        original_gravity=round(1.0 + original / 1000.0, 4),
        expected_final_gravity=(
            round(1.0 + (expected - 1.0) / 1000.0, 4),
            round(1.0 + (expected + 1.0) / 1000.0, 4),
        ),
        forced_test_gravity=round(1.0 + plan.beer.end_points / 1000.0, 3) if plan.forced_test else None,
        yeast_min_c=round(plan.beer.yeast_min_c, 1),
        volume_l=19.0,
        events=tuple(
            Event(at_us=pitched_us + _whole_seconds_us(done.at_h), kind=done.kind, points=done.points)
            for done in plan.done
        ),
    )


def _whole_seconds_us(hour: float) -> int:
    return round(hour * 3600.0) * 1_000_000
