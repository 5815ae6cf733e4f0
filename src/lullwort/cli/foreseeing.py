"""Forecasts for the batches that a command answers for, drawing on earlier batches of the same recipe."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from lullwort.analysis import hourly_course
from lullwort.cellarbook import Book
from lullwort.cli.judging import Entry, judge_logs, owned_until
from lullwort.cli.logs import Logs
from lullwort.cli.repeats import MOST_REPEATS, by_pitch, over_before
from lullwort.detector import Judged
from lullwort.forecast import Traits, foreseen, lessons, traits
from lullwort.records import Batch, VesselReadings

__all__ = ["foreseen_by_book", "foreseen_by_logs"]

_EVER_US = 2**62

ReadingsOf = Callable[[Batch, int], VesselReadings]
"""Those of a batch's vessel from its pitch to an instant [µs]."""


def foreseen_by_book(entries: Sequence[Entry], book: Book) -> list[Entry]:
    """The entries, with a forecast of each batch that is under way; it learns from the whole book."""

    def readings_of(batch: Batch, until_us: int) -> VesselReadings:
        return VesselReadings.of(book.readings.of(batch.vessel, batch.pitched_us, until_us))

    def earlier(batch: Batch) -> list[tuple[Traits, float | None]]:
        return [(repeat.traits, repeat.judged.now.original) for repeat in over_before(book, batch)]

    return [_foreseen(entry, book.batches.all(entry.vessel), readings_of, earlier) for entry in entries]


def foreseen_by_logs(entries: Sequence[Entry], logs: Logs, batches: Sequence[Batch]) -> list[Entry]:
    """The entries, with a forecast of each batch that is under way; it learns from the other batches in the logs."""
    taught: dict[str, tuple[Traits, float | None]] = {}

    def readings_of(batch: Batch, until_us: int) -> VesselReadings:
        return logs.readings.get(batch.vessel, VesselReadings.of(())).within(batch.pitched_us, until_us)

    def earlier(batch: Batch) -> list[tuple[Traits, float | None]]:
        over = sorted((b for b in batches if _is_over_before(b, batch, batches)), key=by_pitch)[-MOST_REPEATS:]
        if over and not taught:  # judged to their ends, whatever the instant that is asked for
            for judged in (e.judged for e in judge_logs(logs, batches, None) if e.judged is not None):
                taught[judged.batch.name] = _traits(judged, readings_of), judged.now.original
        return [taught[other.name] for other in over]

    return [_foreseen(entry, batches, readings_of, earlier) for entry in entries]


def _foreseen(
    entry: Entry,
    batches: Iterable[Batch],
    readings_of: ReadingsOf,
    earlier: Callable[[Batch], list[tuple[Traits, float | None]]],
) -> Entry:
    judged = entry.judged
    if judged is None or judged.verdict in ("ready", "packaged"):
        return entry
    batch, as_of_us = judged.batch, judged.as_of_us
    until_us = owned_until(batch, batches)
    if until_us is not None and until_us <= as_of_us:
        return entry
    readings, learned = readings_of(batch, as_of_us + 1), lessons(earlier(batch))
    return entry._replace(forecast=foreseen(batch, readings, as_of_us=as_of_us, until_us=until_us, learned=learned))


def _is_over_before(earlier: Batch, batch: Batch, batches: Iterable[Batch]) -> bool:
    """Whether a batch of the same recipe was packaged, or another was in its vessel, when `batch` was pitched."""
    if batch.recipe is None or earlier.recipe != batch.recipe:
        return False
    ends = (earlier.packaged_us, owned_until(earlier, batches))
    return min((us for us in ends if us is not None), default=_EVER_US) <= batch.pitched_us


def _traits(judged: Judged, readings_of: ReadingsOf) -> Traits:
    batch = judged.batch
    return traits(judged, list(hourly_course(batch, readings_of(batch, judged.as_of_us + 1), judged.as_of_us)))
