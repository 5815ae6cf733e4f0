"""Keys made from content, never from counters: two books that hold the same agree on every key."""

from __future__ import annotations

import hashlib

import numpy as np
from numpy.typing import NDArray

from lullwort.records import VALUE_COLUMNS, Block

__all__ = ["key64", "reading_digests"]

_U64 = np.uint64


def key64(*parts: str) -> int:
    """Signed 64-bit key of some texts: the first eight bytes of their SHA-256.

    >>> key64("north") == key64("north"), key64("a", "b") == key64("ab")
    (True, False)
    """
    joined = "\x1f".join(parts).encode()
    return int.from_bytes(hashlib.sha256(joined).digest()[:8], "big", signed=True)


def reading_digests(block: Block, units: str) -> NDArray[np.int64]:
    """Digest of what each reading of `block` reports, shape (n,): equal reports have equal digests.

    Two different reports share one by chance once in 2**64. Vessel and `units` are part of the report.
    """
    vessels = np.array([key64(vessel) for vessel in block.vessels], dtype=np.int64).view(_U64)
    mixed = _mix(vessels[block.vessel_codes] ^ _U64(key64(units) & 0xFFFFFFFFFFFFFFFF))
    for column in VALUE_COLUMNS:
        values = getattr(block, column) + 0.0  # -0.0 and 0.0 are one value
        bits = values.view(_U64)
        bits[np.isnan(values)] = _U64(0x7FF8000000000000)  # NaN has many bit patterns
        mixed = _mix(mixed ^ bits)
    return mixed.view(np.int64)


def _mix(x: NDArray[np.uint64]) -> NDArray[np.uint64]:
    """The finaliser of SplitMix64 [Steele2014]: every bit of the input moves every bit of the output."""
    x = x + _U64(0x9E3779B97F4A7C15)
    x = (x ^ (x >> _U64(30))) * _U64(0xBF58476D1CE4E5B9)
    x = (x ^ (x >> _U64(27))) * _U64(0x94D049BB133111EB)
    return x ^ (x >> _U64(31))
