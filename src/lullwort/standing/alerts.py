"""Which alerts stand, and wait for somebody."""

from __future__ import annotations

from lullwort.cellarbook import Book, Posted
from lullwort.records import Alert

__all__ = ["standing_alerts"]


def standing_alerts(book: Book) -> list[Posted]:
    """Those of what is so now, newest first; of beer that is packaged, and of sensors beside it, nothing waits."""
    under_way = [batch for batch in book.batches.all() if batch.packaged_us is None]
    names, vessels = {batch.name for batch in under_way}, {batch.vessel for batch in under_way}

    def waits(alert: Alert) -> bool:
        if alert.batch:
            return alert.batch in names
        return not alert.sensor or alert.vessel in vessels

    return [posted for posted in book.outbox.standing_on() if waits(posted.alert)]
