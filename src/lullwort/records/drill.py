"""A batch that says of itself that it is a drill: invented, to see whether the alert comes."""

from __future__ import annotations

import msgspec

from lullwort.records.batch import Batch, Event

__all__ = ["as_drill", "is_drill"]

_SAYS = "A drill: all readings of this batch are invented."


def as_drill(batch: Batch) -> Batch:
    """The same, with a remark at its pitch that says so; no judge takes notice of a remark."""
    says = Event(at_us=batch.pitched_us, kind="remark", note=_SAYS)
    return msgspec.structs.replace(batch, events=(says, *batch.events))


def is_drill(batch: Batch) -> bool:
    """Whether it says so."""
    return any(event.kind == "remark" and event.note == _SAYS for event in batch.events)
