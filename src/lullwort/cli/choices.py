"""What holds for packaging day in this run: what is on record of a batch, overruled by options."""

from __future__ import annotations

from typing import Any

from lullwort.cli.littlepriming import refuse_little_priming
from lullwort.cli.packagingentry import OPTION_OF_PACKAGING_KEY, packaging_entered
from lullwort.collector import checked_packaging_day, refuse_packaging_contradictions
from lullwort.records import Batch, PackagingDay
from lullwort.settings import Settings

__all__ = ["day_chosen"]


def day_chosen(settings: Settings, given: dict[str, Any], batch: Batch | None) -> PackagingDay:
    """Choices of a try that is not kept; `given` as of `packaging_entered`. Raises UsageError."""
    entered = packaging_entered(settings, given)
    names = {**OPTION_OF_PACKAGING_KEY, "volume_l": "the batch's volume"}
    known = None if batch is None else batch.packaging_day
    day = checked_packaging_day("options", entered, names, known)
    refuse_little_priming(given.get("primed"), day, None if batch is None else batch.volume_l, settings)
    if batch is not None:
        refuse_packaging_contradictions(batch.name, day, batch.volume_l, names, settings.units)
    return day
