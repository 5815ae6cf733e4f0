"""The hour that clocks show twice when summer time ends, told apart by the order of the rows, or else set aside."""

from __future__ import annotations

from dataclasses import dataclass, field

from lullwort.collector.blockbuilder import BlockBuilder
from lullwort.records import SetAside

__all__ = ["RepeatedHour"]

Row = tuple[str, str, int, tuple[float, ...], int]
"""Sensor, vessel, first of the two moments [µs], values and line: as `BlockBuilder.add` takes it."""


@dataclass(frozen=True)
class _Held:
    row: Row
    second_us: int
    seen: str
    raw: str


@dataclass
class RepeatedHour:
    """Rows whose local time came twice, held until the end of the file.

    A log in order of time runs through the hour, jumps back and runs through it again: what lies before the one jump
    was shown first. Without just one such jump nothing tells the two apart.
    """

    place: str
    told_apart: int = 0
    _held: dict[tuple[str, int], list[_Held]] = field(default_factory=dict)

    def hold(self, row: Row, second_us: int, seen: str, raw: str) -> None:
        """Keep a row for later: its other moment [µs], its time and itself as they stand in the file."""
        change = row[2] // 86_400_000_000
        self._held.setdefault((row[0], change), []).append(_Held(row, second_us, seen, raw))

    def settle(self, builder: BlockBuilder, set_aside: list[SetAside], *, newest_first: bool) -> None:
        """Hand on all rows held, in the order of the file."""
        for rows in self._held.values():
            jump = _jump(rows[::-1] if newest_first else rows)
            if jump is None:
                set_aside += [self._refused(held) for held in rows]
                continue
            self.told_apart += len(rows)
            for place, held in enumerate(rows):
                second = place < len(rows) - jump if newest_first else place >= jump
                sensor, vessel, first_us, values, line = held.row
                builder.add(sensor, vessel, held.second_us if second else first_us, values, line)
        self._held = {}

    def _refused(self, held: _Held) -> SetAside:
        expected = "a time that clocks showed once; a clock change repeats this one: write it with its offset"
        return SetAside(self.place, held.row[4], "time", held.seen, expected, held.raw, held.row[1])


def _jump(rows: list[_Held]) -> int | None:
    """Place of the first row of the second time round; None if that cannot be told."""
    moments = [held.row[2] for held in rows]
    back = [i for i in range(1, len(moments)) if moments[i] < moments[i - 1]]
    if not back and len(moments) == 2 and moments[0] == moments[1]:
        return 1  # one reading an hour
    return back[0] if len(back) == 1 else None
