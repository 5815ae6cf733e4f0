"""Evidence and reasons of a batch that hand samples alone tell of, in the brewer's units."""

from __future__ import annotations

import math

from lullwort.counting import counted
from lullwort.detector.brewerunits import Units, value_range
from lullwort.detector.expected import ExpectedEnd
from lullwort.detector.handseen import ByHand, NextSample
from lullwort.detector.leftwords import still_to_fall
from lullwort.detector.snapshot import CHECKS, CheckName, Snapshot, Verdict

__all__ = ["hand_line", "hand_reason", "next_sample", "openings", "two_day_rule"]

_NOTHING = 0.05
Line = tuple[float | None, float | None, str, str]
_RULE = "the two-day rule (the same reading twice, two days apart)"


def hand_line(check: CheckName, s: Snapshot, hand: ByHand, u: Units) -> Line | None:
    """Value, limit, unit and sentence of a check; None where what is said of a sensor's holds here, too."""
    match check:
        case "flat":
            return _flat(s, hand, u)
        case "warm enough":
            return _warm(s, hand, u)
        case "undisturbed":
            stood_h = max(0, math.floor((hand.last_us - hand.restarted_us) / 3.6e9))
            return (
                float(stood_h), float(hand.needed_h), "h",
                f"{stood_h} h from {u.moment(hand.restarted_us)} ({hand.restarted_by}) to the newest sample, "
                f"{hand.needed_h} needed.",
            )  # fmt: skip
        case "seen":
            return (
                float(hand.tried), 2.0, "count",
                f"{counted(hand.tried, 'sample')} since then {'tells' if hand.tried == 1 else 'tell'} of it, two are "
                f"needed. {openings(hand)}",
            )  # fmt: skip
        case "believable":
            return None, None, "SG", _believable(hand, u)
        case _:
            return None


def openings(hand: ByHand) -> str:
    """How often the vessel was opened so far."""
    others = f", and {hand.others} more for what was put in or roused" if hand.others else ""
    return f"The vessel was opened {_times(hand.samples)} for a sample since the pitch{others}."


def hand_reason(verdict: Verdict, s: Snapshot, hand: ByHand, u: Units) -> str | None:
    """Why the verdict is what it is; None where what is said of a sensor's holds here, too."""
    gravity, when = u.level(hand.gravity), u.moment(hand.last_us)
    match verdict:
        case "lag":
            return f"Gravity was {gravity} at {when} and had not begun to fall; that is lag, not an end."
        case "stalled" if s.expected is not None:
            return f"Gravity holds still at {gravity}, but that is too high: by what is entered {_end(s.expected, u)}."
        case "fermenting":
            fell = f"; it fell {u.difference(hand.fell)} in {u.number(hand.apart_h, 0)} h"
            fell = fell if hand.fell - hand.fell_sd > 0.0 else ""
            return f"Gravity was {gravity} at {when}{fell}."
        case "holding":
            if hand.last_us < hand.restarted_us:
                since = f"{hand.restarted_by} at {u.moment(hand.restarted_us)}"
                return f"Gravity was {gravity} before this: {since}. What that does shows in a sample drawn after it."
            if hand.tried < 2:
                return f"Gravity is {gravity}, where this beer may end; one sample cannot tell whether it holds."
            open_ = ", ".join(name for name, passes in zip(CHECKS, hand.passed, strict=True) if not passes)
            return f"Gravity is {gravity} and seems to hold, but these samples do not prove it. Still open: {open_}."
        case "ready":
            held = f"{counted(hand.tried, 'sample')} over {u.number(hand.apart_h, 0)} h show gravity holding still at"
            return f"{held} {gravity}, where this beer should end. {_left(s, u)}"
        case "too cold":
            return f"It stands at {gravity}, but its yeast sleeps. {_warm(s, hand, u)[3]}"
        case "moving again":
            fell = "" if s.ready_gravity is None else f" from {u.level(s.ready_gravity)}"
            return f"A sample shows that gravity moves again after it was ready{fell}: now {u.level(hand.gravity)}."
        case "unclear":
            if hand.doubted:
                return _believable(hand, u)
            if s.expected is None:
                return f"Gravity is {gravity}, but neither its original gravity nor where it should end is known."
            return _warm(s, hand, u)[3]
        case _:
            return None


def two_day_rule(verdict: Verdict, s: Snapshot) -> str:
    """What the trade's rule says of the same samples, and where it differs from the verdict; empty for a sensor's."""
    hand = s.hand
    if hand is None or verdict == "packaged":
        return ""
    if hand.two_day_rule is None:
        return f"By {_RULE} nothing can be said yet."
    if hand.two_day_rule and verdict == "ready":
        return f"By {_RULE} it is finished, too."
    if hand.two_day_rule:
        open_ = [name for name, passes in zip(CHECKS, hand.passed, strict=True) if not passes]
        return (
            f"{_RULE.capitalize()} would call it finished. It differs here, for this is not shown: {', '.join(open_)}."
        )
    if verdict == "ready":
        return (
            f"{_RULE.capitalize()} would not call it finished, for the last two read differently; the "
            f"{hand.tried} samples that agree show that it is."
        )
    return f"By {_RULE} it is not finished either."


def next_sample(asked: NextSample, at_us: int, u: Units) -> str:
    """When the next sample is worth an opening, what it is for, and where it should stand."""
    when = "Draw a sample now" if asked.from_us <= at_us else f"Draw the next sample from {u.moment(asked.from_us)} on"
    before = "" if asked.from_us <= at_us else "; none is worth an opening before. By then"
    chance = f"{round(10.0 * asked.chance)} in 10"
    tells = (
        f"it proves the end with a chance of {chance}"
        if asked.proves
        else f"the beer has ended with a chance of {chance}, and it is the first of two that prove it"
    )
    stands = value_range(u.level(asked.low), u.level(asked.high))
    return f"{when}{before or ':'} {tells}; corrected, it should read {stands}. Degas it, and do not pour it back."


def _flat(s: Snapshot, hand: ByHand, u: Units) -> Line:
    limit = s.moved_limit / 1000.0
    if hand.first_us is None:
        says = f"One sample cannot show whether it moves; it takes another, at least {s.window_h} h after it."
        return None, limit, "SG", says
    moved = "moved" if abs(hand.fell) < _NOTHING else "rose" if hand.fell < 0.0 else "fell"
    says = (
        f"From {u.moment(hand.first_us)} to {u.moment(hand.last_us)} ({u.number(hand.apart_h, 0)} h, "
        f"{counted(hand.tried, 'sample')}) gravity {moved} by {u.difference(abs(hand.fell))}, give or "
        f"take {u.difference(hand.fell_sd)} by reading it: "
    )
    if hand.apart_h < s.window_h:
        return hand.moved_upper / 1000.0, limit, "SG", f"{says}too near to each other, {s.window_h} h are needed."
    at_most = "and it cannot have fallen" if hand.moved_upper < 0.0 else f"at most {u.difference(hand.moved_upper)}"
    return (
        hand.moved_upper / 1000.0,
        limit,
        "SG",
        f"{says}{at_most} in {s.window_h} h (limit {u.difference(s.moved_limit)}).",
    )


def _end(expected: ExpectedEnd, u: Units) -> str:
    ends = value_range(u.level(expected.low, 3), u.level(expected.high, 3))
    return f"it should end at {ends}, and up to {u.level(expected.ceiling)} passes"


def _left(s: Snapshot, u: Units) -> str:
    return f"{still_to_fall(s.left, s.left_upper, u)}."


def _warm(s: Snapshot, hand: ByHand, u: Units) -> Line:
    if hand.temp_c is None:
        return None, s.yeast_min_c, "Cel", "No sample told its temperature, so cold yeast cannot be ruled out."
    if hand.noted_cold:
        return hand.temp_c, s.yeast_min_c, "Cel", "A cold crash is noted: it counts as cold until `warm` is noted."
    needs = f"this yeast needs {u.temp(s.yeast_min_c)}. Colder hours are not counted."
    if hand.temp_by_sample:
        says = (
            f"The sample that told it last was {u.temp(hand.temp_c)} when it was read, which is taken for the beer's; "
            f"{needs} If the vessel is colder, `lullwort batch edit --steady-temperature` tells of it."
        )
    else:
        says = f"It was {u.temp(hand.temp_c)} when that was told last; {needs}"
    return hand.temp_c, s.yeast_min_c, "Cel", says


def _believable(hand: ByHand, u: Units) -> str:
    odd = [f"that of {u.moment(o.at_us)} ({u.level(o.points)})" for o in hand.odd]
    if hand.doubted:
        return (
            f"The newest sample ({u.level(hand.newest)} at {u.moment(hand.newest_us)}) does not fit the others and "
            "what beer does: one more, degassed, decides."
        )
    if odd:
        return f"The samples agree with each other but for {' and '.join(odd)}, which is left out."
    return "The samples agree with each other and with what beer does."


def _times(number: int) -> str:
    return {1: "once", 2: "twice"}.get(number, f"{number} times")
