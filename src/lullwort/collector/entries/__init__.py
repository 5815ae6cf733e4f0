"""What people enter about batches, instruments and files, checked key by key."""

from __future__ import annotations

from lullwort.collector.entries.batchcheck import (
    NO_GRAVITY_BY_BRIX,
    checked_batch,
    checked_event,
    refuse_contradictions,
)
from lullwort.collector.entries.batchesfile import read_batches_file
from lullwort.collector.entries.instrumentcheck import (
    LARGEST_ERROR,
    SCALE_UNIT,
    checked_instrument,
    refuse_unfit_instrument,
)
from lullwort.collector.entries.packagingcheck import (
    BOTTLE_SIZES_L,
    MOST_BOTTLES,
    PACKAGING_RANGES,
    checked_packaging_day,
    refuse_packaging_contradictions,
)

__all__ = [
    "BOTTLE_SIZES_L",
    "LARGEST_ERROR",
    "MOST_BOTTLES",
    "NO_GRAVITY_BY_BRIX",
    "PACKAGING_RANGES",
    "SCALE_UNIT",
    "checked_batch",
    "checked_event",
    "checked_instrument",
    "checked_packaging_day",
    "read_batches_file",
    "refuse_contradictions",
    "refuse_packaging_contradictions",
    "refuse_unfit_instrument",
]
