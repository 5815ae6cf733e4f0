"""Which part of a batch's time its curve shows, as a page's address asks for it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from lullwort.errors import UsageError
from lullwort.records import HOUR_US, parse_instant

__all__ = ["NAMED_SPANS", "WHOLE", "CurveSpan", "LinkedSpan", "chosen_span", "links_of"]

NAMED_SPANS = {"7d": ("7 days", 168 * HOUR_US), "3d": ("3 days", 72 * HOUR_US), "24h": ("24 h", 24 * HOUR_US)}
"""Words and length [µs] by name; each ends with the newest hour."""
_LEAST_US = 2 * HOUR_US
_SECOND_US = 1_000_000


class CurveSpan(NamedTuple):
    """What is asked for: one of NAMED_SPANS, or from when to when [µs]; neither for the whole."""

    name: str = ""
    from_us: int | None = None
    to_us: int | None = None

    def ends_us(self, whole: tuple[int, int], now_us: int) -> tuple[int, int]:
        """From when to when [µs] that is, within the `whole`, and no shorter than two hours.

        Args:    now_us: where a named one ends.
        """
        first, last = whole
        if self.name:
            return max(first, now_us - NAMED_SPANS[self.name][1]), now_us
        if self.from_us is None or self.to_us is None:
            return whole
        from_us = min(max(self.from_us, first), max(first, last - _LEAST_US))
        return from_us, max(min(self.to_us, last), from_us + _LEAST_US)

    @property
    def query(self) -> str:
        """Of an address that asks for it, with its question mark; empty for the whole."""
        if self.name:
            return f"?span={self.name}"
        if self.from_us is None or self.to_us is None:
            return ""
        return f"?from={self.from_us // _SECOND_US}&to={self.to_us // _SECOND_US}"


WHOLE = CurveSpan()


def chosen_span(query: Mapping[str, str]) -> CurveSpan:
    """What the address of a page, or of a curve, asks for. Raises UsageError for what is no span."""
    name = query.get("span", "")
    if name in NAMED_SPANS:
        return CurveSpan(name)
    if name not in ("", "whole"):
        raise UsageError(f"There is no span {name!r}: it is one of whole, {', '.join(NAMED_SPANS)}.")
    written = query.get("from", ""), query.get("to", "")
    if written == ("", "") or name:
        return WHOLE
    from_us, to_us = map(_instant, written)
    if from_us >= to_us:
        raise UsageError("A span begins with `from` and ends with `to`, which lies later: these are the other way.")
    return CurveSpan("", from_us, to_us)


class LinkedSpan(NamedTuple):
    """A way to another span: its id, words and what it asks for; `None` where it leads nowhere else."""

    key: str
    words: str
    span: CurveSpan | None


def links_of(shown: CurveSpan, ends_us: tuple[int, int], whole: tuple[int, int], now_us: int) -> list[LinkedSpan]:
    """The named spans that are shorter than the whole, then earlier, later, closer and wider ones.

    Args:    ends_us: of what is shown.
    """
    first, last = whole
    length = ends_us[1] - ends_us[0]
    named = [LinkedSpan("whole", "Whole", WHOLE)]
    named += [
        LinkedSpan(name, words, CurveSpan(name))
        for name, (words, long_us) in NAMED_SPANS.items()
        if long_us < now_us - first or shown.name == name
    ]

    def moved(by_us: int, longer_us: int = 0) -> CurveSpan | None:
        from_us = max(first, min(ends_us[0] + by_us - longer_us // 2, last - _LEAST_US))
        to_us = min(last, max(ends_us[1] + by_us + longer_us - longer_us // 2, from_us + _LEAST_US))
        if by_us:  # it moves as a whole, up to the end
            from_us, to_us = (first, first + length) if from_us == first else (to_us - length, to_us)
        if (from_us, to_us) == whole:
            return None if ends_us == whole else WHOLE
        return None if (from_us, to_us) == ends_us else CurveSpan("", from_us, to_us)

    return [
        *named,
        LinkedSpan("earlier", "Earlier", moved(-length // 2)),
        LinkedSpan("later", "Later", moved(length // 2)),
        LinkedSpan("closer", "Closer", moved(0, -(length // 2)) if length > 2 * _LEAST_US else None),
        LinkedSpan("wider", "Wider", moved(0, length)),
    ]


def _instant(written: str) -> int:
    """[µs] Of seconds since 1970, or of a time with its zone."""
    try:
        return int(written) * _SECOND_US if written.lstrip("-").isdecimal() else parse_instant(written)
    except (ValueError, OverflowError):
        raise UsageError(
            f"{written!r} is no moment: `from` and `to` are each in seconds since 1970 or like 2026-05-01T18:00Z."
        ) from None
