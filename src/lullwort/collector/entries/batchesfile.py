"""The batches file (TOML): what was pitched when and where, and what is expected of it."""

from __future__ import annotations

import tomllib
from collections import Counter
from pathlib import Path

from lullwort.collector.entries.batchcheck import checked_batch
from lullwort.errors import SourceError, UsageError
from lullwort.records import Batch

__all__ = ["read_batches_file"]


def read_batches_file(path: Path) -> list[Batch]:
    """The batches in the file, in its order.

    Raises: SourceError if it cannot be read, UsageError that names file, batch and key if it is wrong.
    """
    try:
        tables = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as exc:
        raise SourceError(f"{path}: cannot be read: {exc.strerror}") from exc
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as exc:
        raise UsageError(f"{path}: is not TOML: {exc}") from exc
    entries = tables.pop("batch", [])
    if tables or not isinstance(entries, list):
        raise UsageError(f"{path}: expected nothing but tables headed [[batch]], found {', '.join(tables) or 'batch'}")
    batches = [checked_batch(f"{path}: batch {i}", entry) for i, entry in enumerate(entries, start=1)]
    for name, count in Counter(b.name for b in batches).items():
        if count > 1:
            raise UsageError(f"{path}: {count} batches are called {name!r}, expected each name once")
    for (vessel, _), count in Counter((b.vessel, b.pitched_us) for b in batches).items():
        if count > 1:
            raise UsageError(f"{path}: {count} batches are pitched into vessel {vessel!r} at the same moment")
    return batches
