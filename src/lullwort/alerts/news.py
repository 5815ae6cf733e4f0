"""What changed against what people were told: each change is told once."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import msgspec

from lullwort.alerts.wording import over
from lullwort.records import OF_A_MOMENT, Alert, Subject

__all__ = ["news"]


def news(now: Sequence[Alert], standing: Mapping[Subject, Alert], watched: Collection[str], now_us: int) -> list[Alert]:
    """Alerts to send: for each condition that has begun, and for each that is over and whose end is worth a word.

    Args:
        now:      the conditions that hold, all of them on.
        standing: the newest alert of each subject; those that are off are over already.
        watched:  batches and sensors that were looked at; of all others nothing is known, so nothing of them is over.
        now_us:   [µs] of the end of what is over.
    """
    holding = {alert.subject for alert in now}
    begun = [alert for alert in now if (before := standing.get(alert.subject)) is None or not before.on]
    ended = [
        msgspec.structs.replace(alert, on=False, at_us=now_us, **over(alert))
        for alert in standing.values()
        if alert.on
        and alert.subject not in holding
        and _who(alert) in watched
        and alert.kind not in OF_A_MOMENT
        # That a stalled beer is ready says that it is stalled no longer.
        and not (alert.kind == "stalled" and ("ready", alert.about) in holding)
    ]
    return ended + begun


def _who(alert: Alert) -> str:
    return alert.batch or alert.sensor
