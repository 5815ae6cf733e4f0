"""An alert as an event for programs [CloudEvents 1.0, JSON format]."""

from __future__ import annotations

import msgspec

from lullwort.records import Alert, format_utc

__all__ = ["MEDIA_TYPE", "cloud_event"]

MEDIA_TYPE = "application/cloudevents+json"

_OF_A_VERDICT = ("ready", "stalled", "too cold")


def cloud_event(alert: Alert, source: str) -> bytes:
    """Structured JSON; sent again it has the same id, by which a receiver knows it.

    Args:    source: a URI-reference that says which cellar this is.
    """
    kind = "lullwort.verdict.changed" if alert.kind in _OF_A_VERDICT else "lullwort.alert"
    subject = {"subject": about} if (about := alert.vessel or alert.sensor) else {}
    return msgspec.json.encode(
        {
            "specversion": "1.0",
            "id": f"{alert.key & 0xFFFFFFFFFFFFFFFF:016x}",
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
