"""Which note of a batch is meant by its kind and its moment."""

from __future__ import annotations

from lullwort.errors import RefusedError
from lullwort.records import Batch, Event

__all__ = ["noted_then"]

_SAME_US = 60 * 1_000_000
# People type minutes.


def noted_then(batch: Batch, kind: str, at_us: int, words: str = "") -> Event:
    """The one note of this kind within a minute of `at_us` [µs]; of several, that of just these words.

    Raises: RefusedError where there is not just one.
    """
    found = [event for event in batch.events if event.kind == kind and abs(event.at_us - at_us) < _SAME_US]
    if len(found) > 1 and words:
        found = [event for event in found if event.note == words] or found
    if len(found) != 1:
        many = f"several notes of {kind}: tell which by what was noted, or --words" if found else f"no {kind}"
        raise RefusedError(f"batch {batch.name!r} has {many} at that moment; `lullwort batch list` shows what was")
    return found[0]
