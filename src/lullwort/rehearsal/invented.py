"""An invented batch: what the brewer entered, what the sensor sent, and the truth that neither knows."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace

import msgspec
import numpy as np

from lullwort.errors import UsageError
from lullwort.records import HOUR_US, Batch, Event, Reading, from_datetime, parse_instant, to_datetime
from lullwort.rehearsal.beer import ferment
from lullwort.rehearsal.delivery import deliver
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.kinds import KINDS
from lullwort.rehearsal.logform import LogForm
from lullwort.rehearsal.plan import Plan, Refill
from lullwort.rehearsal.sensor import Report, Sensor, report
from lullwort.rehearsal.sensor_kinds import stranger_sensor, tilting_sensor
from lullwort.rehearsal.truth import Truth
from lullwort.rehearsal.vigour import draw_vigour

__all__ = ["Invented", "brewed", "drawn", "invent", "renamed", "shifted"]

FIRST_PITCH_US = parse_instant("2026-03-02T09:00:00Z")
LONGEST_DAYS = 75
DAYS_AFTER_ORACLE = 6.0


@dataclass(frozen=True, eq=False)
class Invented:
    """One invented batch.

    Attributes:
        kind, seed, family: what it was drawn from; the same three make the same batch.
        batch:    what the brewer would have entered, with a brewer's errors.
        readings: as the log has them, gravity uncorrected: in the order in which they came, dated as the sensor
                  dated them. That is time order but for kinds of a faulty log; nothing may count on it.
        truth:    the noise-free beer over the span of the log.
        log_form: how its log is written; None for a readings file.
    """

    kind: str
    seed: int
    family: Family
    batch: Batch
    readings: list[Reading]
    truth: Truth
    log_form: LogForm | None = None

    @property
    def newest_us(self) -> int:
        """The latest date of a reading [µs since the epoch]."""
        return max(r.at_us for r in self.readings)

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
    plan, rng = drawn(kind, seed, family)
    vessel = kind.replace(" ", "-")
    return brewed(plan, vessel, f"{vessel}-{seed}", rng, kind=kind, seed=seed, family=family)


def drawn(kind: str, seed: int, family: Family) -> tuple[Plan, np.random.Generator]:
    """The plan of this kind and seed, and the generator by which to go on."""
    rng = np.random.default_rng([zlib.crc32(kind.encode()), seed])
    plan = KINDS[kind].build(rng)
    if family == "vigour":
        # a generator of its own, so that cellar and entries are those of the other families
        plan = replace(plan, beer=replace(plan.beer, vigour=draw_vigour(rng.spawn(1)[0])))
    return plan, rng


def brewed(
    plan: Plan, vessel: str, name: str, rng: np.random.Generator, *, kind: str, seed: int, family: Family
) -> Invented:
    """The batch that comes of a plan."""
    truth = _truth(plan, family, rng)
    pitched_us = FIRST_PITCH_US + HOUR_US * int(rng.integers(0, 24 * 180))
    if plan.log_form is not None:
        pitched_us = _on_the_first(pitched_us)
    batch = _entries(plan, vessel, name, pitched_us, rng)
    sensor = _sensor(plan.sensor, family, rng)
    sent = report(sensor, truth, rng)
    if plan.refill is not None:
        truth, sent = _refilled(plan.refill, truth, sent, sensor, family, rng)
    if plan.delivery is not None:
        sent = deliver(plan.delivery, sent, rng)
    at_us = pitched_us + np.round(sent.hours * 3600.0).astype(np.int64) * 1_000_000
    readings = [
        Reading(vessel, vessel, at, gravity, temp_c)
        for at, gravity, temp_c in zip(at_us.tolist(), sent.gravity.tolist(), sent.temperature_c.tolist(), strict=True)
    ]
    return Invented(kind, seed, family, batch, readings, truth, plan.log_form)


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
    """The truth over the planned days; longer where an oracle hour near their end could not be followed.

    A log in a form of its own keeps to its days, in which its dates fit twice.
    """
    hours = np.arange(24.0 * LONGEST_DAYS + 1.0)
    longest = ferment(plan.beer, plan.cellar.temperature_c(hours, rng), family)
    end_h = 24.0 * plan.days
    oracle_h = longest.oracle_hour()
    if oracle_h is not None and oracle_h <= end_h and plan.log_form is None:
        end_h = max(end_h, oracle_h + 24.0 * DAYS_AFTER_ORACLE)
    return longest.until(end_h)


def _sensor(ordinary: Sensor, family: Family, rng: np.random.Generator) -> Sensor:
    if family == "tail":
        return ordinary
    return stranger_sensor(ordinary, rng) if family == "uptake" else tilting_sensor(ordinary, rng)


def _refilled(
    refill: Refill, truth: Truth, sent: Report, sensor: Sensor, family: Family, rng: np.random.Generator
) -> tuple[Truth, Report]:
    """Both beers after each other, and what the sensor sent of both."""
    second = _truth(refill.plan, family, rng)
    later = report(sensor, second, rng)
    pitched_h = float(truth.hours[-1]) + refill.empty_h
    both = Report(
        np.concatenate([sent.hours, later.hours + pitched_h]),
        np.concatenate([sent.gravity, later.gravity]),
        np.concatenate([sent.temperature_c, later.temperature_c]),
    )
    return truth.followed_by(second, refill.empty_h), both


def _on_the_first(at_us: int) -> int:
    """The first of the same month at six in the morning."""
    return from_datetime(to_datetime(at_us).replace(day=1, hour=6))


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
