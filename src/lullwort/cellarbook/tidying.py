"""Runs of readings that came one by one, put together: a month of a reading a minute is then thirty rows.

What is read out of the book is the same before, between and after.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from lullwort.cellarbook.database import Database
from lullwort.cellarbook.segments import Segment
from lullwort.cellarbook.streams import add_run, runs
from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["tidy_import"]

_DAY_US = 24 * HOUR_US
_RUN_ROWS = 50_000
# Some 2 MiB, which take a fraction of a second to read and to write.
_MANY = 64
# How many runs a day that still goes on may have before it is tidied: each costs some 10 µs to read.


def tidy_import(db: Database, imported: int, now_us: int) -> int:
    """Put together the runs of an import by stream and UTC day, each in a transaction; how many runs fewer there are.

    Args:    now_us: [µs] days that are over then are tidied as a whole, others when they have many small runs.
    Raises:  BookDamagedError where a run is not what was written; it is left as it is.
    """
    fewer = 0
    for stream, *whose in db.rows("SELECT key, sensor, vessel FROM stream WHERE import = ? ORDER BY key", (imported,)):
        for day, count in db.rows(
            "SELECT first_us / :day - (first_us % :day < 0) AS utc_day, count(*) FROM segment WHERE stream = :stream "
            "GROUP BY utc_day ORDER BY utc_day",
            {"day": _DAY_US, "stream": stream},
        ):
            over = (day + 1) * _DAY_US <= now_us
            if count < (2 if over else _MANY):
                continue
            # Each turn leaves at most one run that is not full of those that it takes, so that there is a last turn.
            while (done := _tidy_day(db, stream, whose, day * _DAY_US, over)) is not None:
                fewer += done
    return fewer


def _tidy_day(db: Database, stream: int, whose: Sequence[str], from_us: int, over: bool) -> int | None:
    """How many runs fewer there are; None where nothing was worth it."""
    sensor, vessel = whose
    with db.write():
        small = _small(db, stream, from_us, over)
        if not small:
            return None
        found = list(runs(db, stream, small))
        db.run_many("DELETE FROM segment WHERE key = ?", [(key,) for key in small])
        at_us, values = _each_once(np.concatenate([t for t, _ in found]), np.concatenate([v for _, v in found], axis=1))
        cuts = range(0, len(at_us), _RUN_ROWS)
        for cut in cuts:
            part = slice(cut, cut + _RUN_ROWS)
            add_run(db, stream, Segment(sensor, vessel, at_us[part], values[:, part]))
    return len(small) - len(cuts)


def _small(db: Database, stream: int, from_us: int, over: bool) -> list[int]:
    """Keys of the runs of a day that are to be put together; none where it is not worth it.

    While the day goes on, a run much larger than all smaller ones together is left alone: so a reading is written a few
    times in its life, not once for each that comes after it.
    """
    small: list[int] = []
    together = 0
    for key, readings in db.rows(
        "SELECT key, readings FROM segment WHERE stream = ? AND first_us >= ? AND first_us < ? AND readings < ? "
        "ORDER BY readings, key",
        (stream, from_us, from_us + _DAY_US, _RUN_ROWS),
    ):
        if small and (together + readings > 2 * _RUN_ROWS or not (over or readings <= 2 * together)):
            break
        small.append(key)
        together += readings
    return small if len(small) >= (2 if over else _MANY) else []


def _each_once(at_us: NDArray[np.int64], values: FloatArray) -> tuple[NDArray[np.int64], FloatArray]:
    """In order of time, of reports that are equal bit by bit the first."""
    bits = np.vstack([at_us, values.view(np.int64)])
    order = np.lexsort(bits[::-1])
    bits = bits[:, order]
    first = np.ones(len(order), dtype=bool)
    first[1:] = (bits[:, 1:] != bits[:, :-1]).any(axis=0)
    kept = order[first]
    return at_us[kept], values[:, kept]
