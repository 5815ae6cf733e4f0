"""The JSON document of commands that judge: fixed names that other programs rely on."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from lullwort.cli.explaining import as_documents
from lullwort.cli.sealingdocument import limit_document, sealing_document
from lullwort.detector import (
    Change,
    NextSample,
    Snapshot,
    Split,
    Verdict,
    changes_when,
    check_changes_when,
    evidence,
    if_sealed,
    reason,
    two_day_rule,
)
from lullwort.explained import Explained
from lullwort.forecast import Forecast, Span
from lullwort.packaging_day import Estimate, Sealing, present_gravity, sealing_now, strength_so_far
from lullwort.records import format_utc
from lullwort.standing import Entry

__all__ = ["document"]

_NOTHING_FORESEEN = Forecast(0, None, None, (), None, "", "", 0)
NO_BATCH = "No batch is open for these readings: open one, or name a batches file."
_WITH_A_BATCH = "Another verdict once they belong to a batch."


def document(entries: list[Entry], explained: Iterable[Explained] = ()) -> str:
    """The whole document; gravities in SG, temperatures in °C, times in UTC; if given, how figures come about."""
    whole: dict[str, Any] = {"vessels": [_entry(entry) for entry in entries]}
    if told := as_documents(explained):
        whole["explained"] = told
    return json.dumps(whole, indent=2, ensure_ascii=False)


def _entry(entry: Entry) -> dict[str, Any]:
    judged = entry.judged
    if judged is None or entry.batch is None:
        return {
            "vessel": entry.vessel, "batch": None,
            "as_of": None if entry.newest_us is None else format_utc(entry.newest_us),
            "verdict": "unclear", "reason": NO_BATCH, "changes_when": _WITH_A_BATCH,
            "hours_to_go": None, "ready_at": None, "history": [], "evidence": [],
            "gravity": None, "points_left": None, "sealed": None, "abv": None, "split": None,
            "without_batch_after": None, "forecast": _forecast(None), "by_hand": None, "first_sample": None,
            "readings": {"used": 0, "passed_over": 0, "set_aside": entry.set_aside},
        }  # fmt: skip
    now = judged.now
    gravity, strength = present_gravity(now), strength_so_far(now)
    known = gravity is not None and now.split is None
    left = if_sealed(now)
    points_left = {"value": round(left.about, 2), "upper": round(left.at_most, 2)} if known else None
    after_us = entry.without_batch_after_us
    abv = None if strength is None else {name: round(value, 2) for name, value in strength._asdict().items()}
    return {
        "vessel": entry.vessel,
        "batch": entry.batch.name,
        "as_of": format_utc(judged.as_of_us),
        "verdict": judged.verdict,
        "reason": reason(judged.verdict, now),
        "changes_when": changes_when(judged.verdict, now),
        "hours_to_go": now.hours_to_go if judged.verdict == "holding" else None,
        "ready_at": None if judged.ready_us is None else format_utc(judged.ready_us),
        "history": [_change(change) for change in judged.history],
        "evidence": _evidence(now),
        "gravity": None if gravity is None else _in_sg(gravity),
        "points_left": points_left,
        "sealed": _sealed(sealing_now(judged)),
        "abv": abv,
        "split": None if now.split is None else _split(now.split),
        "without_batch_after": None if after_us is None else format_utc(after_us),
        "forecast": _forecast(entry.forecast),
        "by_hand": _by_hand(judged.verdict, now),
        "first_sample": None if now.first_sample is None else _asked(now.first_sample),
        "readings": {
            "used": judged.used,
            "passed_over": sum(judged.passed_over.values()),
            "conflicts": judged.conflicts,
            "set_aside": entry.set_aside,
        },
    }  # fmt: skip


def _sealed(sealing: Sealing | None) -> dict[str, Any] | None:
    """Of a bottle closed now with no sugar added; null where no sums can be made, or no bottle holds it by far."""
    document = sealing_document(sealing)
    return None if sealing is None or document is None else {
        "assumed_c": sealing.assumed_c, **limit_document(sealing.limit), **document
    }  # fmt: skip


def _change(change: Change) -> dict[str, Any]:
    """A change of verdict, with what was known when it came."""
    return {
        "at": format_utc(change.at_us),
        "verdict": change.verdict,
        "reason": reason(change.verdict, change.seen),
        "evidence": _evidence(change.seen),
    }


def _evidence(seen: Snapshot) -> list[dict[str, Any]]:
    return [
        {
            "check": c.check, "passed": c.passed, "value": c.value, "limit": c.limit, "unit": c.unit,
            "since": c.since, "says": c.says, "changes_when": check_changes_when(c.check, seen),
        }
        for c in evidence(seen)
    ]  # fmt: skip


_RANGE_HOLDS = 0.8
"""The chance with which what is foreseen falls from `low` to `high`."""


def _forecast(forecast: Forecast | None) -> dict[str, Any]:
    """What is foreseen; the fields are there where nothing is, too."""
    f = forecast or _NOTHING_FORESEEN
    end, sample = f.end, f.sample
    final = None if end is None else _in_sg(Estimate(value=end.about, low=end.low, high=end.high))
    return {
        **(_span("ready_at", f.ready) if f.ready else dict.fromkeys(("ready_at", "low", "high"))),
        "final_gravity": final,
        "points_left": [{"points": left.points, **_span("at", left.when)} for left in f.left],
        "sample": None if sample is None else {"at": format_utc(sample.at_us), "why": sample.why},
        "unsaid": f.unsaid,
        "moved": f.moved,
        "repeats": f.repeats,
        "range_holds": _RANGE_HOLDS,
    }


def _by_hand(verdict: Verdict, seen: Snapshot) -> dict[str, Any] | None:
    """What the hand samples say, where they alone tell; null for a sensor's batch."""
    hand = seen.hand
    if hand is None:
        return None
    return {
        "openings": {"samples": hand.samples, "others": hand.others},
        "compared": hand.tried,
        "hours_apart": round(hand.apart_h, 2),
        "fell": {"value": round(hand.fell / 1000.0, 5), "sd": round(hand.fell_sd / 1000.0, 5)},
        "left_out": [{"at": format_utc(odd.at_us), "gravity": _sg(odd.points)} for odd in hand.odd],
        "two_day_rule": {"finished": hand.two_day_rule, "says": two_day_rule(verdict, seen)},
        "next_sample": None if hand.next is None else _asked(hand.next),
    }


def _asked(asked: NextSample) -> dict[str, Any]:
    return {
        "from": format_utc(asked.from_us),
        "chance": round(asked.chance, 2),
        "proves": asked.proves,
        "low": _sg(asked.low),
        "high": _sg(asked.high),
    }


def _span(likeliest: str, span: Span) -> dict[str, str]:
    return {likeliest: format_utc(span.about_us), "low": format_utc(span.low_us), "high": format_utc(span.high_us)}


def _split(split: Split) -> dict[str, Any]:
    return {
        "earlier_until": format_utc(split.last_us),
        "later_from": format_utc(split.began_us),
        "gravity_from": round(1.0 + split.low / 1000.0, 5),
        "gravity_to": round(1.0 + split.least / 1000.0, 5),
        "commands": list(split.commands),
    }


def _in_sg(points: Estimate) -> dict[str, float]:
    return {name: _sg(value) for name, value in points._asdict().items()}


def _sg(points: float) -> float:
    return round(1.0 + points / 1000.0, 5)
