"""How each batch on record stands: judged, foreseen, beside its repeats, and what it would come to if sealed now."""

from __future__ import annotations

from lullwort.standing.alerts import standing_alerts
from lullwort.standing.entry import Entry, owned_span, owned_until
from lullwort.standing.foreseeing import foreseen_by_book, foreseen_by_readings
from lullwort.standing.judging import entered_to_us, judge_book, judge_readings
from lullwort.standing.repeats import MOST_REPEATS, Repeat, by_pitch, judged_repeats, over_before
from lullwort.standing.sealednow import TOO_MUCH, co2_about, in_sealed_vessel, sealed_now, sealed_says, unsaid

__all__ = [
    "MOST_REPEATS",
    "TOO_MUCH",
    "Entry",
    "Repeat",
    "by_pitch",
    "co2_about",
    "entered_to_us",
    "foreseen_by_book",
    "foreseen_by_readings",
    "in_sealed_vessel",
    "judge_book",
    "judge_readings",
    "judged_repeats",
    "over_before",
    "owned_span",
    "owned_until",
    "sealed_now",
    "sealed_says",
    "standing_alerts",
    "unsaid",
]
