"""What to do next with a batch that hand samples alone tell of, and what would turn its verdict and its checks."""

from __future__ import annotations

from lullwort.detector.brewerunits import Units
from lullwort.detector.handseen import ByHand
from lullwort.detector.handwords import next_sample
from lullwort.detector.snapshot import CheckName, Snapshot, Verdict

__all__ = ["hand_advice", "hand_changes_when", "hand_check_changes_when"]

_ONE_MORE = "Draw one more sample, degassed, and note it: two that agree decide."


def hand_advice(verdict: Verdict, s: Snapshot, hand: ByHand, u: Units) -> str | None:
    """What to do next; None where what is said of a sensor's holds here, too."""
    match verdict:
        case "lag" | "fermenting" | "holding":
            return "Leave the vessel closed." if hand.next is None else next_sample(hand.next, s.at_us, u)
        case "ready":
            return (
                "Package it. Bottles can burst; seal only rated bottles or vessels, and air the room, for carbon "
                "dioxide gathers."
            )
        case "unclear" if hand.doubted:
            return f"Do not package. {_ONE_MORE}"
        case "stalled":
            return (
                f"Do not package. Warm by {u.temp_differences(2.0, 4.0)} and rouse gently, and note both; a forced "
                "ferment test tells whether anything is left to ferment. If the entry is wrong, correct it."
            )
        case "unclear" if s.expected is None:
            return (
                "Enter the original gravity or where this beer should end (`lullwort batch edit`): without them a stop "
                "cannot be told from a stall."
            )
        case "unclear":
            return "Note the temperature of the sample, or enter the vessel's steady temperature for this batch."
        case _:
            return None


def hand_changes_when(verdict: Verdict, s: Snapshot, hand: ByHand, u: Units) -> str | None:
    """What would change the verdict; None where what is said of a sensor's holds here, too."""
    match verdict:
        case "fermenting" | "holding":
            if s.must_reach is None:
                return None
            return (
                f"Ready once two samples at or below {u.level(s.must_reach)}, at least {s.window_h} h apart and "
                f"undisturbed, show that it falls at most {u.difference(s.moved_limit)} in {s.window_h} h, the error "
                f"of reading them included, and that at most {u.difference(s.left_limit)} can be left."
            )
        case "ready":
            return (
                "Taken back by a dry hop, sugar or fruit, rousing, warming or sealing, and by a further sample that "
                "lies lower by more than reading it explains, or that contradicts the others."
            )
        case "moving again":
            return "Ready again only when two further samples prove it anew."
        case "unclear" if hand.doubted:
            return "Another verdict with one more sample."
        case "unclear" if s.expected is None:
            return "Another verdict once the original gravity, an expected end or a forced ferment test is entered."
        case "unclear":
            return "Another verdict once its temperature is known."
        case _:
            return None


def hand_check_changes_when(check: CheckName, s: Snapshot, hand: ByHand, u: Units) -> str | None:
    """What would turn a check; None where what is said of a sensor's holds here, too."""
    passes = s.passed[check]
    match check:
        case "flat":
            if passes:
                return "Fails if a further sample lies lower by more than reading it explains."
            return (
                f"Holds once samples at least {s.window_h} h apart show that it falls at most "
                f"{u.difference(s.moved_limit)} in {s.window_h} h; the further apart they are, the better they show it."
            )
        case "little left":
            if passes:
                return "Fails if a further sample lies lower, or something wakes the yeast."
            least = u.difference(s.left_limit)
            return f"Holds once at most {least} can be left: a later sample that reads the same shows it."
        case "warm enough":
            if hand.temp_c is None:
                return (
                    "Holds once a sample is noted with its temperature, or the vessel's steady temperature is entered."
                )
            return None
        case "undisturbed":
            anew = "Begins anew with a dry hop, sugar or fruit, rousing, warming or sealing."
            return anew if passes else f"Holds with a sample {hand.needed_h} h after that. {anew}"
        case "seen":
            return "Fails once something disturbs the beer." if passes else "Holds with the next sample."
        case "believable":
            return "Fails if a further sample contradicts the others." if passes else "Holds once two samples agree."
        case _:
            return None
