"""What lies above what was read before, for certain; drawn by hand."""

from __future__ import annotations

import numpy as np

from lullwort.packaging_day import rises


def told(points: list[float], parts: list[int], right: int = 0, slack: float = 0.5) -> tuple[list[float], list[float]]:
    above, below = rises(np.array(points), np.full(len(points), slack), parts, right)
    return above.tolist(), below.tolist()


def test_what_lies_above_the_least_before_by_more_than_its_scatter_has_risen() -> None:
    assert told([5.0, 3.0, 3.4, 4.0, 6.0], []) == ([0.0, 0.0, 0.0, 0.5, 2.5], [0.0] * 5)


def test_what_was_put_in_may_raise_it() -> None:
    assert told([3.0, 6.0, 7.0], [1])[0] == [0.0, 0.0, 0.5]
    assert told([3.0, 6.0, 7.0], [0, 1, 1, 3])[0] == [0.0, 0.0, 0.5]


def test_a_comparison_makes_what_was_read_before_it_too_little() -> None:
    assert told([3.0, 4.0, 6.0, 7.0, 8.0], [], right=3) == ([0.0, 0.0, 0.0, 0.0, 0.5], [2.5, 1.5, 0.0, 0.0, 0.0])


def test_what_is_not_believed_tells_nothing_and_nothing_is_nothing() -> None:
    nan = float("nan")
    assert told([nan, 3.0, nan, 6.0], []) == ([0.0, 0.0, 0.0, 2.5], [0.0] * 4)
    assert told([9.0, nan, 3.0], [], right=2) == ([0.0, 0.0, 0.0], [0.0] * 3)
    assert told([], []) == ([], [])
    assert told([3.0], [], right=1) == ([0.0], [0.0])
