"""The JSON document of `--dry-run`: how a log would be read, for programs that ask before they store."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from lullwort.cli.triedlog import FirstRow, TriedLog
from lullwort.collector import VesselSurvey
from lullwort.records import SetAside, format_utc

__all__ = ["aside_documents", "dry_run_document", "vessel_documents"]

_MOST, _MOST_ASIDE, _MOST_GAPS = 200, 50, 20
"""What is more is counted, and not listed: a hostile log may name a vessel a row."""
_WORDS = 300
"""[characters] of one text of the log."""


def dry_run_document(tried: TriedLog) -> dict[str, Any]:
    """Of one file: times in UTC, values in the log's own units, which `mapping` names."""
    proposal = tried.proposal
    mapping = msgspec.to_builtins(proposal.mapping.as_readings_file())
    return {
        "file": str(tried.path),
        "readable": proposal.readable,
        "mapping": {**mapping, "zone": proposal.mapping.zone},
        "found": _texts(proposal.found),
        "columns": _texts(proposal.columns),
        "doubts": [{"field": one.field, "says": _text(one.says), "options": one.options} for one in proposal.doubts],
        "unzoned": _text(proposal.unzoned),
        "first": list(map(_row, tried.first)),
        "vessels": vessel_documents(tried.vessels),
        "vessel_count": len(tried.vessels),
        "reading_count": sum(found.readings for found in tried.vessels.values()),
        "remarks": _texts(tried.remarks),
        "set_aside": aside_documents(tried.set_aside),
        "set_aside_count": len(tried.set_aside),
    }


def aside_documents(rows: Iterable[SetAside]) -> list[dict[str, Any]]:
    """The first of the rows that are no readings: place, what was seen, and what was expected."""
    return [
        {
            "place": row.place, "line": row.line or None, "column": _text(row.column), "seen": _text(row.seen),
            "expected": _text(row.expected), "row": _text(row.raw_text),
        }
        for row in list(rows)[:_MOST_ASIDE]
    ]  # fmt: skip


def vessel_documents(vessels: Mapping[str, VesselSurvey]) -> list[dict[str, Any]]:
    """What there is of the first vessels."""
    return [_vessel(name, found) for name, found in list(vessels.items())[:_MOST]]


def _row(row: FirstRow) -> dict[str, Any]:
    return {
        "at": format_utc(row.at_us), "vessel": row.vessel, "sensor": row.sensor, "gravity": _number(row.gravity),
        "temperature": _number(row.temperature),
    }  # fmt: skip


def _vessel(name: str, found: VesselSurvey) -> dict[str, Any]:
    return {
        "vessel": name,
        "readings": found.readings,
        "from": format_utc(found.first_us),
        "to": format_utc(found.last_us),
        "step_s": _number(found.step_s),
        "gaps": [{"from": format_utc(a), "to": format_utc(b)} for a, b in found.gaps[:_MOST_GAPS]],
        "gap_count": len(found.gaps),
        "repeated": found.repeated,
        "unsorted": found.unsorted,
        "gravity": _range(found.gravity),
        "temperature": _range(found.temperature),
    }


def _range(ends: tuple[float, float]) -> dict[str, float] | None:
    low, high = map(_number, ends)
    return None if low is None or high is None else {"low": low, "high": high}


def _number(value: float) -> float | None:
    return None if value != value else value


def _texts(texts: Iterable[str]) -> list[str]:
    return [_text(text) for text in list(texts)[:_MOST]]


def _text(text: str) -> str:
    return text if len(text) <= _WORDS else f"{text[:_WORDS]}…"
