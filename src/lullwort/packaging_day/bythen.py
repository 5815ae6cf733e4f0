"""A batch as its record was at an instant."""

from __future__ import annotations

import msgspec

from lullwort.records import Batch, PackagingDay

__all__ = ["batch_by_then"]


def batch_by_then(batch: Batch, as_of_us: int, noted_by_us: int | None = None) -> Batch:
    """The batch without what was noted for later, and without what is done when it is packaged if that is to come.

    Args:    as_of_us: [µs]. noted_by_us: [µs] up to when notes count, where that is another.
    """
    day = batch.packaging_day
    if batch.packaged_us is not None and batch.packaged_us > as_of_us:
        day = PackagingDay(
            target_g_l=day.target_g_l, container=day.container, limit_bar=day.limit_bar, sugar=day.sugar,
            losses_l=day.losses_l, bottles=day.bottles,
        )  # fmt: skip
        batch = msgspec.structs.replace(batch, packaged_us=None, packaging_day=day)
    last_us = as_of_us if noted_by_us is None else noted_by_us
    return msgspec.structs.replace(batch, events=tuple(e for e in batch.events if e.at_us <= last_us))
