"""An alert as an event for programs [CloudEvents 1.0, JSON format]."""

from __future__ import annotations

import msgspec

from lullwort.detector import Judged, changes_when, reason
from lullwort.records import Alert, format_utc, key64

__all__ = ["MEDIA_TYPE", "cloud_event", "verdict_event"]

MEDIA_TYPE = "application/cloudevents+json"

_UNSIGNED = 0xFFFFFFFFFFFFFFFF
_OF_A_VERDICT = ("ready", "stalled", "too cold")


def verdict_event(judged: Judged, source: str) -> bytes:
    """The verdict that stands, as structured JSON."""
    change_us = judged.history[-1].at_us if judged.history else judged.as_of_us
    name, now = judged.batch.name, judged.now
    return msgspec.json.encode(
        {
            "specversion": "1.0",
            "id": f"{key64(name, judged.verdict, str(change_us)) & _UNSIGNED:016x}",
            "source": source,
            "type": "lullwort.verdict.changed",
            "subject": judged.batch.vessel,
            "time": format_utc(change_us),
            "datacontenttype": "application/json",
            "data": {
                "vessel": judged.batch.vessel, "batch": name, "verdict": judged.verdict,
                "reason": reason(judged.verdict, now), "changes_when": changes_when(judged.verdict, now),
                "as_of": format_utc(judged.as_of_us),
                "hours_to_go": now.hours_to_go if judged.verdict == "holding" else None,
                "ready_at": None if judged.ready_us is None else format_utc(judged.ready_us),
            },
        }
    )  # fmt: skip


def cloud_event(alert: Alert, source: str) -> bytes:
    """Structured JSON; sent again it has the same id, by which a receiver knows it.

    Args:    source: a URI-reference that says which cellar this is.
    """
    kind = "lullwort.verdict.changed" if alert.kind in _OF_A_VERDICT else "lullwort.alert"
    subject = {"subject": about} if (about := alert.vessel or alert.sensor) else {}
    return msgspec.json.encode(
        {
            "specversion": "1.0",
            "id": f"{alert.key & _UNSIGNED:016x}",
            "source": source,
            "type": kind,
            **subject,
            "time": format_utc(alert.at_us),
            "datacontenttype": "application/json",
            "data": {
                "kind": alert.kind, "on": alert.on, "vessel": alert.vessel, "batch": alert.batch,
                "sensor": alert.sensor, "title": alert.title, "says": alert.says, "urgent": alert.urgent,
                **alert.data,
            },
        }
    )  # fmt: skip
