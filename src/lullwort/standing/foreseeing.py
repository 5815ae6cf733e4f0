"""Forecasts for the batches that are answered for, drawing on earlier batches of the same recipe."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import msgspec

from lullwort.analysis import hourly_course
from lullwort.cellarbook import Book
from lullwort.detector import Judged
from lullwort.forecast import Forecast, Traits, foreseen, lessons, traits
from lullwort.records import HOUR_US, Batch, VesselReadings
from lullwort.standing.entry import Entry, owned_span, owned_until
from lullwort.standing.repeats import judged_repeats, over_before

__all__ = ["foreseen_by_book", "foreseen_by_readings"]

Shown = tuple[Traits, float | None]
"""What an earlier batch showed: its traits, and its original gravity [points] where that is known."""


def foreseen_by_book(entries: Sequence[Entry], book: Book, *, now_us: int) -> list[Entry]:
    """The entries, with a forecast of each batch that is under way; it learns from the whole book."""
    batches = book.batches.all()

    def readings_of(batch: Batch, from_us: int, until_us: int) -> VesselReadings:
        return book.readings.together(batch.vessel, from_us, until_us)

    def shown_by(earlier: Sequence[Batch]) -> list[Shown]:
        return [
            (repeat.traits, repeat.judged.now.original) for repeat in judged_repeats(book, earlier, None, now_us=now_us)
        ]

    return _foreseen(entries, batches, readings_of, shown_by)


def foreseen_by_readings(
    entries: Sequence[Entry], readings: Mapping[str, VesselReadings], batches: Sequence[Batch]
) -> list[Entry]:
    """The entries, with a forecast of each batch that is under way; it learns from the others that were judged."""
    judged = {entry.batch.name: entry.judged for entry in entries if entry.batch is not None and entry.judged}

    def readings_of(batch: Batch, from_us: int, until_us: int) -> VesselReadings:
        return readings.get(batch.vessel, VesselReadings.of(())).within(from_us, until_us)

    def shown_by(earlier: Sequence[Batch]) -> list[Shown]:
        return [(_traits(batch), judged[batch.name].now.original) for batch in earlier]

    def _traits(batch: Batch) -> Traits:
        of = judged[batch.name]
        readings = readings_of(batch, *owned_span(batch, batches))
        return traits(of, list(hourly_course(batch, readings, of.as_of_us)))

    return _foreseen(entries, batches, readings_of, shown_by)


def _foreseen(
    entries: Sequence[Entry],
    batches: Sequence[Batch],
    readings_of: Callable[[Batch, int, int], VesselReadings],
    shown_by: Callable[[Sequence[Batch]], list[Shown]],
) -> list[Entry]:
    """What is foreseen of each entry that is under way; an earlier batch is judged once, whoever draws on it."""
    under_way = {e.batch.name: over_before(e.batch, batches) for e in entries if e.batch and _is_under_way(e)}
    all_earlier = {batch.name: batch for earlier in under_way.values() for batch in earlier}
    shown = dict(zip(all_earlier, shown_by(list(all_earlier.values())), strict=True))

    def with_forecast(entry: Entry) -> Entry:
        batch, judged = entry.batch, entry.judged
        if batch is None or judged is None or batch.name not in under_way:
            return entry
        forecast = foreseen(
            batch,
            readings_of(batch, batch.pitched_us, judged.as_of_us + 1),
            as_of_us=judged.as_of_us,
            until_us=owned_until(batch, batches),
            learned=lessons([shown[earlier.name] for earlier in under_way[batch.name]]),
        )
        return entry._replace(judged=_to_go(judged, forecast), forecast=forecast)

    return [with_forecast(entry) for entry in entries]


def _to_go(judged: Judged, forecast: Forecast) -> Judged:
    """With the hours of proof to go by the forecast: the judge's are a rule of thumb, and a page says one thing."""
    if forecast.ready is None or judged.now.hours_to_go is None:
        return judged
    hours = -(-(forecast.ready.about_us - forecast.as_of_us) // HOUR_US)
    return judged._replace(now=msgspec.structs.replace(judged.now, hours_to_go=hours))


def _is_under_way(entry: Entry) -> bool:
    """Whether there is something to foresee: neither ready nor over, in its vessel still."""
    judged = entry.judged
    if judged is None or judged.verdict in ("ready", "packaged") or entry.refilled:
        return False
    # Hand samples say themselves when the next is worth an opening.
    return judged.now.hand is None
