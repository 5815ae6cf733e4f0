"""What was seen of a main fall so far, thin enough for a curve to be fitted to it at any moment."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

__all__ = ["FallBlock", "FallRecord"]

_MOST_BLOCKS = 240
_START_HOURS = 3


class FallBlock(NamedTuple):
    """Mean of `hours` hourly values: [yeast hours since the pitch] and [points]."""

    at_yeast_h: float
    level: float
    hours: int


@dataclass
class FallRecord:
    """Means of a few hours each, pairs of which are joined where they become too many. O(1) memory."""

    hours_each: int = _START_HOURS
    blocks: list[FallBlock] = field(default_factory=list)

    def add(self, at_yeast_h: float, level: float) -> None:
        """Take an hour's value [points] at `at_yeast_h` [yeast hours since the pitch]."""
        if self.blocks and self.blocks[-1].hours < self.hours_each:
            self.blocks[-1] = _joined(self.blocks[-1], FallBlock(at_yeast_h, level, 1))
            return
        if len(self.blocks) == _MOST_BLOCKS:
            self.hours_each *= 2
            pairs = zip(self.blocks[::2], self.blocks[1::2], strict=True)
            self.blocks = [_joined(first, second) for first, second in pairs]
        self.blocks.append(FallBlock(at_yeast_h, level, 1))

    def shift(self, points: float) -> None:
        """Something was put in that raised the level by `points`: as if it had been there from the start."""
        self.blocks = [block._replace(level=block.level + points) for block in self.blocks]


def _joined(first: FallBlock, second: FallBlock) -> FallBlock:
    hours = first.hours + second.hours
    share = second.hours / hours
    return FallBlock(
        first.at_yeast_h + share * (second.at_yeast_h - first.at_yeast_h),
        first.level + share * (second.level - first.level),
        hours,
    )
