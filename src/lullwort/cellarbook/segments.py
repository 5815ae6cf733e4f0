"""Readings as they lie in the book: runs of one sensor in one vessel from one import, column by column.

A run is kept whole, so that a million readings cost some hundred rows of the database; nothing in it is ever changed.
Its key is its content, which tells a repeat from news when it is written, and damage when it is read.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.records import VALUE_COLUMNS, Block
from lullwort.units import FloatArray

__all__ = ["Packed", "Segment", "pack", "segments_of", "unpack"]

Packed = tuple[int, bytes, *tuple[bytes | None, ...]]
"""Key, times and the columns of VALUE_COLUMNS; None for one in which nothing was given."""


class Segment(NamedTuple):
    """Readings of one sensor in one vessel, in order of time.

    Attributes:
        at_us:  [µs since 1970-01-01 UTC], shape (n,).
        values: as reported, shape (len(VALUE_COLUMNS), n); NaN where not given, one bit pattern for each value.
    """

    sensor: str
    vessel: str
    at_us: NDArray[np.int64]
    values: FloatArray


def segments_of(block: Block) -> Iterator[Segment]:
    """The readings of `block`, parted by sensor and vessel."""
    if not len(block):
        return
    pairs = block.sensor_codes.astype(np.int64) * len(block.vessels) + block.vessel_codes
    order = np.lexsort((block.at_us, pairs))
    at_us, pairs = block.at_us[order], pairs[order]
    # Adding zero makes one value of -0.0 and 0.0.
    values = np.array([getattr(block, column)[order] for column in VALUE_COLUMNS]) + 0.0
    values[np.isnan(values)] = np.nan  # and NaN has many bit patterns
    starts = np.flatnonzero(np.diff(pairs, prepend=-1))
    for start, end in zip(starts.tolist(), [*starts[1:].tolist(), len(pairs)], strict=True):
        sensor, vessel = divmod(int(pairs[start]), len(block.vessels))
        yield Segment(block.sensors[sensor], block.vessels[vessel], at_us[start:end], values[:, start:end])


def pack(stream: int, segment: Segment) -> Packed:
    """What the database keeps of `segment`; `stream` is the key of what it belongs to."""
    times = segment.at_us.astype("<i8").tobytes()
    columns = [None if np.isnan(column).all() else column.astype("<f8").tobytes() for column in segment.values]
    return (_key(stream, times, columns), times, *columns)


def unpack(stream: int, packed: Packed) -> tuple[NDArray[np.int64], FloatArray]:
    """Times, shape (n,), and values, shape (len(VALUE_COLUMNS), n). Raises ValueError for what `pack` did not make."""
    key, times, *columns = packed
    if key != _key(stream, times, columns):
        raise ValueError(f"readings of key {key} are not what was stored")
    at_us = np.frombuffer(times, dtype="<i8").astype(np.int64)
    values = np.full((len(columns), len(at_us)), np.nan)
    for row, column in zip(values, columns, strict=True):
        if column is not None:
            row[:] = np.frombuffer(column, dtype="<f8")
    return at_us, values


def _key(stream: int, times: bytes, columns: Sequence[bytes | None]) -> int:
    digest = hashlib.sha256(stream.to_bytes(8, "big", signed=True))
    for part in (times, *columns):
        digest.update(b"-" if part is None else b"+")
        digest.update(part or b"")
    return int.from_bytes(digest.digest()[:8], "big", signed=True)
