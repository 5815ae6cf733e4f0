"""The JSON document of commands that judge: fixed names that other programs rely on."""

from __future__ import annotations

import json
from typing import Any

from lullwort.cli.judging import Entry
from lullwort.detector import Judged, evidence, reason
from lullwort.packaging_day import alcohol_by_volume
from lullwort.records import format_utc

__all__ = ["document", "original_sd"]

_SPREAD = 1.645
# Standard deviations on either side that hold 90 % of a normal distribution.

NO_BATCH = "No batch is open for these readings: open one, or name a batches file."


def document(entries: list[Entry]) -> str:
    """The whole document; gravities in SG, temperatures in °C, times in UTC."""
    return json.dumps({"vessels": [_entry(entry) for entry in entries]}, indent=2, ensure_ascii=False)


def original_sd(judged: Judged) -> float:
    """[points] How far the original gravity may be off: read by hand, or only by the sensor itself."""
    return 0.5 if judged.now.original_measured else 3.0


def _entry(entry: Entry) -> dict[str, Any]:
    judged = entry.judged
    if judged is None or entry.batch is None:
        return {
            "vessel": entry.vessel, "batch": None,
            "as_of": None if entry.newest_us is None else format_utc(entry.newest_us),
            "verdict": "unclear", "reason": NO_BATCH, "hours_to_go": None, "ready_at": None,
            "history": [], "evidence": [], "gravity": None, "points_left": None, "abv": None,
            "forecast": _NO_FORECAST,
            "readings": {"used": 0, "passed_over": 0, "set_aside": entry.set_aside},
        }  # fmt: skip
    now = judged.now
    gravity = points_left = abv = None
    if now.gravity is not None:
        spread = _SPREAD * now.gravity_sd
        gravity = _three(now.gravity, now.gravity - spread, now.gravity + spread)
        points_left = {"value": round(now.left, 2), "upper": round(now.left_upper, 2)}
        if now.original is not None:
            strength = alcohol_by_volume(now.original, now.gravity, original_sd(judged), now.gravity_sd)
            if strength is not None:
                abv = {name: round(value, 2) for name, value in strength._asdict().items()}
    return {
        "vessel": entry.vessel,
        "batch": entry.batch.name,
        "as_of": format_utc(judged.as_of_us),
        "verdict": judged.verdict,
        "reason": reason(judged.verdict, now),
        "hours_to_go": now.hours_to_go if judged.verdict == "holding" else None,
        "ready_at": None if judged.ready_us is None else format_utc(judged.ready_us),
        "history": [{"at": format_utc(change.at_us), "verdict": change.verdict} for change in judged.history],
        "evidence": [
            {
                "check": c.check, "passed": c.passed, "value": c.value, "limit": c.limit, "unit": c.unit,
                "since": c.since, "says": c.says,
            }
            for c in evidence(now)
        ],
        "gravity": gravity,
        "points_left": points_left,
        "abv": abv,
        "forecast": _NO_FORECAST,
        "readings": {
            "used": judged.used,
            "passed_over": sum(judged.passed_over.values()),
            "conflicts": judged.conflicts,
            "set_aside": entry.set_aside,
        },
    }  # fmt: skip


_NO_FORECAST = {"ready_at": None, "low": None, "high": None}


def _three(value: float, low: float, high: float) -> dict[str, float]:
    return {name: round(1.0 + points / 1000.0, 5) for name, points in (("value", value), ("low", low), ("high", high))}
