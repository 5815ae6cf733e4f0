"""What a person is told without asking: which conditions hold, what is news, and its way to phones and programs."""

from __future__ import annotations

from lullwort.alerts.cloudevent import cloud_event, verdict_event
from lullwort.alerts.conditions import BatchSeen, SensorSeen, ServiceSeen, conditions
from lullwort.alerts.delivery import Deliverer, Senders
from lullwort.alerts.news import news
from lullwort.alerts.quiet import Quiet
from lullwort.alerts.settings import TOLD_TO_NOBODY, AlertSettings, checked_alerts
from lullwort.alerts.wording import clock_set, digest, trial

__all__ = [
    "TOLD_TO_NOBODY",
    "AlertSettings",
    "BatchSeen",
    "Deliverer",
    "Quiet",
    "Senders",
    "SensorSeen",
    "ServiceSeen",
    "checked_alerts",
    "clock_set",
    "cloud_event",
    "conditions",
    "digest",
    "news",
    "trial",
    "verdict_event",
]
