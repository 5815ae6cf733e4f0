"""Batches judged from readings or from the cellar book: what everything that answers has in hand."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import NamedTuple

from lullwort.analysis import hour_end, hourly_course
from lullwort.cellarbook import Book
from lullwort.detector import done_to_us, judge
from lullwort.packaging_day import doubts_now
from lullwort.records import HOUR_US, Batch, VesselReadings
from lullwort.standing.entry import Entry, owned_until
from lullwort.standing.spread import cores, spread

__all__ = ["entered_to_us", "judge_book", "judge_readings"]

_EVER = (-(2**62), 2**62)
_GOES_ON_US = 24 * HOUR_US
"""[µs] A sensor may well be left on for some hours after its beer was packaged."""
_WORTH_A_PROCESS_H = 20_000
"""[h] of batches that take about a second: less is done sooner than another process has started."""


class _Vessel(NamedTuple):
    """All that judging one vessel needs, which may be sent to another process."""

    name: str
    batches: list[Batch]
    readings: VesselReadings
    set_aside: int
    as_of_us: int | None
    now_us: int
    only: Collection[str] | None = None


def judge_readings(
    readings: Mapping[str, VesselReadings],
    set_aside_beside: Mapping[str, int],
    batches: Sequence[Batch],
    as_of_us: int | None,
    *,
    now_us: int,
) -> list[Entry]:
    """Every batch of every vessel judged from readings alone.

    Args:    readings: by vessel; set_aside_beside: rows that were no readings in the logs that a vessel is in.
             as_of_us: [µs] judge as if it were this instant; None: each batch's newest reading.
             now_us: [µs] what is dated later has not been done yet.
    Raises:  HelperError where other processes helped and one of them failed.
    """
    none = VesselReadings.of(())
    return _judge_vessels(
        [
            _Vessel(
                vessel,
                _batches_in(vessel, batches),
                readings.get(vessel, none),
                set_aside_beside.get(vessel, 0),
                as_of_us,
                now_us,
            )
            for vessel in sorted({*readings, *(b.vessel for b in batches)})
        ]
    )


def judge_book(
    book: Book, vessel: str | None, as_of_us: int | None, *, now_us: int, only: Collection[str] | None = None
) -> list[Entry]:
    """Every batch on record judged from its stored readings; those of one vessel if it is named.

    Args:    now_us, as_of_us: as of `judge_readings`.
             only: names of batches, where the others are not asked for.
    Raises: HelperError where other processes helped and one of them failed.
    """
    batches = book.batches.all()
    if only is None:
        vessels = sorted({*book.readings.vessels(), *(b.vessel for b in batches)})
    else:
        vessels = sorted({b.vessel for b in batches if b.name in only})
    entries = _judge_vessels(
        [
            _Vessel(
                name,
                _batches_in(name, batches),
                book.readings.together(name, *_EVER),
                book.readings.set_aside_count(name),
                as_of_us,
                now_us,
                only,
            )
            for name in vessels
            if vessel in (None, name)
        ]
    )
    return [_with_conflicts(book, entry) for entry in entries]


def _batches_in(vessel: str, batches: Sequence[Batch]) -> list[Batch]:
    return sorted((b for b in batches if b.vessel == vessel), key=lambda b: b.pitched_us)


def _judge_vessels(vessels: list[_Vessel]) -> list[Entry]:
    hours = [_hours(vessel) for vessel in vessels]
    processes = min(cores(), 1 + int(sum(hours) // _WORTH_A_PROCESS_H))
    judged = (
        spread(_judge_vessel, vessels, hours, processes=processes)
        if processes > 1
        else [_judge_vessel(vessel) for vessel in vessels]
    )
    return [entry for entries in judged for entry in entries]


def _hours(vessel: _Vessel) -> float:
    """[h] that will be judged, about: what judging costs."""
    if not vessel.batches or not len(vessel.readings):
        return 0.0
    last_us = int(vessel.readings.at_us.max()) if vessel.as_of_us is None else vessel.as_of_us
    return max(0.0, (last_us - vessel.batches[0].pitched_us) / HOUR_US)


def _judge_vessel(vessel: _Vessel) -> list[Entry]:
    """Every batch of one vessel, oldest first; a vessel without a batch gives one entry without."""
    name, own, readings, set_aside, as_of_us, now_us, only = vessel
    newest = int(readings.at_us.max()) if len(readings) else None
    if not own:
        return [Entry(name, None, None, newest, set_aside)]
    entries = []
    for batch in own if only is None else [b for b in own if b.name in only]:
        until_us = owned_until(batch, own)
        end_us = min((t for t in (until_us, batch.packaged_us) if t is not None), default=None)
        mine = readings.within(batch.pitched_us, end_us)
        read_us = int(mine.at_us.max()) if len(mine) else batch.pitched_us
        instant = entered_to_us(batch, read_us, now_us) if as_of_us is None else as_of_us
        if instant is None:
            instant = read_us
        judged = judge(batch, mine, as_of_us=instant, until_us=until_us)
        goes_on_us = _goes_on_after(batch, until_us, newest, as_of_us)
        refilled = until_us is not None and (as_of_us is None or until_us <= as_of_us)
        entry = Entry(name, batch, judged, newest, set_aside, goes_on_us, refilled)
        if judged.verdict == "ready":
            entry = entry._replace(doubts=doubts_now(judged, list(hourly_course(batch, mine, instant))))
        entries.append(entry)
    return entries


def entered_to_us(batch: Batch, read_us: int, now_us: int) -> int | None:
    """[µs] Up to when a batch is judged for what was entered of it, where no moment is named; None where its newest
    reading alone tells. A packaged one is judged up to the end of the hour of its packaging, whatever was read later.

    Args:    read_us: [µs] of its newest reading, or of its pitch.
             now_us: [µs] what is dated later has not been done yet.
    """
    return done_to_us(batch, read_us, now_us) if batch.packaged_us is None else hour_end(batch.packaged_us)


def _goes_on_after(batch: Batch, until_us: int | None, newest_us: int | None, as_of_us: int | None) -> int | None:
    """When the last batch of a vessel was packaged [µs], if its log goes on for a day or more after that."""
    if batch.packaged_us is None or until_us is not None or newest_us is None:
        return None
    seen_us = newest_us if as_of_us is None else min(newest_us, as_of_us)
    return batch.packaged_us if seen_us - batch.packaged_us >= _GOES_ON_US else None


def _with_conflicts(book: Book, entry: Entry) -> Entry:
    """The book leaves contradicting readings out before judging, so it must be asked how many there were."""
    if entry.judged is None or entry.batch is None:
        return entry
    conflicts = book.readings.conflicts(entry.vessel, entry.batch.pitched_us, entry.judged.as_of_us + 1)
    return entry._replace(judged=entry.judged._replace(conflicts=conflicts))
