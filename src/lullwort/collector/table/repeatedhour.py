"""The hour that clocks show twice when summer time ends, told apart by the order of the rows, or else set aside."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import Block, SetAside

__all__ = ["RepeatedHour"]

_DAY_US = 86_400_000_000
_STEPS = 2.0
"""Where the two runs join, one reading may be missing: with a longer hole nothing shows that there are two."""

Row = tuple[str, str, int, tuple[float, ...], int]
"""Sensor, vessel, first of the two moments [µs], values and line: as `BlockBuilder.add` takes it."""


@dataclass(frozen=True)
class _Held:
    row: Row
    second_us: int
    seen: str
    raw: str


@dataclass
class _Group:
    """Rows of one sensor in one such hour, in the order of the file, and its readings just before and after them."""

    rows: list[_Held] = field(default_factory=list)
    before: tuple[int, int] | None = None
    after: tuple[int, int] | None = None
    broken: bool = False

    def look(self, block: Block) -> None:
        """Find the sensor's neighbouring readings, as (line, at_us), in `block`."""
        sensor = self.rows[0].row[0]
        if sensor not in block.sensors:
            return
        own = block.sensor_codes == block.sensors.index(sensor)
        lines, at_us = block.line[own], block.at_us[own]
        first, last = self.rows[0].row[4], self.rows[-1].row[4]
        self.broken |= bool(np.any((lines > first) & (lines < last)))
        for line, at in zip(lines[lines < first][-1:].tolist(), at_us[lines < first][-1:].tolist(), strict=True):
            self.before = max(self.before or (line, at), (line, at))
        for line, at in zip(lines[lines > last][:1].tolist(), at_us[lines > last][:1].tolist(), strict=True):
            self.after = min(self.after or (line, at), (line, at))

    def moments(self) -> list[int] | None:
        """The moment [µs] of each row; None where nothing tells the two runs apart."""
        if self.broken or self.before is None or self.after is None or self.before[1] == self.after[1]:
            return None
        ends = (self.before[1], self.after[1])
        newest_first = ends[0] > ends[1]
        rows = self.rows[::-1] if newest_first else self.rows
        found = _two_runs(rows, min(ends), max(ends))
        return found if found is None or not newest_first else found[::-1]


@dataclass
class RepeatedHour:
    """Rows whose local time came twice, held until the end of the file.

    A log in order of time runs through the hour, jumps back and runs through it again: what lies before the one jump
    was shown first. That is believed of a sensor whose readings around the hour say in which order the file is, and
    only where both runs join each other and what is around them without a hole.
    """

    place: str
    told_apart: int = 0
    _held: dict[tuple[str, int], _Group] = field(default_factory=dict)
    _last: Block | None = None

    def hold(self, row: Row, second_us: int, seen: str, raw: str) -> None:
        """Keep a row for later: its other moment [µs], its time and itself as they stand in the file."""
        group = self._held.setdefault((row[0], row[2] // _DAY_US), _Group())
        group.rows.append(_Held(row, second_us, seen, raw))

    def look(self, block: Block) -> None:
        """Take notice of the next readings of the file that came once."""
        for group in self._held.values():
            if self._last is not None:
                group.look(self._last)
            group.look(block)
        self._last = block

    def settle(self, builder: BlockBuilder, set_aside: list[SetAside]) -> None:
        """Hand on all rows held, in the order of the file."""
        for group in self._held.values():
            moments = group.moments()
            if moments is None:
                set_aside += [self._refused(held) for held in group.rows]
                continue
            self.told_apart += len(moments)
            for held, at_us in zip(group.rows, moments, strict=True):
                sensor, vessel, _, values, line = held.row
                builder.add(sensor, vessel, at_us, values, line)
        self._held = {}

    def _refused(self, held: _Held) -> SetAside:
        expected = "a time that clocks showed once; a clock change repeats this one: write it with its offset"
        return SetAside(self.place, held.row[4], "time", held.seen, expected, held.raw, held.row[1])


def _two_runs(rows: list[_Held], before_us: int, after_us: int) -> list[int] | None:
    """Moments of `rows`, oldest first, if they are two runs between these moments [µs] with no hole where they join."""
    first = [held.row[2] for held in rows]
    jumps = [i for i in range(1, len(first)) if first[i] < first[i - 1]]
    if not jumps and len(first) == 2 and first[0] == first[1]:
        jumps = [1]  # one reading an hour
    if len(jumps) != 1:
        return None
    moments = [held.second_us if i >= jumps[0] else held.row[2] for i, held in enumerate(rows)]
    steps = np.diff([before_us, *moments, after_us])
    between = int(steps[jumps[0]])
    if steps.min() < 0 or between > _STEPS * float(np.median(steps[steps > 0])):
        return None
    return moments
