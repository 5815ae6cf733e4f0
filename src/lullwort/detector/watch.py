"""One vessel watched through one batch: readings and entries in, level, slope, warmth and proving hours out."""

from __future__ import annotations

import math
from collections import Counter

import msgspec

from lullwort.analysis import FallRecord, GravityCorrection, HandReading, Hour, Trend, hand_reading, is_wort_sample
from lullwort.detector.chill import BeforeCold, Chill
from lullwort.detector.coldsleep import ColdSleep
from lullwort.detector.expected import expected_end
from lullwort.detector.floating import PRESSURE_POINTS, Floating, Seen
from lullwort.detector.handwatch import HandWatch
from lullwort.detector.holdclock import HoldClock
from lullwort.detector.nextbatch import NextBatchWatch
from lullwort.detector.offset import LARGEST_POINTS, SensorOffset
from lullwort.detector.repeats import Repeats
from lullwort.detector.shifts import ShiftLog
from lullwort.detector.snapshot import ROSE, Sealed
from lullwort.detector.warmth import Warmth
from lullwort.records import HOUR_US, Batch, Event, TemperatureAnswer

__all__ = ["BEGINS_ANEW", "HANDED_OVER_H", "VesselWatch"]

_GAP_H = 12.0
_CARRIED_H = 12.0
# Beer past its main fall is the same by then, whatever float is in it.
_LAG_SHARE, _LAG_LEAST = 0.10, 3.0
HANDED_OVER_H = 48
"""[h] after the main fall from which on the tail alone tells what is to come."""
_MUCH_SHARE = 0.25
# Of the fall: while more is left than that a slow pace is a pause, not the tail.
RISING_H = 12
# Foam and bubbles lift a float for hours in the main fall; only what lasts is a fault.
_UNFERMENTED_SHARE = 0.35
# Of added points: fruit holds some that no yeast takes, and uneven mixing hides some.
_MIXING_US = 48 * HOUR_US
_DRY_HOP_WATCH = 1.75
# Hop creep begins late: 84 h at the default window of 48.
_FIRST_DAY_US = 24 * HOUR_US
# Until then water may lie on the wort, and a float comes to rest. No beer is done and gone by then.
_WAKING = ("dry hop", "addition", "rouse", "warm", "seal")
BEGINS_ANEW = (*_WAKING, "moved")
"""Events after which what was proved before does not count any more."""
_PUT_IN = ("dry hop", "addition")


class VesselWatch:
    """All that is known of one batch at the end of each hour, before anything is decided. Memory is constant."""

    def __init__(self, batch: Batch) -> None:
        self.batch = batch
        self.correction = GravityCorrection(batch)
        self.trend = Trend()
        self.fall = FallRecord()
        self.yeast_age_h = 0.0
        """[yeast hours] since the pitch."""
        self.slept_us: int | None = None
        """[µs] when it was last too cold for this yeast; None where it never was."""
        self.tail_h = 0
        """[h] since the main fall was over, as far as one can tell."""
        self.clock = HoldClock(batch.hold_window_h, restarted_us=batch.pitched_us)
        self.chill = Chill()
        self.next_batch = NextBatchWatch(batch.reading_interval_h)
        self._look_from_us = batch.pitched_us + _FIRST_DAY_US
        measured = self.correction.measured
        self.offset = SensorOffset(None if measured is None else measured.points, batch.pitched_us)
        self.float = Floating(self.offset)
        self.shifts = ShiftLog()
        self.hand = HandWatch(batch)
        self.tolerance = batch.tolerance * 1000.0
        self.gap_h = max(_GAP_H, 2.5 * batch.reading_interval_h)
        self.fresh_h = max(2.0, 1.5 * batch.reading_interval_h)
        self.warmth = Warmth(batch.yeast_min_c, batch.steady_temperature_c, self.fresh_h, self.gap_h)
        self.repeats = Repeats(self.gap_h)
        self.answer: TemperatureAnswer | None = None
        """By which the sensor that speaks answers to temperature, where that is taken off."""
        self.used = 0
        self.passed_over: Counter[str] = Counter()
        self.level = self.slope = self.slope_sd = 0.0
        """[points] [points per yeast hour] as the sensor sees the beer, at the end of the hour closed last."""
        self.seen = False
        """Whether the sensor was heard lately."""
        self.unseen_h: float | None = None
        """[h] since the last usable reading; None before the first."""
        self.just_sampled = False
        """Whether a hand sample, or a forced test, was taken up in the hour closed last."""
        self.has_fallen = False
        """Whether fermentation has begun for certain."""
        self.must_fall_to = math.inf
        """[points, as `steady_level`] that must be reached after sugar or fruit went in."""
        self._window_h = self._window_yeast_h = float(batch.hold_window_h)
        self._events = sorted(batch.events, key=lambda event: event.order)
        self._next_event = 0
        self._closed_us = batch.pitched_us
        self.original: float | None = None
        """[points] Original gravity with additions; the sensor's own start where it was not measured."""
        self.expected = expected_end(batch, None)
        """Where the beer should end; None where neither an end nor an original gravity is known."""
        self._tested: HandReading | None = None
        self.tested_above: float | None = None
        """[points] A forced test that ended no lower than the original gravity, and therefore does not count."""
        self._learn_original()
        self._put_in_us = self._woken_us = -_MIXING_US
        """[µs] When something was last put in, and when what may wake the yeast was last noted."""
        self._sealed: Sealed | None = None
        """As its gravity was told by the sensor; pressure is not reckoned with."""
        self._sleep = ColdSleep()
        self.rising_h = 0
        self._highest = -math.inf

    def close_hour(self, end_us: int, hour: Hour | None) -> bool:
        """Take up the hour that ends at `end_us` [µs], None if it had no reading.

        Returns: whether something in it may wake the yeast.
        """
        self.just_sampled = False
        trend, warmth, y = self.trend, self.warmth, None
        if hour is None:
            temperature_stepped = warmth.hour(None, heard=False)
        else:
            temperature_stepped = self._hear(hour)
            if hour.gravity is not None:
                y = self.correction.points(hour.gravity, warmth.temp_c, hour.sensor)
        woken = self._next_event < len(self._events) and self._take_events(end_us)
        if self.hand.heard_us is not None:
            self.hand.hour(warmth)
        if hour is not None and hour.sensor_changed:
            self.clock.restart("another sensor", end_us)
            self.next_batch.another_sensor()
            trend.loosen(0.0, 8.0)
            self._disturbed(self.unseen_h is not None and self.unseen_h <= _CARRIED_H)
        if self.has_fallen and hour is not None and hour.gravity is not None and end_us > self._look_from_us:
            # As reported: a rise of a batch's worth needs no correction for temperature to be told.
            self.next_batch.hour(end_us, (hour.gravity - 1.0) * 1000.0)
        yeast_h = warmth.yeast_h
        self.yeast_age_h += yeast_h
        if yeast_h <= 0.0:
            self.slept_us = end_us
        trend.hour(y, yeast_h, warmth.moved_k)
        if trend.started:
            self.level, self.slope, _, slope_var = trend.bank.pooled
            self.slope_sd = math.sqrt(slope_var)
            self.tail_h = 0 if self.in_main_fall else self.tail_h + 1
            if y is not None and trend.last_used and self.tail_h < HANDED_OVER_H:
                self.fall.add(self.yeast_age_h, y - self.float.bumped)
        self._window_yeast_h = self._window_h * yeast_h if yeast_h > 1.0 else self._window_h
        if self.offset.start_level is None:
            self.offset.hour(y, (end_us - self.batch.pitched_us) / HOUR_US)
            self._learn_original()
        if trend.last_used:
            self.unseen_h = 0.0
            self.float.hour(self.level)
            if self.float.awaits:
                self._hold_samples_against(end_us)
        elif self.unseen_h is not None:
            self.unseen_h += 1.0
        self.seen = self.unseen_h is not None and self.unseen_h <= self.fresh_h
        woken = self._notice(end_us, temperature_stepped) or woken
        self.shifts.hour(end_us, self.offset.mended, self.offset.former)
        self._count(end_us)
        self.chill.hour(end_us, trend, self.level, warm=warmth.warm, steady=warmth.steady)
        self._closed_us = end_us
        return woken

    def _hear(self, hour: Hour) -> int:
        """Tells which way the temperature has stepped, as `Warmth.hour`."""
        self.repeats.hour(hour)
        self.used += hour.used
        for why, count in hour.passed_over:
            self.passed_over[why] += count
        self.trend.noise.resolution = hour.resolution_points
        if self.correction.answers:
            self.answer = self.correction.answers.get(hour.sensor or "")
        return self.warmth.hour(hour.temperature_c)

    def expect_nothing(self) -> None:
        """Of what was noted, leave out all that is dated after the hour closed last."""
        del self._events[self._next_event :]

    # -- what was done, and what the log itself shows --------------------------------------------------------------

    def _take_events(self, end_us: int) -> bool:
        woken = False
        while self._next_event < len(self._events) and self._events[self._next_event].at_us < end_us:
            woken = self._take_event(self._events[self._next_event]) or woken
            self._next_event += 1
        return woken

    def _take_event(self, event: Event) -> bool:
        if event.kind == "sample":
            self._take_sample(event)
        elif event.kind == "forced test":
            self._take_forced_test(event)
        elif event.kind == "moved":
            self._compare_before_it_moves()
            self.clock.restart(event.kind, event.at_us)
            self.trend.loosen(0.0, 5.0)
            self._disturbed(True)
        elif event.kind == "crash":
            self.warmth.crashed = True
            self.chill.noted(event.at_us)
        elif event.kind in _WAKING:
            self._woken_us = event.at_us
            if event.kind in _PUT_IN:
                self._put_in_us = event.at_us
            if event.kind == "seal":
                gravity = self.gravity if self.trend.started else math.inf
                self._sealed = Sealed(gravity, 0.0, event.at_us, self.warmth.temp_c if self.warmth.known else None)
                self.float.sealed()
            elif event.kind == "warm":
                self.warmth.crashed = False
                self.chill.ended()
            watch_h = self.hop_watch_h if event.kind == "dry hop" else 0
            self.clock.restart(event.kind, event.at_us, watch_h)
            self.hand.disturbed(event.kind, event.at_us, watch_h or self.batch.hold_window_h, event.points)
            self.trend.begin_anew(self.batch.hold_window_h)
            if event.points is None:
                self.trend.loosen(0.03, 1.0)
            else:
                self._take_addition(event.points, event.points_of_original)
            return True
        return False

    def _take_sample(self, event: Event) -> None:
        reading = self._read_by_hand(event)
        measured = self.correction.measured
        told_by_start = measured is not None and measured.sample is not None and is_wort_sample(self.batch, event)
        if reading is not None and not told_by_start:
            ceiling = None if self.expected is None else self.expected.ceiling
            since_pitch_h = (event.at_us - self.batch.pitched_us) / HOUR_US
            self.float.sample(reading, since_pitch_h, ceiling, falling=self.in_main_fall)
            if event.at_us > self.batch.pitched_us:
                self.hand.sample(reading, event.temperature_c, self.yeast_age_h)

    def _take_forced_test(self, event: Event) -> None:
        """From now on it tells where the beer should end; before nobody knew, so that the history stays what it was."""
        reading = self._read_by_hand(event)
        if reading is None:
            return
        if self.original is not None and reading.points >= self.original:
            self.tested_above = reading.points
            return
        self._tested, self.tested_above = reading, None
        self.expected = expected_end(self.batch, self.original, reading)
        self.just_sampled = True
        self.hand.expect_anew()

    def _read_by_hand(self, event: Event) -> HandReading | None:
        """None for what is no measurement: a refractometer's answer in fermenting beer is a guess."""
        reading = hand_reading(self.batch, event, self.correction)
        return None if reading is None or reading.estimate else reading

    def _hold_samples_against(self, end_us: int) -> None:
        fall = self.slope * self._window_yeast_h / self._window_h
        level_sd = math.sqrt(self.trend.bank.level_var)
        self.float.compare(Seen(end_us, self.level, level_sd, fall, self.in_main_fall))
        self.just_sampled = True

    def _compare_before_it_moves(self) -> None:
        """Samples of this hour were drawn of a beer that stands there no more when the hour is closed."""
        if self.seen and self.float.awaits:
            self._hold_samples_against(self._closed_us)

    def _disturbed(self, beer_known: bool) -> None:
        if self.trend.started:
            self.float.disturbed(self.level, beer_known=beer_known and not self.trend.in_main_fall)

    def _take_addition(self, points: float, of_original: float) -> None:
        """What was put in is known, and so is that it must ferment: the level rises by it and has to come back.

        Of water the level falls, and what was awaited moves along.
        """
        self._compare_before_it_moves()
        self.float.added(points)
        if self.offset.start_level is None:
            self.offset.added_at_start += points
        self.correction.add_points(of_original)
        self._learn_original()
        self.next_batch.added(points)
        if self._sealed is not None:
            self._sealed = msgspec.structs.replace(self._sealed, gravity=self._sealed.gravity + points)
        if self.trend.started:
            level = self.trend.bank.level - self.float.bumped
            # While the one before has yet to ferment, this one comes on top of it.
            fallen_to = self.must_fall_to if level > self.must_fall_to else level
            seen = self.offset.scale * points
            self.must_fall_to = fallen_to + _UNFERMENTED_SHARE * seen if seen > 0.0 else self.must_fall_to + seen
            self.trend.shift(seen, 0.5 * abs(seen))
            self.fall.shift(seen)
        self.trend.loosen(0.05, 0.0)

    def _notice(self, end_us: int, temperature_stepped: int) -> bool:
        """Take up what the log itself shows; tells whether it may wake the yeast."""
        raised = (self.trend.last_step is not None or self.trend.last_lifted) and self._is_raised(end_us)
        if raised:  # by a bump, or by sugar, fruit or hops that nobody has noted: the beer may set off again
            self.clock.restart(ROSE, end_us, self.hop_watch_h)
            self.trend.begin_anew(self.batch.hold_window_h)
            self.trend.loosen(0.03, 0.0)
        if self.unseen_h is not None and self.unseen_h > self.gap_h:
            self.clock.interrupt("a gap in the log", end_us)
        if temperature_stepped:
            self.clock.restart("a step in temperature", end_us)
            # Cooling wakes nothing: a crash may take a week.
            return (temperature_stepped > 0 and self.warmth.warm) or raised
        return raised

    def _is_raised(self, end_us: int) -> bool:
        """Whether what was seen of a step or a lift is something that has come, and may set the beer off again."""
        step = self.trend.last_step
        if step is not None:
            self.clock.restart("a step in gravity", end_us)
        if not self.warmth.may_work or self.warmth.cooling:
            return False  # a float answers to temperature then, and the yeast to nothing
        if step is None:
            return self.warmth.steady and end_us - self._woken_us >= _MIXING_US
        if step.kind != "bump" or end_us - self._put_in_us < _MIXING_US:
            return False
        self.float.stepped(step.points, self.level)
        return step.points > 0.0

    def _count(self, end_us: int) -> None:
        level = self.level
        if self.warmth.warm and self.seen:
            self.clock.count(level)
        elif not self.warmth.known:
            self.clock.restart("no temperature until then", end_us)
        self._sleep.hour(level, self.warmth.temp_c or 0.0, may_work=self.warmth.may_work)
        if self.trend.started and not self.has_fallen:
            self.has_fallen = self._has_begun(end_us)
        if not self.has_fallen or self.moved(2.0) >= -self.tolerance:
            self.rising_h = 0
        elif self.warmth.warm and self.warmth.steady:
            self.rising_h += 1

    def _has_begun(self, end_us: int) -> bool:
        start = self.offset.start_level
        if start is not None:
            return start - self.level > self.begun_fall
        self._highest = max(self._highest, self.level)
        if self.offset.too_late and self.expected is not None and self.gravity <= self.expected.ceiling:
            self.trend.fell_unseen((end_us - self.batch.pitched_us) / HOUR_US)
            return True
        # A sensor whose start is not known may read as much too low.
        known = self._highest if self.original is None else self.original - LARGEST_POINTS
        return known - self.level > self.begun_fall

    # -- what is known now -----------------------------------------------------------------------------------------

    @property
    def in_main_fall(self) -> bool:
        """Whether the main fall runs or is yet to come: by its pace, or by how much is left of it."""
        if self.trend.in_main_fall or not self.has_fallen:
            return True
        if self.expected is None or self.original is None:
            return False
        return self.gravity - self.expected.high > _MUCH_SHARE * (self.original - self.expected.high)

    @property
    def gravity(self) -> float:
        """[points] of the beer, the sensor's offset and scale mended."""
        return self.offset.gravity(self.level)

    @property
    def gravity_by_samples(self) -> float:
        """[points] As `gravity`, but no lower than the last hand sample says by itself, if that stands."""
        sampled = self.offset.sampled_gravity(self.level)
        return self.gravity if sampled is None else max(self.gravity, sampled)

    def gravity_at(self, steady_level: float) -> float:
        """[points] of a beer of which the sensor would read `steady_level` [points], had it never been bumped."""
        return (steady_level + self.above_steady) / self.offset.scale

    def steady_at(self, gravity: float) -> float:
        """[points] that the sensor would read, had it never been bumped, of a beer of `gravity` [points]."""
        return self.offset.scale * gravity - self.above_steady

    @property
    def steady_level(self) -> float:
        """[points] as the sensor would read had it never been bumped: for comparing moments."""
        return self.level - self.float.bumped

    @property
    def above_steady(self) -> float:
        """[points] by which `gravity`, times the sensor's scale, lies above `steady_level`."""
        return self.float.bumped - self.offset.points

    @property
    def begun_fall(self) -> float:
        """[points] by which gravity must fall before fermentation is taken to have begun."""
        return max(_LAG_LEAST, _LAG_SHARE * (self.original or 0.0))

    @property
    def hop_watch_h(self) -> int:
        """[h] Proving hours that a dry hop asks for."""
        return math.ceil(_DRY_HOP_WATCH * self.batch.hold_window_h)

    def _learn_original(self) -> None:
        points, start = self.offset.original, self.offset.start_level
        if points is None and start is not None:
            points = start - self.offset.added_at_start
        original = None if points is None else points + self.correction.added_points
        if original != self.original:
            self.original, self.expected = original, expected_end(self.batch, original, self._tested)

    @property
    def highest_original(self) -> float | None:
        """[points] that `original` may be: a sensor may read too low, and yeast begin before it has come to rest."""
        if self.original is None or self.offset.original is not None:
            return self.original
        return self.original + LARGEST_POINTS

    @property
    def silent(self) -> bool:
        """Whether it has not been heard for so long that nothing can be said."""
        return self.unseen_h is None or self.unseen_h > self.gap_h

    def is_by_hand(self, at_us: int) -> bool:
        """Whether hand samples alone tell at `at_us` [µs]: the sensor has not been heard, or not since before them."""
        sampled_us = self.hand.heard_us
        if sampled_us is None or self.unseen_h is None:
            return sampled_us is not None
        return self.silent and sampled_us > at_us - self.unseen_h * HOUR_US

    @property
    def rising(self) -> bool:
        """Whether gravity has risen for hours, which beer does not."""
        return self.rising_h >= RISING_H

    @property
    def contradicted(self) -> bool:
        """Whether the sensor contradicts what was measured by hand, so that one of the two must be wrong."""
        return bool(self.offset.disagreement or self.offset.start_disagreement)

    @property
    def under_pressure(self) -> bool:
        """Whether it was sealed, with no hand sample since, and stands above its end by what pressure may do."""
        over = math.inf if self.expected is None else self.gravity - self.expected.ceiling
        return self.float.pressed and 0.0 < over <= PRESSURE_POINTS

    @property
    def sealed(self) -> Sealed | None:
        """What the vessel's sealing shut in; None where none was noted."""
        if self._sealed is None:
            return None
        # Sealed before the sensor was heard it was a wort.
        original = math.inf if self.original is None else self.original
        lift = PRESSURE_POINTS if self.float.pressed else 0.0
        return msgspec.structs.replace(self._sealed, gravity=min(self._sealed.gravity, original), lift=lift)

    @property
    def asleep(self) -> bool:
        """Whether it has been too cold for hours, and the log does not show that this yeast works all the same."""
        return self._sleep.lasts(self.level, self.warmth.temp_c or 0.0)

    @property
    def chilled(self) -> BeforeCold | None:
        """What was known before it got too cold for this yeast; None where it works, in the cold too."""
        return self.chill.before if not self._sleep.is_cold or self.asleep else None

    @property
    def awaited(self) -> str:
        """What had been put in so shortly before the cold that it need not have shown; empty if nothing."""
        before = self.chill.before
        if before is None:
            return ""
        watch_us = self.hop_watch_h * HOUR_US
        kinds = [e.kind for e in self._events if before.at_us - watch_us < e.at_us <= before.at_us + watch_us]
        return next((kind for kind in _PUT_IN if kind in kinds), "")

    def moved(self, sds: float) -> float:
        """[points] over one hold window at the present slope plus `sds` standard deviations."""
        return self._window_yeast_h * (self.slope + sds * self.slope_sd)
