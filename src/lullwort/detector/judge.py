"""Judges one batch hour by hour: readings and entries in, a history of verdicts out. Pure; time is passed in."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable
from typing import NamedTuple

import msgspec

from lullwort.analysis import GravityCorrection, Hour, HourGatherer, Trend, hour_end, settle
from lullwort.detector.expected import ExpectedEnd, expected_end
from lullwort.detector.holdclock import HoldClock
from lullwort.detector.offset import SensorOffset
from lullwort.detector.snapshot import CHECKS, CheckName, Snapshot, Verdict
from lullwort.detector.warmth import Warmth
from lullwort.records import HOUR_US, Batch, Caution, Event, Reading

__all__ = ["BatchJudge", "Change", "Judged", "judge"]


class Sureness(NamedTuple):
    """How sure the detector must be: standard deviations on the slope, chance of more left than allowed."""

    slope_sds: float
    left_chance: float


SURENESS: dict[Caution, Sureness] = {
    "careful": Sureness(2.5, 0.05),
    "usual": Sureness(1.8, 0.10),
    "brisk": Sureness(1.2, 0.20),
}

LEFT_LIMIT = 2.0
_MOVED_SHARE = 0.65
_AGREE_H = 4
_LAG_SHARE, _LAG_LEAST = 0.10, 3.0
_GONE_SHARE = 0.25
_GAP_H = 12.0
_COLD_H = 6
_COLD_FALL = 3.0
_MOVING_H = 6
_RISING_H = 12
# Foam and bubbles lift a float for hours in the main fall; only what lasts is a fault.
_FROZEN_FINE_H, _FROZEN_COARSE_H, _FINE_POINTS = 12.0, 48.0, 0.45
_UNFERMENTED_SHARE = 0.35
# Of added points: fruit holds some that no yeast takes, and uneven mixing hides some.
_DRY_HOP_WATCH = 1.75
# Hop creep begins late: 84 h at the default window of 48.
_DISTURBING = ("dry hop", "addition", "rouse", "warm", "seal")
_SENSOR_ONLY = ("moved",)


class Change(msgspec.Struct, frozen=True):
    """From `at_us` on the verdict was this, for what `seen` holds."""

    at_us: int
    verdict: Verdict
    seen: Snapshot


class Judged(NamedTuple):
    """The whole history of one batch up to `as_of_us`, and what stands now."""

    batch: Batch
    as_of_us: int
    history: list[Change]
    now: Snapshot
    used: int
    passed_over: Counter[str]
    conflicts: int

    @property
    def verdict(self) -> Verdict:
        """The verdict that stands."""
        return self.history[-1].verdict if self.history else "unclear"

    @property
    def ready_us(self) -> int | None:
        """Since when `ready` has stood; None if it does not."""
        return self.history[-1].at_us if self.history and self.verdict == "ready" else None


class BatchJudge:
    """Streaming judge of one batch. Readings come in order of time; hours close as time passes.

    `until_us` is where the batch's ownership of the vessel ends (the next pitch), None while it is open.
    Memory is constant: readings of one hour, the levels of one hold window, the history of changes.
    """

    def __init__(self, batch: Batch, until_us: int | None = None) -> None:
        self.batch = batch
        self._ends = [t for t in (batch.packaged_us, until_us) if t is not None]
        self._end_us = min(self._ends, default=None)
        self._events = sorted(batch.events)
        self._next_event = 0
        self._hour_end = hour_end(batch.pitched_us)
        self._tolerance = batch.tolerance * 1000.0
        self._sureness = SURENESS[batch.caution]
        self._gap_h = max(_GAP_H, 2.5 * batch.reading_interval_h)
        self._fresh_h = max(2.0, 1.5 * batch.reading_interval_h)
        # Where readings are hours apart, waiting for the next hours would add no knowledge.
        self._agree_needed_h = _AGREE_H if batch.reading_interval_h < _AGREE_H else 1

        self._gatherer = HourGatherer()
        self._correction = GravityCorrection(batch)
        self._warmth = Warmth(batch.yeast_min_c, batch.steady_temperature_c)
        self._trend = Trend()
        self._clock = HoldClock(batch.hold_window_h, restarted_us=batch.pitched_us)
        original = None if batch.original_gravity is None else (batch.original_gravity - 1.0) * 1000.0
        self._offset = SensorOffset(original)

        self.history: list[Change] = []
        self._passed: dict[CheckName, bool] = dict.fromkeys(CHECKS, False)
        self._since: dict[CheckName, int] = dict.fromkeys(CHECKS, batch.pitched_us)
        self._left_lag = False
        self._was_ready = False
        self._moving_again = False
        self._holding = False
        self._agree_h = self._cold_h = self._moving_h = 0
        self._unseen_h: float | None = None
        self._rising_h = 0
        self._must_fall_to = math.inf
        """[points] below which the sensor must read again after sugar or fruit went in."""
        self._added_us: int | None = None
        self._ready_level = 0.0
        """[points] when `ready` was last said."""
        self._cold_level: float | None = None
        """[points] when the yeast was taken to have fallen asleep."""

    # -- what comes in ---------------------------------------------------------------------------------------------

    def add(self, reading: Reading) -> None:
        """Take one reading; hours before its own are closed. Raises OutOfOrderError for one of a closed hour."""
        if reading.at_us < self.batch.pitched_us or (self._end_us is not None and reading.at_us >= self._end_us):
            return
        self.advance(reading.at_us)
        self._gatherer.add(reading)

    def advance(self, to_us: int) -> None:
        """Close every hour that ends at or before `to_us` [µs]."""
        while self._hour_end <= to_us and not (self.history and self.history[-1].verdict == "packaged"):
            if self._end_us is not None and self._hour_end > hour_end(self._end_us):
                return
            self._close_hour(self._hour_end)
            self._hour_end += HOUR_US

    # -- one hour --------------------------------------------------------------------------------------------------

    def _close_hour(self, end_us: int) -> None:
        hour = self._gatherer.close(end_us)
        stepped = self._warmth.hour(hour.temperature_c)
        y = None if hour.gravity is None else self._correction.points(hour.gravity, self._warmth.temp_c)
        self._trend.noise.resolution = self._gatherer.resolution_points
        disturbed = self._apply_events(end_us, hour)
        self._trend.hour(y, self._warmth.yeast_h, self._warmth.moved_k)
        self._offset.hour(y, (end_us - self.batch.pitched_us) / HOUR_US)
        if self._trend.last_used:
            self._unseen_h = 0.0
        elif self._unseen_h is not None:
            self._unseen_h += 1.0
        disturbed = self._notice(end_us, stepped) or disturbed
        self._count(end_us)
        self._check(end_us)
        self._decide(end_us, disturbed)

    def _apply_events(self, end_us: int, hour: Hour) -> bool:
        """Take up what the brewer did before `end_us`; tells whether it may wake the yeast."""
        disturbed = False
        while self._next_event < len(self._events) and self._events[self._next_event].at_us < end_us:
            event = self._events[self._next_event]
            self._next_event += 1
            disturbed = self._apply(event) or disturbed
        if hour.sensor_changed:
            self._clock.restart("another sensor", end_us)
            self._trend.loosen(0.0, 8.0)
        return disturbed

    def _apply(self, event: Event) -> bool:
        if event.kind == "sample":
            if event.gravity is not None and self._trend.started:
                points = self._correction.sample_points(event.gravity, event.temperature_c)
                if points is not None:
                    self._offset.sample(points, self._trend.bank.level)
            return False
        if event.kind in _SENSOR_ONLY:
            self._clock.restart(event.kind, event.at_us)
            self._trend.loosen(0.0, 5.0)
            return False
        if event.kind not in _DISTURBING:
            return False
        watch_h = math.ceil(_DRY_HOP_WATCH * self.batch.hold_window_h) if event.kind == "dry hop" else 0
        self._clock.restart(event.kind, event.at_us, watch_h)
        self._trend.begin_anew(self.batch.hold_window_h)
        if event.points is not None:
            # What was put in is known, and that it must ferment again: the level rises by it and has to come back.
            self._correction.add_points(event.points)
            self._must_fall_to = self._trend.bank.level + _UNFERMENTED_SHARE * event.points
            self._added_us = event.at_us
            if self._trend.started:
                self._trend.bank.shift(event.points, (0.5 * event.points) ** 2)
            self._trend.loosen(0.05, 0.0)
        else:
            self._trend.loosen(0.03, 1.0)
        return True

    def _notice(self, end_us: int, temperature_stepped: bool) -> bool:
        """Take up what the log itself shows; tells whether it may wake the yeast."""
        step = self._trend.last_step
        if step is not None:
            self._clock.restart("a step in gravity", end_us)
            mixing = self._added_us is not None and end_us - self._added_us < 48 * HOUR_US
            if step.kind == "bump" and not mixing:
                self._offset.moved(step.points)
                self._ready_level += step.points
                self._must_fall_to += step.points
        if self._unseen_h is not None and self._unseen_h > self._gap_h:
            self._clock.restart("a gap in the log", end_us)
        if temperature_stepped:
            self._clock.restart("a step in temperature", end_us)
            return self._warmth.warm
        return False

    def _count(self, end_us: int) -> None:
        warm = self._warmth.warm
        self._cold_h = 0 if warm else self._cold_h + 1
        if self._cold_h == _COLD_H:
            self._cold_level = self._trend.bank.level if self._trend.started else None
        if warm and self._unseen_h is not None and self._unseen_h <= self._fresh_h:
            self._clock.count(self._trend.bank.level)

    # -- the checks ------------------------------------------------------------------------------------------------

    def _original(self) -> float | None:
        if self._offset.original is not None:
            return self._offset.original + self._correction.added_points
        if self._offset.start_level is not None:
            return self._offset.start_level + self._correction.added_points
        return None

    def _expected(self) -> ExpectedEnd | None:
        original = self._original()
        if original is None and self.batch.forced_test_gravity is None and self.batch.expected_final_gravity is None:
            return None
        return expected_end(self.batch, original or 0.0)

    def _moved(self, sds: float) -> float:
        """[points] over one hold window at the present slope plus `sds` standard deviations."""
        bank = self._trend.bank
        rate = max(1.0, self._warmth.yeast_h)
        return self.batch.hold_window_h * rate * (bank.slope + sds * math.sqrt(bank.slope_var))

    def _rising(self) -> bool:
        return self._rising_h >= _RISING_H

    def _frozen_h(self, end_us: int) -> float:
        since, last = self._gatherer.same_since_us, self._gatherer.last_used_us
        if since is None or last is None or end_us - last > self._gap_h * HOUR_US:
            return 0.0
        return (last - since) / HOUR_US

    def _frozen_limit_h(self) -> float:
        coarse = self._gatherer.resolution_points >= _FINE_POINTS
        return max(_FROZEN_COARSE_H if coarse else _FROZEN_FINE_H, 4.0 * self.batch.reading_interval_h)

    def _check(self, end_us: int) -> None:
        bank, clock = self._trend.bank, self._clock
        started = self._trend.started
        self._rising_h = self._rising_h + 1 if self._left_lag and self._moved(2.0) < -self._tolerance else 0
        seen = self._unseen_h is not None and self._unseen_h <= self._fresh_h
        expected, original = self._expected(), self._original()
        level = bank.level - self._offset.points
        if started and not self._left_lag:
            start = self._offset.start_level
            fallen = start - bank.level if start is not None else (original or level) - level
            self._left_lag = fallen > max(_LAG_LEAST, _LAG_SHARE * (original or 0.0))
        passed: dict[CheckName, bool] = {
            "flat": started
            and clock.counted_h > self.batch.hold_window_h
            and abs(clock.fall) <= self._tolerance
            and self._moved(self._sureness.slope_sds) <= _MOVED_SHARE * self._tolerance,
            "little left": started and bank.chance_left_over(LEFT_LIMIT) <= self._sureness.left_chance,
            "where it should be": started
            and expected is not None
            and level <= expected.ceiling
            and bank.level <= self._must_fall_to
            and (original is None or original - level >= _GONE_SHARE * original),
            "warm enough": self._warmth.warm,
            "undisturbed": clock.counted_h > clock.needed_h,
            "seen": seen,
            "believable": not self._rising() and self._frozen_h(end_us) < self._frozen_limit_h(),
        }
        for name in CHECKS:
            if passed[name] != self._passed[name]:
                self._passed[name] = passed[name]
                self._since[name] = end_us

    # -- the verdict -----------------------------------------------------------------------------------------------

    def _decide(self, end_us: int, disturbed: bool) -> None:
        self._agree_h = self._agree_h + 1 if all(self._passed.values()) else 0
        if self._was_ready and disturbed:
            self._was_ready = False
        if self._was_ready and self._is_moving():
            self._was_ready, self._moving_again = False, True
            self._clock.restart("moving again", end_us)
        if self._agree_h >= self._agree_needed_h and not self._was_ready:
            self._was_ready, self._moving_again = True, False
            self._ready_level = self._trend.bank.level
        verdict = self._verdict(end_us)
        if not self.history or self.history[-1].verdict != verdict:
            self.history.append(Change(end_us, verdict, self.snapshot(end_us)))

    def _is_moving(self) -> bool:
        settled = self._warmth.smooth_c is not None and abs(self._warmth.smooth_c - (self._warmth.temp_c or 0.0)) < 1.0
        bank = self._trend.bank
        falls = self._moved(-2.0) > _MOVED_SHARE * self._tolerance and bank.chance_left_over(LEFT_LIMIT) > 0.5
        # A creep too slow for its slope to tell still adds up to more than was said to be left.
        fell = self._ready_level - bank.level > LEFT_LIMIT
        moving = settled and self._warmth.warm and (falls or fell)
        self._moving_h = self._moving_h + 1 if moving else 0
        return self._moving_h >= _MOVING_H

    def _verdict(self, end_us: int) -> Verdict:
        packaged = self.batch.packaged_us
        if packaged is not None and packaged < end_us:
            return "packaged"
        if self._was_ready:
            return "ready"
        if self._unseen_h is None or self._unseen_h > self._gap_h or not self._warmth.known:
            return "unclear"
        if not self._passed["believable"]:
            return "unclear"
        moved = self._moved(0.0)
        if self._cold_h >= _COLD_H and not self._falls_in_the_cold():
            return "too cold"
        if not self._left_lag:
            return "lag"
        if self._expected() is None:
            return "unclear" if moved <= self._tolerance else "fermenting"
        still = self._clock.counted_h > self.batch.hold_window_h and abs(self._clock.fall) <= self._tolerance
        if not self._passed["where it should be"]:
            return "stalled" if still and moved <= _MOVED_SHARE * self._tolerance else self._falling()
        self._holding = moved <= (1.6 if self._holding else 1.0) * self._tolerance
        if not self._holding:
            return self._falling()
        if self._moving_again and self._clock.counted_h < self.batch.hold_window_h // 2:
            return "moving again"
        self._moving_again = False
        return "holding"

    def _falls_in_the_cold(self) -> bool:
        """The log shows that this yeast works below the minimum that was given for it."""
        bank = self._trend.bank
        return self._cold_level is not None and self._cold_level - bank.level > _COLD_FALL

    def _falling(self) -> Verdict:
        return "moving again" if self._moving_again else "fermenting"

    # -- what is known now -----------------------------------------------------------------------------------------

    def snapshot(self, at_us: int) -> Snapshot:
        """All that is known at the end of the newest closed hour."""
        trend, clock = self._trend, self._clock
        bank, started = trend.bank, trend.started
        return Snapshot(
            at_us=at_us,
            passed=dict(self._passed),
            since_us=dict(self._since),
            level=bank.level if started else None,
            level_sd=math.sqrt(bank.level_var) if started else 0.0,
            offset=self._offset.points,
            offset_sd=self._offset.sd,
            original=self._original(),
            original_measured=self._offset.original is not None,
            expected=self._expected(),
            window_h=self.batch.hold_window_h,
            moved=self._moved(0.0) if started else 0.0,
            moved_upper=self._moved(self._sureness.slope_sds) if started else 0.0,
            moved_limit=_MOVED_SHARE * self._tolerance,
            fell=clock.fall,
            tolerance=self._tolerance,
            left=bank.left() if started else 0.0,
            left_upper=bank.left_upper(0.10) if started else 0.0,
            left_limit=LEFT_LIMIT,
            counted_h=clock.counted_h,
            needed_h=clock.needed_h,
            restarted_by=clock.restarted_by,
            restarted_us=clock.restarted_us,
            temp_c=self._warmth.temp_c,
            yeast_min_c=self._warmth.yeast_min_c,
            yeast_min_given=self.batch.yeast_min_c is not None,
            unseen_h=self._unseen_h,
            unseen_limit_h=self._fresh_h,
            same_h=self._frozen_h(at_us),
            rising=self._rising(),
            hours_to_go=self._hours_to_go() if started else None,
        )

    def _hours_to_go(self) -> int | None:
        """Hours until `ready` if nothing unforeseen happens; None where that cannot be said."""
        bank, clock = self._trend.bank, self._clock
        limit = _MOVED_SHARE * self._tolerance
        moved, moved_upper = self._moved(0.0), self._moved(self._sureness.slope_sds)
        left, upper = bank.left(), bank.left_upper(self._sureness.left_chance)
        tail_h = left / bank.slope if bank.slope > 0.0 else 0.0
        wait = float(clock.hours_left)
        if moved > 0.7 * limit:
            wait = max(wait, tail_h * math.log(moved / (0.7 * limit)))
        if upper > LEFT_LIMIT:
            wait = max(wait, tail_h * math.log(upper / LEFT_LIMIT))
        if moved_upper > limit:
            # The uncertainty of a slope shrinks with time to the power of 1.5.
            sd = moved_upper - moved
            room = max(0.3 * limit, limit - moved)
            wait = max(wait, max(12, clock.counted_h) * ((sd / room) ** (2.0 / 3.0) - 1.0))
        return math.ceil(max(wait, 1.0)) if wait < 1000.0 else None

    def judged(self, as_of_us: int, conflicts: int = 0) -> Judged:
        """The history so far, as of `as_of_us` [µs]; closes no hour."""
        newest = self._hour_end - HOUR_US
        now = self.snapshot(newest)
        return Judged(
            self.batch, as_of_us, list(self.history), now, self._gatherer.used,
            self._gatherer.passed_over.copy(), conflicts,
        )  # fmt: skip


def judge(
    batch: Batch, readings: Iterable[Reading], *, as_of_us: int | None = None, until_us: int | None = None
) -> Judged:
    """Judge a batch from its readings in any order.

    Args:
        readings: of the batch's vessel; those outside its time are left out.
        as_of_us: [µs] judge as if it were this instant; default the newest reading.
        until_us: [µs] end of the batch's ownership of the vessel, None while open.
    """
    settled = settle(readings)
    if as_of_us is None:
        as_of_us = settled.readings[-1].at_us if settled.readings else batch.pitched_us
    streaming = BatchJudge(batch, until_us)
    for reading in settled.readings:
        if reading.at_us >= as_of_us:
            break
        streaming.add(reading)
    streaming.advance(as_of_us)
    return streaming.judged(as_of_us, settled.conflicts)
