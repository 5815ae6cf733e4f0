"""The batches file (TOML): what was pitched when and where, what is expected of it, and what samples are read with."""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import msgspec

from lullwort.collector.entries.batchcheck import checked_batch
from lullwort.collector.entries.instrumentcheck import checked_instrument, refuse_unfit_instrument
from lullwort.errors import SourceError, UsageError
from lullwort.records import Batch, Instrument

__all__ = ["read_batches_file"]


def read_batches_file(path: Path, on_record: Sequence[Instrument] = ()) -> list[Batch]:
    """The batches in the file, in its order, each with the instruments of the file.

    Args:   on_record: instruments that a sample may name beside those.
    Raises: SourceError if it cannot be read, UsageError that names file, batch and key if it is wrong.
    """
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as exc:
        raise SourceError(f"{path}: cannot be read: {exc.strerror}") from exc
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as exc:
        raise UsageError(f"{path}: is not TOML: {exc}") from exc
    entries, described = tables.pop("batch", []), tables.pop("instrument", [])
    if tables or not isinstance(entries, list) or not isinstance(described, list):
        found = ", ".join(tables) or ("instrument" if isinstance(entries, list) else "batch")
        raise UsageError(f"{path}: expected nothing but tables headed [[batch]] and [[instrument]], found {found}")
    instruments = _instruments(path, described)
    batches = [
        msgspec.structs.replace(checked_batch(f"{path}: batch {i}", entry), instruments=instruments)
        for i, entry in enumerate(entries, start=1)
    ]
    for i, batch in enumerate(batches, start=1):
        for event in batch.events:
            refuse_unfit_instrument(f"{path}: batch {i}: {event.kind}", event, (*on_record, *instruments))
    for name, count in Counter(b.name for b in batches).items():
        if count > 1:
            raise UsageError(f"{path}: {count} batches are called {name!r}, expected each name once")
    for (vessel, _), count in Counter((b.vessel, b.pitched_us) for b in batches).items():
        if count > 1:
            raise UsageError(f"{path}: {count} batches are pitched into vessel {vessel!r} at the same moment")
    return batches


def _instruments(path: Path, entries: list[object]) -> tuple[Instrument, ...]:
    """By name, as the book has them."""
    found = [checked_instrument(f"{path}: instrument {i}", entry) for i, entry in enumerate(entries, start=1)]
    for name, count in Counter(instrument.name for instrument in found).items():
        if count > 1:
            raise UsageError(f"{path}: {count} instruments are called {name!r}, expected each name once")
    return tuple(sorted(found, key=lambda instrument: instrument.name))
