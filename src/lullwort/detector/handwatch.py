"""A beer watched by hand samples alone, hour by hour, and the verdict that they bear. Streaming and pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from lullwort.analysis import HandReading
from lullwort.detector.expected import ExpectedEnd
from lullwort.detector.handfalls import Taken, WeighedFalls, Woken, drawn_falls, weighed
from lullwort.detector.handline import Drawn, independent_sds
from lullwort.detector.handlook import FELL_SDS, HandEntries, HandLook, Stillness, look_at
from lullwort.detector.handnext import first_of_two, that_proves
from lullwort.detector.handseen import ByHand, NextSample, OddSample
from lullwort.detector.snapshot import Verdict
from lullwort.detector.warmth import Warmth
from lullwort.records import HOUR_US, Batch

__all__ = ["HandWatch"]

_TWO_DAYS_US, _SAME_POINTS = 46 * HOUR_US, 1.05
# Two days as people keep them, and a reading that is the same. Common practice, no source.
_MUCH_SHARE = 0.25
_UNFERMENTED_SHARE = 0.35
# Of added points: fruit holds some that no yeast takes, and uneven mixing hides some.
_OPENED_BY = ("dry hop", "addition", "rouse")
_REST_US = 24 * HOUR_US
# Between two samples: one more look at once would only have chance another try.


@dataclass
class HandWatch:
    """All that is known of one batch by hand. Memory grows with the samples, of which there are few."""

    batch: Batch
    temp_c: float | None = None
    """[°C] of the beer: by the log or an entry, else as the newest sample was when it was read."""
    temp_by_sample: bool = False
    """Whether that is a sample's."""
    beer_c: float | None = None
    """[°C] By the log or an entry alone; None where neither tells it."""
    warm: bool = True
    heard_us: int | None = None
    """[µs] When the newest sample was drawn; None before the first."""
    noted_cold: bool = False
    """Whether it counts as cold for a crash alone, since nothing else tells of the vessel."""
    must_fall_to: float = math.inf
    """[points] that must be reached after sugar or fruit went in."""
    ready: bool = False
    ready_gravity: float = 0.0
    moving_again: bool = False
    _restarted_us: int = 0
    _restarted_by: str = "pitched"
    _needed_h: int = 0
    _others: int = 0
    _drawn: list[Drawn] = field(default_factory=list)
    _woken: Woken | None = None
    _woken_age_h: float = 0.0
    _crashed: bool = False
    _before_put_in: int = 0
    """How many samples were drawn before sugar or the like last went in: those of the same moment among them."""
    _before_woken: int = 0
    _age_h: float = 0.0
    _warm_h: float = 0.0
    _yeast_h: float = 1.0
    _usual_c: float = 20.0
    _stale: bool = True
    _newest_judged_us: int = -1
    _look: HandLook = field(init=False)

    def __post_init__(self) -> None:
        self._restarted_us, self._needed_h = self.batch.pitched_us, self.batch.hold_window_h
        self._look = HandLook(Stillness(self.batch.hold_window_h, self.batch.tolerance * 1000.0))

    # -- what happens ----------------------------------------------------------------------------------------------

    def hour(self, warmth: Warmth) -> None:
        """An hour has passed, with this warmth by the log or an entry; where that is not known the newest sample's."""
        was_warm, crashed = self.warm, self._crashed
        self._crashed = warmth.crashed
        self.beer_c = warmth.temp_c if warmth.known else None
        if warmth.known:
            self.temp_c, self.temp_by_sample, self._usual_c = warmth.temp_c, False, warmth.usual_c
            self.warm, self._yeast_h = warmth.warm, warmth.yeast_h
        self.noted_cold = False
        if self.temp_c is not None and (not warmth.known or (warmth.noted_cold and not crashed)):
            # Beer is not cold yet in the hour in which it is chilled: what was proved before, in that hour, stands.
            self.noted_cold = crashed
            self.warm = self.temp_c >= warmth.yeast_min_c and not crashed
            self._yeast_h = 1.0 if self.warm else 0.0
            if self.warm:
                self._usual_c = self.temp_c
        self._age_h += self._yeast_h
        self._warm_h += 1.0 if self.warm else 0.0
        self._stale = self._stale or self.warm != was_warm

    def sample(self, reading: HandReading, temp_c: float | None, age_h: float) -> None:
        """A degassed sample was drawn in the hour that runs, when the beer was `age_h` [yeast h] old as it began;
        `temp_c` [°C] as read, None where not told."""
        if not self._drawn:  # hours are counted from the first sample on, for most beers have a sensor and none
            self._age_h = age_h
        self.heard_us = reading.at_us
        if temp_c is not None:
            self.temp_c, self.temp_by_sample = temp_c, True
        into_h = (reading.at_us % HOUR_US) / HOUR_US
        self._drawn.append(
            Drawn(reading, self._age_at_us(reading.at_us), self._warm_h + (into_h if self.warm else 0.0))
        )
        self._stale = True

    def disturbed(self, by: str, at_us: int, needed_h: int, points: float | None = None) -> None:
        """Something was done at `at_us` [µs] that may wake the yeast: the proof begins anew, and takes `needed_h` [h].

        Args: points: [points] that were put in.
        """
        if by in _OPENED_BY:
            self._others += 1
        if by == "warm" and self.temp_c is not None:
            self.temp_c, self.temp_by_sample = self._usual_c, False
        stood = self._drawn[-1].reading.points if self._drawn else None
        if stood is not None and self._has_ended_main_fall():
            self._woken = Woken(stood + (points or 0.0), (points or 0.0) > 0.0)
            self._woken_age_h = self._age_at_us(at_us)
            self._before_woken = len(self._drawn) if points is not None else self._drawn_before(at_us)
        if points is not None:
            self._before_put_in = len(self._drawn)
        if stood is not None and points is not None:
            self._must_lose(points, stood)
        self._begin_anew(by, at_us, needed_h)

    def expect_anew(self) -> None:
        """Where the beer should end is known anew: what was proved is held against that."""
        self.ready, self._stale = False, True

    def _age_at_us(self, at_us: int) -> float:
        """[yeast h] Age of the beer at a moment of the hour that runs."""
        return self._age_h + (at_us % HOUR_US) / HOUR_US * self._yeast_h

    def _must_lose(self, points: float, stood: float) -> None:
        if points > 0.0:
            self.must_fall_to = min(stood, self.must_fall_to) + _UNFERMENTED_SHARE * points
        else:  # water thins what was awaited
            self.must_fall_to += points

    def _begin_anew(self, by: str, at_us: int, needed_h: int) -> None:
        self._restarted_by, self._restarted_us, self._needed_h = by, at_us, needed_h
        self.ready, self._stale = False, True

    def _has_ended_main_fall(self) -> bool:
        falls = self._look.falls
        if falls is None or not self._look.good:
            return True
        return falls.chance((falls.left(self._look.good[-1].age_h - self._woken_age_h) < 5.0).astype(float)) > 0.5

    # -- the verdict -----------------------------------------------------------------------------------------------

    def decide(self, known: HandEntries) -> Verdict:
        """The verdict that the samples bear now; there must be one at least."""
        if self._stale:
            self._look = self._looked(known)
            self._stale = False
            self._take_up(known)
        look, gravity = self._look, self._look.gravity
        if look.doubted:
            return "moving again" if self.moving_again else "unclear" if self.warm else "too cold"
        if self.ready:
            return "ready"
        if not self._has_begun(known, gravity):
            return "lag"
        if known.expected is None or known.must_reach is None:
            return "unclear" if look.is_flat else "fermenting"
        if gravity > known.must_reach and not look.is_flat:
            return self._falling()
        if self.temp_c is None:
            return "unclear"
        if not self.warm:
            return "too cold"
        if gravity > known.must_reach:
            return "stalled"
        if self.moving_again or look.is_falling:
            return self._falling()
        return "holding"

    def _take_up(self, known: HandEntries) -> None:
        """What a new sample, or a warmer hour, changes."""
        look = self._look
        newest_us = self._drawn[-1].reading.at_us
        new, self._newest_judged_us = newest_us != self._newest_judged_us, newest_us
        if new and self.ready and self._fell_since_ready():
            self.moving_again = True
            self._begin_anew("moving again", newest_us, self.batch.hold_window_h)
            self._look, self._stale = self._looked(known), False
            return
        if look.doubted:
            self.ready = False
            return
        if all(self.passed(known)) and not self.ready:
            self.ready, self.moving_again = True, False
            self.ready_gravity = self._look.gravity

    def _fell_since_ready(self) -> bool:
        last = self._drawn[-1].reading
        limit = self._look.still.tolerance + FELL_SDS * math.sqrt(2.0) * last.read_sd
        return self.ready_gravity - last.points > limit

    def _falling(self) -> Verdict:
        return "moving again" if self.moving_again else "fermenting"

    def _has_begun(self, known: HandEntries, gravity: float) -> bool:
        highest = self._drawn[0].reading.points if known.original is None else known.original
        if highest - gravity > known.begun_fall:
            return True
        # Of a wort that was never measured only where it should end can tell.
        return known.original is None and (known.must_reach is None or gravity <= known.must_reach)

    def passed(self, known: HandEntries) -> tuple[bool, ...]:
        """Whether each of CHECKS holds, in their order; after `decide`."""
        look, reading = self._look, self._look.good[-1].reading
        in_place = known.must_reach is not None and look.gravity <= known.must_reach
        stood_h = (reading.at_us - self._restarted_us) / HOUR_US
        return (  # in the order of CHECKS
            look.is_flat,
            look.falls is not None and look.left(known.left_chance) <= known.left_limit,
            in_place,
            self.temp_c is not None and self.warm,
            stood_h >= self._needed_h,
            look.line is not None,
            not look.doubted,
        )

    # -- what the samples say --------------------------------------------------------------------------------------

    def _looked(self, known: HandEntries) -> HandLook:
        since = self._drawn[self._before_anew() :] or self._drawn[-1:]
        falls = None if known.expected is None else self._weighed(known, known.expected)
        return look_at(since, self._drawn[self._before_woken :], falls, known, self._look.still, self._woken_age_h)

    def _weighed(self, known: HandEntries, expected: ExpectedEnd) -> WeighedFalls:
        drawn = self._drawn[self._before_woken :]
        sds, error_sd = independent_sds([d.reading for d in drawn])
        taken = [Taken(d.age_h - self._woken_age_h, d.reading.points, sd) for d, sd in zip(drawn, sds, strict=True)]
        return weighed(drawn_falls(known.original, expected, self._usual_c, self._woken), taken, error_sd)

    def seen(self, at_us: int, known: HandEntries) -> ByHand:
        """All that the samples say at `at_us` [µs], after `decide`."""
        look, window_h = self._look, self.batch.hold_window_h
        last, line, gravity = look.good[-1].reading, look.line, look.gravity
        _, error_sd = independent_sds([d.reading for d in look.good])
        read_sd = last.read_sd if line is None or not look.is_flat else line.mean_sd
        left, left_upper = look.left(0.5), look.left(known.left_chance)
        expected, original = known.expected, known.original
        much = (
            expected is not None
            and original is not None
            and (gravity - expected.high > _MUCH_SHARE * (original - expected.high))
        )
        return ByHand(
            passed=self.passed(known),
            gravity=gravity,
            gravity_sd=math.hypot(read_sd, error_sd),
            left=0.0 if math.isinf(left) else left,
            left_upper=left_upper,
            main_fall=much,
            samples=len(self._drawn),
            others=self._others,
            last_us=last.at_us,
            newest_us=self._drawn[-1].reading.at_us,
            newest=self._drawn[-1].reading.points,
            first_us=None if line is None else line.first.reading.at_us,
            tried=1 if line is None else line.tried,
            apart_h=0.0 if line is None else line.apart_h,
            fell=0.0 if line is None else line.fell,
            fell_sd=0.0 if line is None else line.fell_sd,
            moved=0.0 if line is None else line.fell * window_h / line.apart_h,
            moved_upper=look.moved_upper,
            odd=tuple(OddSample(d.reading.at_us, d.reading.points) for d in look.odd),
            doubted=look.doubted,
            temp_c=self.temp_c,
            temp_by_sample=self.temp_by_sample,
            beer_c=self.beer_c,
            cold=not self.warm,
            noted_cold=self.noted_cold and not self.warm,
            restarted_us=self._restarted_us,
            restarted_by=self._restarted_by,
            needed_h=self._needed_h,
            two_day_rule=_two_day_rule(self._drawn),
            next=self._next(at_us, known),
        )

    def first_sample(self, at_us: int, known: HandEntries, age_h: float, yeast_h: float) -> NextSample | None:
        """The first sample of a beer of which none was drawn, as `seen` gives the next.

        Args: age_h: [yeast h] of the beer at `at_us` [µs]; yeast_h: what an hour is worth to its yeast now.
        """
        if self._drawn or known.expected is None or known.must_reach is None or yeast_h <= 0.0:
            return None
        return first_of_two(
            self._weighed(known, known.expected),
            lambda ahead_h: age_h + ahead_h * yeast_h,
            at_us,
            known.must_reach,
            not_before_us=at_us,
        )

    def _age_at(self, ahead_h: float) -> float:
        return self._age_h - self._woken_age_h + ahead_h * self._yeast_h

    def _next(self, at_us: int, known: HandEntries) -> NextSample | None:
        look = self._look
        falls = look.falls
        if self.ready or look.doubted or not self.warm or falls is None or known.must_reach is None:
            return None
        if look.is_flat and look.gravity > known.must_reach:
            return None
        anew = self._drawn[self._before_anew() :]
        standing = [d for d in look.good if d.reading.points <= known.must_reach and d in anew]
        if not standing or look.is_falling:
            rested_us = look.good[-1].reading.at_us + _REST_US
            return first_of_two(falls, self._age_at, at_us, known.must_reach, not_before_us=rested_us)
        sds, error_sd = independent_sds([d.reading for d in look.good])
        return that_proves(
            falls,
            self._age_at,
            at_us,
            standing,
            read_sd=sds[-1],
            error_sd=error_sd,
            window_h=float(look.still.window_h),
            tolerance=look.still.tolerance,
            left_limit=known.left_limit,
            not_before_us=max(self._restarted_us + self._needed_h * HOUR_US, standing[-1].reading.at_us + _REST_US),
        )

    def _drawn_before(self, at_us: int) -> int:
        """How many samples were drawn before `at_us` [µs]."""
        return sum(1 for d in self._drawn if d.reading.at_us < at_us)

    def _before_anew(self) -> int:
        """How many samples were drawn before the proof began anew."""
        return max(self._before_put_in, self._drawn_before(self._restarted_us))


def _two_day_rule(drawn: Sequence[Drawn]) -> bool | None:
    """Whether the last two are the same, two days apart; None while no two are that far apart."""
    if len(drawn) < 2:
        return None
    last = drawn[-1].reading
    earlier = [d.reading for d in drawn[:-1] if last.at_us - d.reading.at_us >= _TWO_DAYS_US]
    return abs(earlier[-1].points - last.points) <= _SAME_POINTS if earlier else None
