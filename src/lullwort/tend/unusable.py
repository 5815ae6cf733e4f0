"""Vessels from which messages come, but none that holds a reading."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from lullwort.records import Block, SetAside

__all__ = ["Unusable"]

_MOST_VESSELS = 1000


@dataclass
class Unusable:
    """Hears all that arrives; one reading that can be used makes all that came before forgotten."""

    _by_vessel: dict[str, tuple[int, SetAside]] = field(default_factory=dict)
    """How many rows were set aside since the last reading, and the newest of them."""

    def hear(self, blocks: Iterable[Block], set_aside: Iterable[SetAside]) -> None:
        """These readings have arrived, and these rows that are none."""
        for block in blocks:
            for vessel in block.vessels:
                self._by_vessel.pop(vessel, None)
        for row in set_aside:
            count, _ = self._by_vessel.get(row.vessel, (0, None))
            if row.vessel and (count or len(self._by_vessel) < _MOST_VESSELS):
                self._by_vessel[row.vessel] = count + 1, row

    def of(self, vessel: str) -> str:
        """What came of a vessel since its last reading, in words; empty where nothing did."""
        count, row = self._by_vessel.get(vessel, (0, None))
        if row is None:
            return ""
        what = "a message" if count == 1 else f"{count} messages"
        return f"Since then {what} came without a reading that can be used; the last: {row}."
