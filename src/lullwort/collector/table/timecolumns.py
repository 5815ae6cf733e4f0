"""Many times at once, as `timecells` reads them one by one; whatever is not plain throughout is left to that."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from lullwort.collector.mapping import Times
from lullwort.collector.table.localtime import locals_to_utc_us
from lullwort.collector.table.timecells import DAY_US, NUMBER, NUMBERED, ORDERED, SERIAL_DAY_0_US, TIME_RANGE_US
from lullwort.units import FloatArray

if TYPE_CHECKING:
    import pyarrow as pa

__all__ = ["utc_us_of_numbers", "utc_us_of_texts"]

Instants = NDArray[np.int64]
_EXACT = 2**53


def utc_us_of_texts(texts: pa.ChunkedArray, times: Times, zone: ZoneInfo | None) -> Instants | None:
    """Microseconds since the epoch, shape (n,); None where any text needs a closer look or is no time."""
    import pyarrow as pa
    import pyarrow.compute as pc

    if times == "iso":
        try:
            return _in_range(_as_int64(texts.cast(pa.timestamp("us", tz="UTC"))))
        except pa.ArrowInvalid:
            pass
        try:
            return _placed(_as_int64(texts.cast(pa.timestamp("us"))), zone)
        except pa.ArrowInvalid:
            return None
    if times in ORDERED:
        local_us = _ordered(texts, ORDERED[times])
        return None if local_us is None else _placed(local_us, zone)
    if not pc.all(pc.match_substring_regex(texts, f"^{NUMBER}$")).as_py():
        return None
    try:
        numbers = np.asarray(texts.cast(pa.float64()).to_numpy(), dtype=np.float64)
    except pa.ArrowInvalid:
        return None
    return utc_us_of_numbers(numbers, times, zone)


def utc_us_of_numbers(numbers: FloatArray, times: Times, zone: ZoneInfo | None) -> Instants | None:
    """The same of numbers, shape (n,), for those `times` that are numbers."""
    with np.errstate(invalid="ignore", over="ignore"):
        scaled = numbers * NUMBERED[times] if times in NUMBERED else numbers * 86_400
    if not np.all((numbers >= 0.0) & (numbers < 1e15) & (scaled < _EXACT)):
        return None
    whole = np.rint(scaled).astype(np.int64)
    if times in NUMBERED:
        return _in_range(whole)
    return _placed(SERIAL_DAY_0_US[times] + whole * 1_000_000, zone)


def _placed(local_us: Instants, zone: ZoneInfo | None) -> Instants | None:
    at_us = None if zone is None else locals_to_utc_us(local_us, zone)
    return None if at_us is None else _in_range(at_us)


def _in_range(at_us: Instants) -> Instants | None:
    return at_us if at_us.min() >= TIME_RANGE_US[0] and at_us.max() < TIME_RANGE_US[1] else None


def _ordered(texts: pa.ChunkedArray, pattern: str) -> Instants | None:
    """Local clock [µs] from years, months and days in the order of `pattern`."""
    import pyarrow.compute as pc

    found = pc.extract_regex(texts, pattern).combine_chunks()
    if found.null_count:
        return None
    year, month, day, hour, minute, second = (
        _whole(found.field(part)) for part in ("year", "month", "day", "hour", "minute", "second")
    )
    year = np.where(year < 100, year + 2000, year)
    half = pc.utf8_lower(pc.utf8_slice_codeunits(found.field("half"), 0, 1)).to_numpy(zero_copy_only=False)
    in_halves = half != ""
    if np.any(in_halves):
        if np.any(in_halves & ((hour < 1) | (hour > 12))):
            return None
        hour = np.where(in_halves, hour % 12 + np.where(half == "p", 12, 0), hour)
    if year.min() < 1 or month.min() < 1 or month.max() > 12 or day.min() < 1:
        return None
    if hour.max() > 23 or minute.max() > 59 or second.max() > 59:
        return None
    months = ((year - 1970) * 12 + month - 1).astype("datetime64[M]")
    days = months.astype("datetime64[D]") + (day - 1)
    if np.any(days.astype("datetime64[M]") != months):  # as 31 April
        return None
    micro = _whole(pc.utf8_rpad(found.field("fraction"), 6, "0"))
    return days.astype(np.int64) * DAY_US + ((hour * 60 + minute) * 60 + second) * 1_000_000 + micro


def _whole(texts: pa.Array) -> Instants:
    import pyarrow as pa
    import pyarrow.compute as pc

    filled = pc.if_else(pc.equal(texts, ""), "0", texts)
    return np.asarray(filled.cast(pa.int64()).to_numpy(zero_copy_only=False), dtype=np.int64)


def _as_int64(times: pa.ChunkedArray) -> Instants:
    import pyarrow as pa

    return np.asarray(times.cast(pa.int64()).to_numpy(), dtype=np.int64)
