"""What would change a verdict, and what would turn each check behind it: the other half of the reasons."""

from __future__ import annotations

from lullwort.counting import counted
from lullwort.detector.brewerunits import Units
from lullwort.detector.handturns import hand_changes_when, hand_check_changes_when
from lullwort.detector.snapshot import CheckName, Snapshot, Verdict, wants_calibration
from lullwort.detector.wording import sureness

__all__ = ["changes_when", "check_changes_when"]

_ENTRY = "Enter a higher end only if a forced ferment test or the recipe shows it: what still ferments bursts bottles."
_FIRST_READING = "Holds at the earliest with the first usable readings."


def changes_when(verdict: Verdict, seen: Snapshot, units: Units | None = None) -> str:
    """What would change this verdict, from what was known when it stood; cautions stand where they apply."""
    u = units or Units()
    by_hand = None if seen.hand is None else hand_changes_when(verdict, seen, seen.hand, u)
    if by_hand is not None:
        return by_hand
    match verdict:
        case "lag":
            return _lag(seen, u)
        case "fermenting":
            return _fermenting(seen, u)
        case "holding":
            return _holding(seen)
        case "ready":
            return _ready(seen, u)
        case "stalled":
            return _stalled(seen, u)
        case "too cold":
            ends = "`warm` noted" if seen.noted_cold else f"One hour at {u.temp(seen.yeast_min_c)} or warmer"
            return (
                f"{ends} ends this; `ready` then needs "
                f"{_more_proof(seen)}, and warming by several degrees begins the proof anew ({seen.window_h} h)."
            )
        case "moving again":
            return _moving_again(seen, u)
        case "packaged":
            return "Only another date of packaging, where this one was entered wrongly (`lullwort batch close`)."
        case "unclear":
            return _unclear(seen, u)


def check_changes_when(check: CheckName, seen: Snapshot, units: Units | None = None) -> str:
    """What would turn this check: have it hold if it fails, have it fail if it holds."""
    u = units or Units()
    by_hand = None if seen.hand is None else hand_check_changes_when(check, seen, seen.hand, u)
    if by_hand is not None:
        return by_hand
    match check:
        case "flat":
            return _flat(seen, u)
        case "little left":
            return _little_left(seen, u)
        case "where it should be":
            return _place(seen, u)
        case "warm enough":
            return _warm(seen, u)
        case "undisturbed":
            return _undisturbed(seen)
        case "seen":
            return _seen(seen, u)
        case "believable":
            return _believable(seen, u)


# -- the checks --------------------------------------------------------------------------------------------------------


def _first_reading(s: Snapshot) -> str:
    return "Holds at the earliest once a temperature is known." if s.untempered else _FIRST_READING


def _flat(s: Snapshot, u: Units) -> str:
    if s.level is None:
        return _first_reading(s)
    tolerance, limit, window = u.difference(s.tolerance), u.difference(s.moved_limit), f"{s.window_h} h"
    if s.passed["flat"]:
        return (
            f"Fails if gravity moves by more than {tolerance} over {s.window_h} proving hours, or could fall more than "
            f"{limit} in {window}; and whenever the proof begins anew."
        )
    wanted = []
    if s.counted_h <= s.window_h:
        wanted.append(f"after {_proving(s.window_h + 1 - s.counted_h)}")
    if abs(s.fell) > s.tolerance:
        wanted.append(f"once gravity has moved by at most {tolerance} over {s.window_h} proving hours")
    if s.moved_upper > s.moved_limit:
        wanted.append(f"once it can fall at most {limit} in {window} (now {u.difference(s.moved_upper)})")
    if 2.0 * s.moved - s.moved_upper < -s.tolerance:  # as far below what is likely as `moved_upper` is above
        wanted.append(f"once it can rise at most {tolerance} in {window}")
    return f"Holds {', and '.join(wanted) or 'with the next hour'}."


def _little_left(s: Snapshot, u: Units) -> str:
    limit = u.difference(s.left_limit)
    if s.level is None:
        return _first_reading(s)
    if s.passed["little left"]:
        return f"Fails once more than {limit} could be left: if gravity falls faster, or something wakes the yeast."
    if s.chilled is not None:
        return f"Holds at the earliest once it is warm again, and then once at most {limit} can be left."
    return (
        f"Holds once at most {limit} can be left ({sureness(s.left_chance)} sure; now {u.difference(s.left_upper)}): "
        "each hour that gravity holds still lowers it."
    )


def _place(s: Snapshot, u: Units) -> str:
    if s.expected is None or s.must_reach is None:
        return "Holds at the earliest once an original gravity, an expected end or a forced ferment test is entered."
    if s.gravity is None:
        return _first_reading(s)
    if s.passed["where it should be"]:
        return (
            f"Fails if a hand sample reads above {u.level(s.expected.ceiling)}, if sugar or fruit goes in, or if a "
            "forced ferment test or a corrected entry puts the end lower."
        )
    if s.must_reach < s.expected.ceiling:
        return f"Holds once gravity has come down to {u.level(s.must_reach)}, for more has yet to ferment."
    says = f"Holds once gravity, or a hand sample, is at most {u.level(s.must_reach)}."
    return f"{says} {_ENTRY}" if s.passed["flat"] else says


def _warm(s: Snapshot, u: Units) -> str:
    least = u.temp(s.yeast_min_c)
    if s.temp_c is None:
        return "Holds at the earliest once the log has temperatures, or the vessel's steady temperature is entered."
    if s.passed["warm enough"]:
        return f"Fails below {least}; such hours prove nothing."
    if s.noted_cold:
        return "Holds once `warm` is noted, or once the log has temperatures."
    says = f"Holds with the first hour at {least} or warmer."
    return says if s.yeast_min_given else says + " If this yeast is known to work colder, enter its minimum."


def _undisturbed(s: Snapshot) -> str:
    anew = (
        "a dry hop, sugar or fruit, rousing, warming, sealing, another place or sensor, or a step in gravity or in "
        f"temperature ({s.window_h} h, after a dry hop {s.hop_watch_h} h)"
    )
    if s.passed["undisturbed"]:
        return f"Begins anew with {anew}."
    return f"Holds after {_more_proof(s)}: warm and seen. Begins anew with {anew}."


def _seen(s: Snapshot, u: Units) -> str:
    if s.untempered:
        return _first_reading(s)
    if not s.passed["seen"]:
        return "Holds with the next usable reading: see to the sensor's battery, its place and its link."
    # A `ready` that was proved stands through any silence.
    fresh, silent = u.hours(s.unseen_limit_h), u.hours(s.silent_limit_h)
    unclear = f"; after more than {silent} the verdict is unclear" if s.ready_down_to is None else ""
    return f"Fails after more than {fresh} without a usable reading{unclear}."


def _believable(s: Snapshot, u: Units) -> str:
    if s.level is None:
        return _first_reading(s)
    if s.passed["believable"]:
        apart = s.disputed_from
        sample = "" if apart is None else f"if a hand sample differs from the sensor by {_more_than(apart, u)}, "
        return (
            f"Fails {sample}if gravity rises by more than {u.difference(s.tolerance)} in {s.window_h} h, or if "
            "gravity and temperature stay exactly the same for many hours."
        )
    if s.split is not None:
        return (
            "Holds once this batch is closed at the latest when the other began, once that one is entered, or once an "
            "addition is noted that explains the rise."
        )
    if s.disagreement:
        return (
            "Holds with a further degassed hand sample that agrees with the sensor or with the one before it; the odd "
            "one is then left out."
        )
    if s.start_disagreement:
        return "Holds with a degassed hand sample, or once the log's unit, vessel or original gravity is put right."
    if s.rising:
        return (
            f"Holds once gravity rises by at most {u.difference(s.tolerance)} in {s.window_h} h for certain: see "
            "whether something lies on the sensor."
        )
    return "Holds once gravity or temperature changes again: see to the sensor and its gateway."


# -- the verdicts ------------------------------------------------------------------------------------------------------


def _lag(s: Snapshot, u: Units) -> str:
    return f"Fermenting once gravity has fallen by more than {u.difference(s.begun_fall)} from its start."


def _fermenting(s: Snapshot, u: Units) -> str:
    if s.must_reach is None:
        return "Once it stops it is unclear, for no end is known: enter the original gravity or where it should end."
    return (
        f"Holding once gravity is at most {u.level(s.must_reach)} and falls by at most {u.difference(s.tolerance)} in "
        f"{s.window_h} h; still for {s.window_h} proving hours above that, stalled."
    )


def _holding(s: Snapshot) -> str:
    open_ = [name for name, passed in s.passed.items() if not passed]
    in_a_row = (
        "" if s.agree_needed_h == 1 else f" for {counted(s.agree_needed_h, 'hour')} in a row ({s.agree_h} so far)"
    )
    says = "Ready once "
    if open_:
        named = [f"{name} ({_more_proof(s)})" if name == "undisturbed" else name for name in open_]
        says += f"{_listed(named)} {'holds' if len(open_) == 1 else 'hold'}, too, and "
    says += f"all seven checks have held together{in_a_row}"
    if s.hours_to_go is not None:
        says += f": in about {counted(s.hours_to_go, 'hour')} if nothing disturbs the beer"
    return f"{says}."


def _ready(s: Snapshot, u: Units) -> str:
    down_to = "" if s.ready_down_to is None else f"gravity below {u.level(s.ready_down_to)} for some hours, "
    sample = "a hand sample"
    if s.expected is not None:
        sample += f" above {u.level(s.expected.ceiling)}"
        if s.disputed_from is not None:
            sample += f" or {_more_than(s.disputed_from, u)} from the sensor"
    return (
        "Taken back by a dry hop, sugar or fruit, rousing, warming or sealing, by a step up in gravity or, while the "
        f"yeast is warm, in temperature; by {down_to}a fall of more than {u.difference(s.moved_limit)} in "
        f"{s.window_h} h for certain, or {sample}. A cold crash or a silent sensor does not take it back, and proves "
        "nothing more."
    )


def _stalled(s: Snapshot, u: Units) -> str:
    again = "Warming and rousing may set it off again; noting them begins the proof anew."
    if s.must_reach is None or s.expected is None:
        return again
    if s.must_reach < s.expected.ceiling:
        return f"Gravity must come down to {u.level(s.must_reach)}, for more has yet to ferment. {again}"
    entry = {
        "forced test": "or the forced ferment test made again, if it ends near here",
        "recipe": "a forced ferment test that ends near here, or an expected end corrected because it was wrong",
        "attenuation": "a forced ferment test that ends near here, or an attenuation corrected because it was wrong",
        "yeast in general": "a forced ferment test that ends near here, or the end that the recipe gives",
    }[s.expected.source]
    return f"A hand sample of at most {u.level(s.must_reach)}, {entry}. {again}"


def _moving_again(s: Snapshot, u: Units) -> str:
    at_most = "" if s.must_reach is None else f"is at most {u.level(s.must_reach)}, "
    return (
        f"Holding again once gravity {at_most}falls by at most {u.difference(s.tolerance)} in {s.window_h} h and half "
        f"a hold window is proved; ready only when the whole proof has run anew ({_more_proof(s)})."
    )


def _unclear(s: Snapshot, u: Units) -> str:
    if s.untempered:
        return "Temperatures in the log, or the vessel's steady temperature: what is stored is then judged anew."
    if s.unseen_h is None:
        if wants_calibration(s):
            return "A calibration of its sensor that reaches as far as what it reports."
        if s.passed_over:
            return "Readings that can be used: the log stored again with its right units, say."
        return "The first usable readings of this batch."
    causes: list[CheckName] = []
    if s.unseen_h > s.silent_limit_h:
        causes.append("seen")
    if s.temp_c is None:
        causes.append("warm enough")
    if not s.passed["believable"]:
        causes.append("believable")
    if s.expected is None or s.under_pressure:
        causes.append("where it should be")
    says = [f"{cause.capitalize()}: {check_changes_when(cause, s, u)}" for cause in causes]
    return " ".join(["Another verdict once this is settled.", *says])


# -- parts of sentences ------------------------------------------------------------------------------------------------


def _more_than(points: float, u: Units) -> str:
    return f"more than {u.difference(points)}"


def _more_proof(s: Snapshot) -> str:
    more_h = s.needed_h + 1 - s.counted_h
    return _proving(more_h) if more_h > 0 else "no more proving hours"


def _proving(more_h: int) -> str:
    return counted(more_h, "more proving hour")


def _listed(names: list[str]) -> str:
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)
