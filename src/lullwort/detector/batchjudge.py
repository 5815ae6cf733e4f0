"""Decides, hour by hour, which of the nine verdicts a batch deserves. Streaming and pure; time is passed in."""

from __future__ import annotations

import copy
import math

import msgspec
import numpy as np

from lullwort.analysis import Hour, HourGatherer, hour_end, measured_original
from lullwort.detector.chill import BeforeCold
from lullwort.detector.drifting import drift_sds
from lullwort.detector.expected import driest_points
from lullwort.detector.handlook import HandEntries
from lullwort.detector.handseen import NextSample
from lullwort.detector.nextbatch import NextBatch
from lullwort.detector.offset import UNKNOWN_SD
from lullwort.detector.rest import RestWatch
from lullwort.detector.seenbyhand import seen_by_hand
from lullwort.detector.snapshot import CHECKS, CheckName, Chilled, Snapshot, Verdict
from lullwort.detector.watch import HANDED_OVER_H, VesselWatch
from lullwort.records import HOUR_US, Batch, Caution, VesselReadings

__all__ = ["BatchJudge", "Change"]


LEFT_CHANCE: dict[Caution, float] = {"careful": 0.02, "usual": 0.04, "brisk": 0.10}
"""By caution, the chance that may remain of more than LEFT_LIMIT being left."""

_SLOPE_SDS = 1.0
"""Standard deviations on the slope. More change nothing where the bound on what is left holds, too."""

LEFT_LIMIT = 2.0
"""[points] that may be left when `ready` is said: already half a volume of CO2 each."""

_MOVED_SHARE = 0.65
_AGREE_H = 4
_MOVING_H = 6
_GONE_SHARE = 0.25
_HOLDING_LEAVE = 1.6
_CONFIRMS_US = 24 * HOUR_US
# A sample up to a day before `ready` was said confirms it: the beer had stopped by then.
_SENSOR_COMES_US = 2 * HOUR_US
_WORT_WAITS_US = 72 * HOUR_US
# So long a wort may stand in the vessel before it is pitched.


class Change(msgspec.Struct, frozen=True):
    """From `at_us` [µs] on the verdict was this, for what `seen` holds."""

    at_us: int
    verdict: Verdict
    seen: Snapshot


class BatchJudge:
    """Streaming judge of one batch. Readings come in order of time, singly or many at once; hours close as time passes.

    `until_us` [µs] is where the batch's ownership of the vessel ends (the next pitch), None while it is open.
    Memory is constant but for the history of changes and the readings of the open hour.
    """

    def __init__(self, batch: Batch, until_us: int | None = None) -> None:
        self.batch = batch
        self.history: list[Change] = []
        self.watch = VesselWatch(batch)
        self._gatherer = HourGatherer()
        self._next_pitch_us = until_us
        self._end_us = min((t for t in (batch.packaged_us, until_us) if t is not None), default=None)
        self._hour_end = hour_end(batch.pitched_us)
        self._left_chance = LEFT_CHANCE[batch.caution]
        # Where readings are hours apart, waiting for the next hours would add no knowledge.
        self._agree_needed_h = _AGREE_H if batch.reading_interval_h < _AGREE_H else 1
        self._checked = (False,) * len(CHECKS)
        self._passed: dict[CheckName, bool] = dict.fromkeys(CHECKS, False)
        self._since: dict[CheckName, int] = dict.fromkeys(CHECKS, batch.pitched_us)
        self._ready = self._moving_again = self._holding = False
        self._ready_level, self._ready_gravity, self._ready_us = 0.0, 0.0, 0
        self._agree_h = self._moving_h = 0
        self._by_hand = False
        self._rest = RestWatch(batch.pitched_us)

    def add(self, readings: VesselReadings) -> None:
        """Take readings in order of time and close the hours before the last. Those outside the batch are left out.

        Raises: OutOfOrderError for one before the open hour, or before one that was added.
        """
        mine = readings.within(self.batch.pitched_us, self._end_us)
        if len(mine):
            self._gatherer.add(mine)
            self.advance(int(mine.at_us[-1]))

    def advance(self, to_us: int) -> None:
        """Close every hour that ends at or before `to_us` [µs]; the last is the one in which the batch ended."""
        if self._end_us is not None:
            to_us = min(to_us, hour_end(self._end_us))
        for hour in self._gatherer.close(to_us):
            self._close_silent(hour.end_us - HOUR_US)
            self.close_hour(hour)
        self._close_silent(to_us)

    def close_hour(self, hour: Hour) -> None:
        """Take an hour that follows on the one closed last, gathered already."""
        self._decide(hour.end_us, self.watch.close_hour(hour.end_us, hour))
        self._hour_end = hour.end_us + HOUR_US

    @property
    def closed_to_us(self) -> int:
        """[µs] End of the hour that was closed last."""
        return self._hour_end - HOUR_US

    @property
    def is_ready(self) -> bool:
        """Whether the verdict is `ready`, or was when the batch was packaged."""
        return self.watch.hand.ready if self._by_hand else self._ready

    @property
    def soonest_ready_h(self) -> int:
        """[h] before which it cannot be `ready`, however still the beer stands."""
        return max(self.watch.clock.hours_left, self._agree_needed_h - self._agree_h)

    def twin(self) -> BatchJudge:
        """One that knows the same of the beer, but nothing of what is dated later, and goes its own way from here on.

        It has no history and no open hour of its own, and takes hours as they are handed to it.
        """
        shared = {id(self.history): [], id(self.batch): self.batch, id(self._gatherer): HourGatherer()}
        twin = copy.deepcopy(self, shared)
        twin.watch.expect_nothing()
        return twin

    def _close_silent(self, to_us: int) -> None:
        while self._hour_end <= to_us:
            self._decide(self._hour_end, self.watch.close_hour(self._hour_end, None))
            self._hour_end += HOUR_US

    # -- the checks ------------------------------------------------------------------------------------------------

    def _check(self, end_us: int) -> None:
        watch, clock = self.watch, self.watch.clock
        started = watch.trend.started
        passed = (  # in the order of CHECKS
            started and clock.counted_h > self.batch.hold_window_h and self._is_flat(),
            started and self._is_little_left(),
            started and self._is_in_place(),
            watch.warmth.warm,
            clock.complete,
            watch.seen,
            started
            and not (watch.rising or watch.contradicted or watch.repeats.frozen(end_us))
            and self._next_batch() is None,
        )
        self._note_checks(passed, end_us)

    def _note_checks(self, passed: tuple[bool, ...], end_us: int) -> None:
        if passed == self._checked:
            return
        self._checked = passed
        for name, passes in zip(CHECKS, passed, strict=True):
            if passes != self._passed[name]:
                self._passed[name] = passes
                self._since[name] = end_us

    def _is_little_left(self) -> bool:
        trend = self.watch.trend
        if trend.in_main_fall or trend.bank.may_lose(LEFT_LIMIT * self.watch.offset.scale, self._left_chance):
            return False
        return not self._cold_hides()

    def _next_batch(self) -> NextBatch | None:
        """Another batch that nobody has entered."""
        found, entered_us = self.watch.next_batch.found, self._next_pitch_us
        if found is None or (entered_us is not None and entered_us - found.began_us <= _WORT_WAITS_US):
            return None
        return found

    def _cold_hides(self) -> bool:
        """Whether more may have been left when it was chilled than `ready` allows."""
        before, watch = self._before_cold(), self.watch
        return before is not None and before.may_lose(LEFT_LIMIT, watch.offset, watch.expected, self._left_chance)

    def _before_cold(self) -> BeforeCold | None:
        """What was known before the cold; None where it is warm, or was chilled when it was `ready`."""
        return None if self._ready or self.watch.chill.before is None else self.watch.chilled

    def _is_flat(self) -> bool:
        watch = self.watch
        return (
            abs(watch.clock.fall) <= watch.tolerance
            and watch.moved(_SLOPE_SDS) <= _MOVED_SHARE * watch.tolerance
            and watch.moved(-_SLOPE_SDS) >= -watch.tolerance
        )

    def _is_in_place(self) -> bool:
        watch, must_reach = self.watch, self._must_reach()
        return must_reach is not None and watch.gravity_by_samples <= must_reach and not watch.float.sample_above

    def _must_reach(self) -> float | None:
        """[points] Gravity at or below which the beer is where it should be; None where no end is known."""
        watch = self.watch
        if watch.expected is None:
            return None
        reach = watch.expected.ceiling
        if watch.must_fall_to < math.inf:
            reach = min(reach, watch.gravity_at(watch.must_fall_to))
        return reach if watch.original is None else min(reach, (1.0 - _GONE_SHARE) * watch.original)

    # -- the verdict -----------------------------------------------------------------------------------------------

    def _decide(self, end_us: int, woken: bool) -> None:
        self._by_hand = self.watch.is_by_hand(end_us)
        watch = self.watch
        verdict = self._decided_by_hand(end_us) if self._by_hand else self._decided_by_sensor(end_us, woken)
        # How warm a sample was when it was read tells nothing of the beer in its vessel.
        temp_c = watch.warmth.temp_c if watch.warmth.known else None
        level = watch.level if watch.trend.started and not self._by_hand else None
        self._rest.hour(end_us, verdict, temp_c, self._gravity_by_sensor, level=level, told=watch.warmth.told)
        if not self.history or self.history[-1].verdict != verdict:
            self.history.append(Change(end_us, verdict, self.snapshot(end_us)))

    def _gravity_by_sensor(self) -> float | None:
        return None if self._by_hand or not self.watch.trend.started else self.watch.gravity

    def _decided_by_hand(self, end_us: int) -> Verdict:
        hand, known = self.watch.hand, self._hand_entries()
        verdict = hand.decide(known)
        self._note_checks(hand.passed(known), end_us)
        # A sensor that speaks again has to prove what it says.
        self._ready, self._agree_h = False, 0
        return "packaged" if self._is_packaged(end_us) else verdict

    def _hand_entries(self) -> HandEntries:
        watch = self.watch
        reach = None if watch.expected is None else min(watch.expected.ceiling, watch.hand.must_fall_to)
        if reach is not None and watch.original is not None:
            reach = min(reach, (1.0 - _GONE_SHARE) * watch.original)
        return HandEntries(watch.original, watch.begun_fall, watch.expected, reach, self._left_chance, LEFT_LIMIT)

    def _decided_by_sensor(self, end_us: int, woken: bool) -> Verdict:
        self._check(end_us)
        self._agree_h = self._agree_h + 1 if all(self._checked) else 0
        contradicted = self.watch.float.sample_above or (self.watch.just_sampled and not self._sample_agrees())
        if woken or contradicted or (not self._passed["believable"] and self._next_batch() is not None):
            self._ready = False
        elif self._ready and self._has_moved():
            self._ready, self._moving_again, self._agree_h = False, True, 0
            self.watch.clock.restart("moving again", end_us)
            self._check(end_us)  # what was proved counts no more
        if self._agree_h >= self._agree_needed_h and not self._ready:
            self._ready, self._moving_again = True, False
            self._ready_level, self._ready_gravity = self.watch.steady_level, self.watch.gravity
            self._ready_us = end_us
        return self._verdict(end_us)

    def _sample_agrees(self) -> bool:
        """Whether the hand sample, or forced test, just taken leaves a `ready` standing; it outranks the sensor."""
        return self._passed["where it should be"] and not self.watch.contradicted

    def _confirmed_us(self) -> int | None:
        """When [µs] a hand sample last confirmed the `ready` that stands."""
        sampled_us = self.watch.offset.sampled_us
        if not self._ready or sampled_us is None or sampled_us < self._ready_us - _CONFIRMS_US:
            return None
        return sampled_us

    def _has_moved(self) -> bool:
        """Whether the beer has fallen on after `ready` for some hours, at a steady temperature and not in the cold."""
        watch, warmth = self.watch, self.watch.warmth
        if watch.float.resettling_h:
            return False
        falls = watch.moved(-2.0) > _MOVED_SHARE * watch.tolerance and watch.trend.bank.may_lose(LEFT_LIMIT, 0.5)
        # A creep too slow for its slope to tell still adds up to more than was said to be left.
        fell = self._ready_level - watch.steady_level > LEFT_LIMIT * watch.offset.scale
        self._moving_h = self._moving_h + 1 if warmth.steady and warmth.may_work and (falls or fell) else 0
        return self._moving_h >= _MOVING_H

    def _verdict(self, end_us: int) -> Verdict:
        watch = self.watch
        if self._is_packaged(end_us):
            return "packaged"
        if self._ready:
            return "ready"
        if watch.silent or not watch.warmth.known or not self._passed["believable"]:
            return "unclear"
        if watch.asleep:
            return "too cold"
        if not watch.has_fallen:
            return "lag"
        moved = watch.moved(0.0)
        if watch.expected is None:
            return "unclear" if moved <= watch.tolerance else "fermenting"
        if not self._passed["where it should be"]:
            if not self._holds_still(moved):
                return self._falling()
            return "unclear" if watch.under_pressure else "stalled"
        self._holding = moved <= (_HOLDING_LEAVE if self._holding else 1.0) * watch.tolerance
        if not self._holding:
            return self._falling()
        if self._moving_again and watch.clock.counted_h < self.batch.hold_window_h // 2:
            return "moving again"
        self._moving_again = False
        return "holding"

    def _is_packaged(self, end_us: int) -> bool:
        return self.batch.packaged_us is not None and self.batch.packaged_us < end_us

    def _holds_still(self, moved: float) -> bool:
        clock, tolerance = self.watch.clock, self.watch.tolerance
        return (
            clock.counted_h > self.batch.hold_window_h
            and abs(clock.fall) <= tolerance
            and moved <= _MOVED_SHARE * tolerance
        )

    def _falling(self) -> Verdict:
        return "moving again" if self._moving_again else "fermenting"

    # -- what is known now -----------------------------------------------------------------------------------------

    def snapshot(self, at_us: int) -> Snapshot:
        """All that is known at `at_us` [µs], the end of the hour that was closed last."""
        by_sensor = self._seen_by_sensor(at_us)
        return seen_by_hand(by_sensor, self.watch, self._hand_entries()) if self._by_hand else by_sensor

    def _seen_by_sensor(self, at_us: int) -> Snapshot:
        watch, clock, warmth, found = self.watch, self.watch.clock, self.watch.warmth, self._next_batch()
        bank, started = watch.trend.bank, watch.trend.started
        fermentable = max(0.0, watch.gravity - driest_points(watch.highest_original)) if started else 0.0
        scale, gravity = watch.offset.scale, watch.gravity
        tail = (bank.left() / scale, bank.left_upper(self._left_chance) / scale) if started else (0.0, 0.0)
        left, left_upper = (min(points, fermentable) for points in tail)
        if watch.tail_h < HANDED_OVER_H and watch.expected is not None:
            # Soon after the main fall the slope promises too much.
            left = min(left, watch.expected.down_to_end(watch.gravity))
        chilled = self._chilled()
        if chilled is not None:
            left, left_upper = tail = chilled.left, chilled.left_upper
        return Snapshot(
            at_us=at_us,
            passed=dict(self._passed),
            since_us=dict(self._since),
            level=bank.level if started else None,
            level_sd=math.sqrt(bank.level_var) if started else 0.0,
            offset=watch.offset.points,
            offset_sd=watch.offset.sd_at(gravity),
            still_sd=watch.offset.still_sd_at(gravity),
            drift_sd=self._drift_sd(at_us if chilled is None else chilled.at_us),
            shifts=tuple(watch.shifts.kept),
            sampled_us=watch.offset.sampled_us,
            hand_error_sd=watch.offset.error_sd,
            offset_known_by=watch.offset.known_by,
            scale=scale,
            scale_sd=watch.offset.scale_sd,
            samples=watch.offset.samples,
            odd_sample=watch.offset.odd,
            outvoted=watch.offset.outvoted,
            disputed_from=watch.offset.contradicted_from(gravity),
            sampled_gravity=watch.offset.sampled_gravity(watch.level) if started else None,
            answer=watch.answer,
            original=watch.original,
            original_measured=watch.offset.original is not None,
            original_sd=watch.correction.original_sd,
            expected=watch.expected,
            tested_above=watch.tested_above,
            must_reach=self._must_reach(),
            begun_fall=watch.begun_fall,
            ready_down_to=watch.gravity_at(self._ready_level - LEFT_LIMIT) if self._ready else None,
            ready_gravity=self._ready_gravity if self._ready else None,
            window_h=self.batch.hold_window_h,
            moved=watch.moved(0.0) if started else 0.0,
            moved_upper=watch.moved(_SLOPE_SDS) if started else 0.0,
            moved_limit=_MOVED_SHARE * watch.tolerance,
            fell=clock.fall,
            tolerance=watch.tolerance,
            left=left,
            left_upper=left_upper,
            fermentable=fermentable,
            main_fall=watch.trend.in_main_fall,
            left_chance=self._left_chance,
            left_limit=LEFT_LIMIT,
            counted_h=clock.counted_h,
            needed_h=clock.needed_h,
            hop_watch_h=watch.hop_watch_h,
            agree_h=self._agree_h,
            agree_needed_h=self._agree_needed_h,
            restarted_by=clock.restarted_by,
            restarted_us=clock.restarted_us,
            temp_c=warmth.temp_c if warmth.known else None,
            yeast_min_c=warmth.yeast_min_c,
            yeast_min_given=self.batch.yeast_min_c is not None,
            noted_cold=warmth.noted_cold,
            unseen_h=watch.unseen_h,
            unseen_limit_h=watch.fresh_h,
            silent_limit_h=watch.gap_h,
            same_h=watch.repeats.same_h(at_us),
            rising=watch.rising,
            rising_h=watch.rising_h,
            interrupted_us=clock.interrupted_us,
            under_pressure=watch.under_pressure,
            disagreement=watch.offset.disagreement,
            start_disagreement=watch.offset.start_disagreement,
            confirmed_us=self._confirmed_us(),
            chilled=chilled,
            sealed=watch.sealed,
            at_rest=self._rest.at_rest,
            proved_left=self._proved_left(),
            split=None if found is None else found.split_from(self.batch),
            passed_over=watch.passed_over.total(),
            passed_over_mostly=max(watch.passed_over, key=watch.passed_over.__getitem__, default=None),
            hours_to_go=self._hours_to_go(tail[1]) if started else None,
            first_sample=self._first_sample(at_us),
            untempered=self.batch.name if self._untempered() else "",
        )

    def _drift_sd(self, at_us: int) -> float:
        offset = self.watch.offset
        if offset.still_sd >= UNKNOWN_SD:  # nothing tells how it reads, so that drift adds nothing
            return 0.0
        by_sample = offset.sampled_us is not None
        since_us = self.batch.pitched_us if offset.sampled_us is None else offset.sampled_us
        days = max(at_us - since_us, 0) / (24.0 * HOUR_US)
        return float(drift_sds(np.array(days), by_sample=by_sample))

    def _untempered(self) -> bool:
        """Whether no reading could be corrected, for want of a temperature."""
        watch = self.watch
        return watch.used > 0 and watch.unseen_h is None and watch.warmth.temp_c is None

    def _first_sample(self, at_us: int) -> NextSample | None:
        """When a sample is worth an opening, of a beer of which nothing has been heard for as long as a sensor may be
        on its way."""
        if self.watch.unseen_h is not None:
            return None
        measured = measured_original(self.batch)
        by_hand = measured is not None and measured.sample is not None
        if at_us - self.batch.pitched_us < _SENSOR_COMES_US and not by_hand:
            return None
        watch = self.watch
        return watch.hand.first_sample(at_us, self._hand_entries(), watch.yeast_age_h, watch.warmth.yeast_h)

    def _chilled(self) -> Chilled | None:
        watch, before = self.watch, self._before_cold()
        if before is None:
            return None
        left = before.left(watch.offset, watch.highest_original, watch.expected, self._left_chance)
        gravity = watch.offset.gravity(before.level)
        return Chilled(before.at_us, gravity, left.about, left.at_most, left.by_expected, watch.awaited)

    def _proved_left(self) -> tuple[float, float] | None:
        """What was still to fall of a `ready` beer before it was chilled; no more than may be left when that is said.

        Also where the float has sunk in the cold as if the yeast worked there: that takes no `ready` back either.
        """
        watch, before = self.watch, self.watch.chill.before
        if not self._ready or before is None:
            return None
        left = before.left(watch.offset, watch.highest_original, watch.expected, self._left_chance)
        return min(left.about, LEFT_LIMIT), min(left.at_most, LEFT_LIMIT)

    def _hours_to_go(self, left_upper: float) -> int | None:
        """Hours until `ready` if nothing unforeseen happens; None where that cannot be said.

        `left_upper` [points] is what may be left at most, as sure as the detector must be.
        """
        limits = (
            (_MOVED_SHARE * self.watch.tolerance, self.watch.moved(_SLOPE_SDS)),
            (LEFT_LIMIT, left_upper),
        )
        wait = float(max(1, self.watch.clock.hours_left))
        for limit, upper in limits:
            if upper > limit:
                # What a beer that has stopped may still do shrinks with the cube of the time for which it is watched:
                # on invented batches this is right within a third for two days, and short for more.
                wait = max(wait, max(24, self.watch.clock.counted_h) * ((upper / limit) ** (1.0 / 3.0) - 1.0))
        return math.ceil(wait) if wait < 1000.0 else None
