"""How fresh an answer is: whether it waits for a first reading, or rests on readings that ended long ago."""

from __future__ import annotations

from lullwort.card.known.facts import BatchFacts
from lullwort.records import HOUR_US, is_drill

__all__ = ["WAITS", "by_old_readings", "waits"]

WAITS = "waits for its first reading"
"""Stands in the verdict's place."""
_FIRST_US = 6 * HOUR_US
"""[µs] after the pitch; whoever has sent nothing by then has to look after the sensor."""
_OLD_US, _DAY_US = 48 * HOUR_US, 24 * HOUR_US


def waits(facts: BatchFacts, now_us: int) -> bool:
    """Whether a batch was pitched some hours ago at most, and nothing was measured of it yet.

    Args:    now_us: [µs].
    """
    return facts.unmeasured and 0 <= now_us - facts.batch.pitched_us < _FIRST_US


def by_old_readings(facts: BatchFacts, heard_us: int | None, now_us: int) -> str:
    """That an answer is by readings that ended more than two days ago; empty where it is not, or is one for good. A
    drill's are invented, and it says so.

    Args:    heard_us: [µs] of the newest reading of its vessel; None where nothing was heard.
             now_us:   [µs].
    """
    judged = facts.judged
    for_good = judged.verdict == "packaged" or facts.over or is_drill(judged.batch)
    if for_good or not judged.used or judged.now.hand is not None:
        return ""
    if heard_us is None or now_us - heard_us <= _OLD_US:
        return ""
    return f"by readings that ended {(now_us - heard_us) // _DAY_US} days ago"
