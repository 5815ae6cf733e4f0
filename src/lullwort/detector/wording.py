"""Evidence and reasons in sentences that a brewer would say, in the brewer's units."""

from __future__ import annotations

import msgspec

from lullwort.analysis import BAD_GRAVITY, BAD_TEMPERATURE, GRAVITY_RANGE, LONE_SPIKE, TEMP_RANGE_C, WHY_PASSED_OVER
from lullwort.counting import counted
from lullwort.detector.brewerunits import Units, value_range
from lullwort.detector.handwords import hand_line, hand_reason
from lullwort.detector.ifsealed import if_sealed
from lullwort.detector.leftwords import still_to_fall
from lullwort.detector.offset import LARGEST_POINTS
from lullwort.detector.snapshot import CHECKS, CheckName, Chilled, Snapshot, Split, Verdict, wants_calibration
from lullwort.records import TemperatureAnswer, format_utc

__all__ = ["Check", "answer_says", "evidence", "reason", "sureness", "why_passed_over"]


class Check(msgspec.Struct, frozen=True):
    """One line of evidence. Gravities in SG, temperatures in °C, as `unit` says; `says` in the brewer's units."""

    check: CheckName
    passed: bool
    value: float | None
    limit: float | None
    unit: str
    since: str
    says: str


def evidence(seen: Snapshot, units: Units | None = None) -> tuple[Check, ...]:
    """The seven checks behind a verdict, in their fixed order."""
    units = units or Units()
    makers = {
        "flat": _flat, "little left": _left, "where it should be": _place, "warm enough": _warm,
        "undisturbed": _undisturbed, "seen": _seen, "believable": _believable,
    }  # fmt: skip
    checks = []
    for name in CHECKS:
        by_hand = None if seen.hand is None else hand_line(name, seen, seen.hand, units)
        value, limit, unit, says = by_hand or makers[name](seen, units)
        checks.append(
            Check(
                name,
                seen.passed[name],
                _rounded(value),
                _rounded(limit),
                unit,
                format_utc(seen.since_us[name]),
                says,
            )
        )
    return tuple(checks)


_TOLD_POINTS, _TOLD_SCALE = 0.05, 0.005
# What is less need not be told of a sensor.
_BELOW_SDS = 2.0
_HARDLY_POINTS = 0.1
# In a hold window: less is no fall that anybody would call one.

_Line = tuple[float | None, float | None, str, str]


def _rounded(value: float | None) -> float | None:
    return None if value is None else round(value, 5)


def _nothing_usable(s: Snapshot) -> str:
    return "No reading could be corrected: no temperature is known." if s.untempered else "No usable reading yet."


def _flat(s: Snapshot, u: Units) -> _Line:
    value, limit = s.moved_upper / 1000.0, s.moved_limit / 1000.0
    if s.level is None:
        return None, limit, "SG", _nothing_usable(s)
    held = min(max(s.counted_h - 1, 0), s.window_h)
    at_most = "and it cannot fall" if s.moved_upper < 0.0 else f"at most fall {u.difference(s.moved_upper)}"
    says = (
        f"At its present pace gravity would {_falls(s.moved, u)} in {s.window_h} h, {at_most} "
        f"with its uncertainty (limit {u.difference(s.moved_limit)}); over the "
        f"{held} proving hours so far it {_fell(s.fell, u)} "
        f"(limit {u.difference(s.tolerance)})."
    )
    return value, limit, "SG", says


def _falls(points: float, u: Units) -> str:
    if u.rounds_away(points):
        return "hardly move"
    return f"{'rise' if points < 0.0 else 'fall'} {u.difference(abs(points))}"


def _fell(points: float, u: Units) -> str:
    if u.rounds_away(points):
        return "hardly moved"
    return f"{'rose' if points < 0.0 else 'fell'} {u.difference(abs(points))}"


def _apart(points: float, u: Units) -> str:
    return f"{u.difference(abs(points))} {'above' if points > 0.0 else 'below'}"


def why_passed_over(why: str, u: Units, count: int = 1) -> str:
    """A reason of WHY_LEFT_OUT, of so many readings, its numbers in the brewer's units; any other as it is."""
    if why == LONE_SPIKE and count != 1:
        return f"{why}s"
    if why == WHY_PASSED_OVER[BAD_GRAVITY]:
        low, high = (u.level(1000.0 * (sg - 1.0), 3) for sg in GRAVITY_RANGE)
        return f"gravity outside {value_range(low, high)}"
    if why == WHY_PASSED_OVER[BAD_TEMPERATURE]:
        return f"temperature outside {value_range(*(u.temp(temp_c, 0) for temp_c in TEMP_RANGE_C))}"
    return why


def sureness(chance: float) -> str:
    """How sure one is of what fails with this chance.

    >>> sureness(0.04)
    '24 in 25'
    """
    of = round(1.0 / chance)
    return f"{of - 1} in {of}"


def _left(s: Snapshot, u: Units) -> _Line:
    if s.level is None:
        return None, s.left_limit, "points", _nothing_usable(s)
    says = f"{still_to_fall(s.left, s.left_upper, u)} ({_how_known(s)}; limit {u.difference(s.left_limit)})."
    sealed = if_sealed(s)
    if sealed.may_wake and sealed.at_most > s.left_upper:
        where = "where it should end is not known" if s.expected is None else "it stands above where it should be"
        says += (
            f" That is by its own pace; {where}, and what stands still may still be there: up to "
            f"{u.difference(sealed.at_most)}."
        )
    return s.left_upper, s.left_limit, "points", says


def _how_known(s: Snapshot) -> str:
    sure = f"{sureness(s.left_chance)} sure"
    if s.chilled is None:
        return sure
    when = "as it was when its temperature was last known" if s.temp_c is None else "as it was when it was chilled"
    return f"{when}, {'by where it should end' if s.chilled.by_expected else sure}"


def _place(s: Snapshot, u: Units) -> _Line:
    limit = None if s.must_reach is None else 1.0 + s.must_reach / 1000.0
    if s.gravity is None:
        return None, limit, "SG", _nothing_usable(s)
    if s.expected is None or s.must_reach is None:
        return (
            1.0 + s.gravity / 1000.0, limit, "SG",
            "Neither original gravity nor an expected end is known, so a stop cannot be told from a stall.",
        )  # fmt: skip
    e = s.expected
    source = {
        "forced test": "by the forced ferment test",
        "recipe": "by the recipe",
        "attenuation": "by the attenuation expected",
        "yeast in general": "by what yeast generally does, since no end was entered",
    }[e.source]
    end = value_range(u.level(e.low, 3), u.level(e.high, 3))
    says = f"Gravity is {u.level(s.gravity)}; {source} it should end at {end}, and up to {u.level(e.ceiling)} passes."
    if s.must_reach < s.gravity <= e.ceiling:
        says += f" But more has yet to ferment: here it must first come down to {u.level(s.must_reach)}."
    if s.sampled_gravity is not None and s.gravity <= s.must_reach < s.sampled_gravity:
        says += f" But the last hand sample puts it at {u.level(s.sampled_gravity)}, and samples outrank the sensor."
    says += _mended(s, u) + _forced(s, u)
    if s.answer is not None:
        says += f" {answer_says(s.answer, u)}"
    if s.original is not None and not s.original_measured:
        says += f" Original gravity was not measured; {u.level(s.original, 3)} is the sensor's own."
    return 1.0 + s.gravity / 1000.0, limit, "SG", says


def _mended(s: Snapshot, u: Units) -> str:
    """What the sensor reads wrong, and by what that is known; empty where nothing is."""
    wrong = []
    if abs(s.reads_high) >= _TOLD_POINTS:
        wrong.append(f"{u.difference(abs(s.reads_high))} {'high' if s.reads_high > 0.0 else 'low'}")
    if abs(s.scale - 1.0) >= _TOLD_SCALE:
        wrong.append(f"{100.0 * abs(s.scale - 1.0):.0f} % too {'steep' if s.scale > 1.0 else 'flat'}")
    if not wrong:
        return ""
    by = f"{_number(s.samples)} hand samples" if s.samples > 1 else s.offset_known_by
    mended = "mended" if len(wrong) > 1 or s.samples > 1 else "taken off" if s.reads_high > 0.0 else "added"
    return f" By {by} the sensor reads {' and '.join(wrong)}, which is {mended} here."


def _forced(s: Snapshot, u: Units) -> str:
    """What is odd about the forced ferment test; empty where nothing is."""
    e = s.expected
    if s.tested_above is not None:
        return (
            f" A forced ferment test is noted as ended at {u.level(s.tested_above, 3)}, no lower than the original "
            "gravity: it does not count. Was it the wort that was read, or another unit?"
        )
    if e is None or s.gravity is None or e.source != "forced test" or s.gravity >= e.low - _BELOW_SDS * s.gravity_sd:
        return ""
    return (
        f" The beer has fallen {u.difference(e.low - s.gravity)} below that: the test had not ended when it was read, "
        "sugar went in since, or something other than its yeast works here."
    )


def _number(count: int) -> str:
    return {1: "one", 2: "two", 3: "three", 4: "four"}.get(count, str(count))


def _settled(s: Snapshot, u: Units) -> str:
    """What samples have settled between themselves and the sensor; empty where nothing."""
    if s.outvoted:
        return (
            " What was measured by hand agrees against what the sensor said before: it has shifted, or its start was "
            "wrong, and the samples count."
        )
    if s.odd_sample is None:
        return ""
    others = "other" if s.samples == 1 else f"other {_number(s.samples)}"
    say = "the sensor says" if not s.samples else f"the {others} and the sensor say"
    return (
        f" The hand sample of {u.moment(s.odd_sample.at_us)} lies {_apart(s.odd_sample.above, u)} what {say}: it is "
        "left out."
    )


def answer_says(answer: TemperatureAnswer, u: Units) -> str:
    """What is taken off of a sensor's answer to temperature, and how it is known.

    >>> answer = TemperatureAnswer(points_per_k=-0.36, sd=0.05, reference_c=20.0, hours=90, learned_us=0)
    >>> answer_says(answer, Units(temperature="F"))
    'This sensor reads 0.20 points lower for each °F warmer, learned from 1 batch, which is taken off.'
    """
    by = "lower" if answer.points_per_k < 0.0 else "higher"
    return (
        f"This sensor reads {u.per_degree(answer.points_per_k)} {by} for each °{u.temperature} warmer, learned from "
        f"{counted(answer.batches, 'batch', 'batches')}, which is taken off."
    )


def _warm(s: Snapshot, u: Units) -> _Line:
    if s.temp_c is None:
        if s.unseen_h is None and not s.untempered:
            return None, s.yeast_min_c, "Cel", _nothing_usable(s)
        return None, s.yeast_min_c, "Cel", "The log gives no temperature, so cold yeast cannot be ruled out."
    source = "as entered" if s.yeast_min_given else f"taken as {u.temp_difference(5.0)} below this batch's usual"
    says = f"It is {u.temp(s.temp_c)}; this yeast needs {u.temp(s.yeast_min_c)} ({source})."
    if s.noted_cold:
        says = "A cold crash is noted and the log gives no temperature: it counts as cold until `warm` is noted."
    hidden = "" if s.chilled is None else f" {_hidden(s.chilled, s, u)}"
    return s.temp_c, s.yeast_min_c, "Cel", f"{says} Colder hours are not counted.{hidden}"


def _hidden(chilled: Chilled, s: Snapshot, u: Units) -> str:
    how = "by where it should end" if chilled.by_expected else f"{sureness(s.left_chance)} sure"
    awaited = f" What the {chilled.awaited} brings need not be among them." if chilled.awaited else ""
    some = "hardly anything was" if u.rounds_away(chilled.left) else f"about {u.difference(chilled.left)} were"
    return (
        f"Cold stops the yeast, so holding still proves nothing now: at {u.moment(chilled.at_us)}, before it was "
        f"chilled, {some} still to fall, at most {u.difference(chilled.left_upper)} "
        f"({how}), and they will ferment when the beer or its bottles get warm.{awaited}"
    )


def _undisturbed(s: Snapshot, u: Units) -> _Line:
    counted_h, since = max(s.counted_h - 1, 0), f"since {u.moment(s.restarted_us)} ({s.restarted_by})"
    says = f"{counted_h} proving hours counted, {s.needed_h} needed, {since}."
    if s.interrupted_us is not None:
        says = (
            f"{counted_h} proving hours counted {since}, {s.needed_h} needed: what was proved before the gap in the "
            f"log up to {u.moment(s.interrupted_us)} counts, but some more must be seen after it."
        )
    return float(counted_h), float(s.needed_h), "h", says


def _seen(s: Snapshot, u: Units) -> _Line:
    if s.unseen_h is None:
        return None, s.unseen_limit_h, "h", _nothing_usable(s)
    says = (
        "The sensor was heard in this hour."
        if s.unseen_h < 1.0
        else f"The last usable reading is {u.hours(s.unseen_h)} old (limit {u.hours(s.unseen_limit_h)})."
    )
    return s.unseen_h, s.unseen_limit_h, "h", says


def _believable(s: Snapshot, u: Units) -> _Line:
    if s.level is None:
        return None, None, "SG", _nothing_usable(s)
    if s.split is not None:
        return (s.split.least - s.split.low) / 1000.0, None, "SG", _another(s.split, u)
    if s.disagreement:
        return (
            s.disagreement / 1000.0, None if s.disputed_from is None else s.disputed_from / 1000.0, "SG",
            f"The hand sample lies {_apart(s.disagreement, u)} what the sensor said: one of the two is wrong. "
            "Take another, degassed; it decides.",
        )  # fmt: skip
    if s.start_disagreement:
        return (
            s.start_disagreement / 1000.0, LARGEST_POINTS / 1000.0, "SG",
            f"The sensor began {_apart(s.start_disagreement, u)} the original gravity: more than an offset. "
            "Is the log's unit stated rightly, is it this batch's?",
        )  # fmt: skip
    if s.rising:
        return (
            s.moved / 1000.0, -s.tolerance / 1000.0, "SG",
            f"Gravity rises by {u.difference(-s.moved)} in {s.window_h} h, which beer does not: a deposit on the "
            "sensor, its drift, or something added.",
        )  # fmt: skip
    if not s.passed["believable"]:
        return (
            s.same_h, None, "h",
            f"Gravity and temperature have both been exactly the same for {u.hours(s.same_h)}: the sensor or its "
            "gateway repeats itself.",
        )  # fmt: skip
    free = f"The sensor moves as one that floats free does.{_settled(s, u)}"
    return s.moved / 1000.0, -s.tolerance / 1000.0, "SG", free


def _another(split: Split, u: Units) -> str:
    return (
        f"Another batch seems to have begun in this vessel: the sensor read down to {u.level(split.low, 3)}, the last "
        f"of it up to {u.moment(split.last_us)}, and from {u.moment(split.began_us)} on at least "
        f"{u.level(split.least, 3)}, which nothing noted explains. All after that may be another beer's; nothing is "
        "split unless you do it."
    )


def reason(verdict: Verdict, seen: Snapshot, units: Units | None = None) -> str:
    """Why the verdict is what it is."""
    u = units or Units()
    by_hand = None if seen.hand is None else hand_reason(verdict, seen, seen.hand, u)
    if by_hand is not None:
        return by_hand
    checks = {c.check: c for c in evidence(seen, u)}
    gravity = "unknown" if seen.gravity is None else u.level(seen.gravity)
    match verdict:
        case "lag":
            return f"Gravity is {gravity} and has not begun to fall; this is lag, not an end."
        case "fermenting":
            if seen.moved < _HARDLY_POINTS:
                return f"Gravity is {gravity} and hardly falls any more, but it has not been seen to hold still yet."
            return f"Gravity is {gravity} and falls by about {u.difference(seen.moved)} in {seen.window_h} h."
        case "holding":
            to_go = "some time" if seen.hours_to_go is None else f"about {seen.hours_to_go} h"
            failing = [c for c in checks.values() if not c.passed]
            why = f" Still open: {', '.join(c.check for c in failing)}." if failing else ""
            return f"Gravity is {gravity} and seems to hold; {to_go} of proof to go.{why}"
        case "ready":
            return _why_ready(seen, checks, gravity, u)
        case "stalled":
            says = f"Gravity holds still at {gravity}, but that is too high. {checks['where it should be'].says}"
            if seen.expected is not None and seen.expected.source == "yeast in general":
                return says + " Stuck, or a wort that ferments poorly: a forced ferment test tells."
            return says + " Stuck, or the entry is wrong: correct it or take a sample."
        case "too cold":
            return f"Gravity holds still, but the yeast sleeps. {checks['warm enough'].says}"
        case "moving again":
            return f"Gravity moves again after it was ready: now {gravity}. Do not package."
        case "packaged":
            return "This batch has been packaged."
        case "unclear":
            return _why_unclear(seen, checks, u)


def _why_ready(seen: Snapshot, checks: dict[CheckName, Check], gravity: str, u: Units) -> str:
    open_ = [name for name, check in checks.items() if not check.passed]
    if seen.ready_gravity is None or not open_:
        return f"Gravity has held still at {gravity}, where this beer should end. {checks['little left'].says}"
    return (
        f"Proved when gravity held still at {u.level(seen.ready_gravity)}, where this beer should end. Not all checks "
        f"hold now ({', '.join(open_)}); what has changed since does not undo that proof."
    )


_UNTEMPERED = "The log gives no temperature, without which no gravity in it can be corrected or judged."


def _why_unclear(seen: Snapshot, checks: dict[CheckName, Check], u: Units) -> str:
    if seen.untempered:
        return _UNTEMPERED
    if seen.unseen_h is None:
        if not seen.passed_over:
            return "No usable reading of this batch yet."
        mostly = why_passed_over(seen.passed_over_mostly or "", u)
        return f"None of {seen.passed_over} readings could be used, mostly for this: {mostly}." + (
            "" if wants_calibration(seen) else " Is the log's unit stated rightly?"
        )
    for name in ("believable", "seen", "warm enough", "where it should be"):
        check = checks[name]
        if not check.passed and name == "where it should be" and seen.under_pressure:
            return f"The vessel is sealed, and pressure lifts a reading by several points. {check.says}"
        if not check.passed:
            return check.says
    return checks["flat"].says
