"""What each check measured and what that may be, as figures for a ledger; its sentence tells the rest.

A check that rests on several conditions shows those that decide: all that fail, or its main one where it holds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import NamedTuple

from lullwort.counting import counted
from lullwort.detector.brewerunits import Units
from lullwort.detector.handlook import may_rise
from lullwort.detector.handseen import ByHand
from lullwort.detector.offset import LARGEST_POINTS
from lullwort.detector.snapshot import CheckName, Snapshot
from lullwort.detector.watch import RISING_H

__all__ = ["Figures", "check_figures"]


class Figures(NamedTuple):
    """What was measured, and its limit; empty where there is no such figure."""

    measured: str
    limit: str = ""


class _Condition(NamedTuple):
    """One of those on which a check rests, the main one first."""

    holds: bool
    figures: Figures


def check_figures(check: CheckName, seen: Snapshot, units: Units | None = None) -> tuple[Figures, ...]:
    """The figures of one check, in the brewer's units: never none, and several where several conditions fail."""
    u, passed = units or Units(), seen.passed[check]
    conditions = list(_CONDITIONS[check](seen, u))
    deciding = [condition.figures for condition in conditions if condition.holds == passed]
    if not deciding:  # what decided is none of these numbers
        return (Figures("", conditions[0].figures.limit),)
    return (deciding[0],) if passed else tuple(deciding)


_Show = Callable[[float], str]


def _most(value: float, limit: float, show: _Show) -> str:
    """A value that may be `limit` at most, so that it can be told on which side it lies."""
    return f"just over {show(limit)}" if value > limit and show(value) == show(limit) else show(value)


def _least(value: float, limit: float, show: _Show) -> str:
    """The same of a value that must be `limit` at least."""
    return f"just under {show(limit)}" if value < limit and show(value) == show(limit) else show(value)


def _at_most(points: float, u: Units) -> str:
    return f"at most {u.difference(points)}"


def _moves(moved: float, window_h: int, u: Units) -> str:
    return f"{'rises' if moved < 0.0 else 'falls'} {u.difference(abs(moved))} in {window_h} h"


def _flat(s: Snapshot, u: Units) -> Iterator[_Condition]:
    if s.hand is not None:
        yield from _flat_by_hand(s, s.hand, u)
        return
    limit = f"{_at_most(s.moved_limit, u)} in {s.window_h} h"
    if s.level is None:
        yield _Condition(False, Figures("", limit))
        return
    yield _Condition(s.moved_upper <= s.moved_limit, Figures(_may_fall(s.moved_upper, s.moved_limit, u), limit))
    fell = _most(abs(s.fell), s.tolerance, u.difference)
    yield _Condition(
        abs(s.fell) <= s.tolerance,
        Figures(f"{'rose' if s.fell < 0.0 else 'fell'} {fell} so far", _at_most(s.tolerance, u)),
    )
    may_rise_by = s.moved_upper - 2.0 * s.moved  # as far below what is likely as `moved_upper` is above
    yield _Condition(
        may_rise_by <= s.tolerance,
        Figures(
            f"rises at most {_most(may_rise_by, s.tolerance, u.difference)}",
            f"{_at_most(s.tolerance, u)} in {s.window_h} h",
        ),
    )
    held_h = max(s.counted_h - 1, 0)
    yield _Condition(
        s.counted_h > s.window_h, Figures(f"over {held_h} proving hours", f"over at least {s.window_h} proving hours")
    )


def _may_fall(at_most: float, limit: float, u: Units) -> str:
    return "cannot fall" if at_most < 0.0 else f"falls at most {_most(at_most, limit, u.difference)}"


def _flat_by_hand(s: Snapshot, hand: ByHand, u: Units) -> Iterator[_Condition]:
    limit = f"{_at_most(s.moved_limit, u)} in {s.window_h} h"
    if hand.first_us is None:
        yield _Condition(False, Figures("", limit))
        return
    falls = _may_fall(hand.moved_upper, s.moved_limit, u)
    yield _Condition(hand.moved_upper <= s.moved_limit, Figures(falls, limit))
    rises_to = may_rise(s.moved_limit, hand.fell_sd)
    rose = _most(-hand.fell, rises_to, u.difference)
    yield _Condition(-hand.fell <= rises_to, Figures(f"rose {rose}", _at_most(rises_to, u)))
    apart = _least(hand.apart_h, s.window_h, lambda hours: f"{u.number(hours, 0)} h")
    yield _Condition(hand.apart_h >= s.window_h, Figures(f"samples {apart} apart", f"at least {s.window_h} h"))


def _little_left(s: Snapshot, u: Units) -> Iterator[_Condition]:
    limit = _at_most(s.left_limit, u)
    if s.level is None:
        yield _Condition(False, Figures("", limit))
        return
    upper = s.left_upper if s.hand is None or s.left_upper <= s.left_limit else s.hand.left_upper
    if upper <= s.left_limit and not s.passed["little left"]:  # no more is left in its wort, but its pace tells of more
        yield _Condition(False, Figures(f"by its pace over {u.difference(s.left_limit)}", limit))
    else:
        shown = u.difference(s.left_upper) if upper > s.left_upper else _most(upper, s.left_limit, u.difference)
        yield _Condition(upper <= s.left_limit, Figures(f"at most {shown}", limit))
    if s.hand is None:
        yield _Condition(not s.main_fall, Figures("the main fall runs", "that is over"))


def _place(s: Snapshot, u: Units) -> Iterator[_Condition]:
    gravity = "" if s.gravity is None else u.level(s.gravity)
    if s.gravity is None or s.must_reach is None:
        yield _Condition(False, Figures(gravity, "" if s.must_reach is None else f"at most {u.level(s.must_reach)}"))
        return
    limit = f"at most {u.level(s.must_reach)}"
    yield _Condition(s.gravity <= s.must_reach, Figures(_most(s.gravity, s.must_reach, u.level), limit))
    if s.sampled_gravity is not None:
        sampled = _most(s.sampled_gravity, s.must_reach, u.level)
        yield _Condition(s.sampled_gravity <= s.must_reach, Figures(f"{sampled} by hand", limit))
    if s.gravity <= s.must_reach and not s.passed["where it should be"]:
        yield _Condition(s.sampled_gravity is not None, Figures("a hand sample lies above", limit))


def _warm(s: Snapshot, u: Units) -> Iterator[_Condition]:
    temp_c = s.temp_c if s.hand is None else s.hand.temp_c
    limit = f"at least {u.temp(s.yeast_min_c)}"
    if temp_c is None:
        yield _Condition(False, Figures("", limit))
        return
    yield _Condition(temp_c >= s.yeast_min_c, Figures(_least(temp_c, s.yeast_min_c, u.temp), limit))
    noted_cold = s.noted_cold if s.hand is None else s.hand.noted_cold
    yield _Condition(not noted_cold, Figures("a cold crash is noted", "`warm` noted after it"))


def _undisturbed(s: Snapshot, _u: Units) -> Iterator[_Condition]:
    if s.hand is None:
        yield _Condition(s.counted_h > s.needed_h, Figures(f"{max(s.counted_h - 1, 0)} h", f"at least {s.needed_h} h"))
        return
    stood_h = int(max(0.0, (s.hand.last_us - s.hand.restarted_us) / 3.6e9))
    yield _Condition(stood_h >= s.hand.needed_h, Figures(f"{stood_h} h", f"at least {s.hand.needed_h} h"))


def _seen(s: Snapshot, u: Units) -> Iterator[_Condition]:
    if s.hand is not None:
        yield _Condition(s.hand.tried >= 2, Figures(counted(s.hand.tried, "sample"), "at least 2"))
        return
    limit = f"at most {u.hours(s.unseen_limit_h)} ago"
    if s.unseen_h is None:
        yield _Condition(False, Figures("", limit))
        return
    ago = "within this hour" if s.unseen_h < 1.0 else f"{_most(s.unseen_h, s.unseen_limit_h, u.hours)} ago"
    yield _Condition(s.unseen_h <= s.unseen_limit_h, Figures(ago, limit))


def _believable(s: Snapshot, u: Units) -> Iterator[_Condition]:
    if s.hand is not None:
        out = len(s.hand.odd)
        says = "the newest does not fit" if s.hand.doubted else f"{out} left out" if out else "samples agree"
        yield _Condition(not s.hand.doubted, Figures(says))
    elif s.level is None:
        yield _Condition(False, Figures(""))
    elif s.passed["believable"]:
        yield _Condition(True, _moves_as_beer(s, u))
    else:
        yield from (_Condition(False, figures) for figures in _doubts(s, u))


def _moves_as_beer(s: Snapshot, u: Units) -> Figures:
    """By its likely pace, or how much it rises for certain: only what does so for hours is no beer."""
    limit = f"rises {_at_most(s.tolerance, u)}"
    if -s.moved <= s.tolerance:
        return Figures(_moves(s.moved, s.window_h, u), limit)
    if s.rises_least <= s.tolerance:
        if s.rises_least <= 0.0:
            return Figures("no certain rise", limit)
        return Figures(f"rises at least {u.difference(s.rises_least)} in {s.window_h} h", limit)
    return Figures(f"rises for {s.rising_h} h so far", f"less than {RISING_H} h")


def _doubts(s: Snapshot, u: Units) -> Iterator[Figures]:
    if s.split is not None:
        yield Figures(f"a step of {u.difference(s.split.least - s.split.low)}")
    if s.disagreement:
        yield Figures(f"a hand sample {u.difference(abs(s.disagreement))} apart")
    if s.start_disagreement:
        apart = _most(abs(s.start_disagreement), LARGEST_POINTS, u.difference)
        yield Figures(f"began {apart} apart", _at_most(LARGEST_POINTS, u))
    if s.rising:
        rises = _most(s.rises_least, s.tolerance, u.difference)
        yield Figures(f"rises at least {rises} in {s.window_h} h", f"rises {_at_most(s.tolerance, u)}")
    if not (s.split or s.disagreement or s.start_disagreement or s.rising):
        yield Figures(f"the same for {u.hours(s.same_h)}")


_CONDITIONS: dict[CheckName, Callable[[Snapshot, Units], Iterator[_Condition]]] = {
    "flat": _flat, "little left": _little_left, "where it should be": _place, "warm enough": _warm,
    "undisturbed": _undisturbed, "seen": _seen, "believable": _believable,
}  # fmt: skip
