"""The main fall kept thin: what is kept says the same as all of it, in a memory that does not grow."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.analysis import FallRecord


def test_three_hours_make_a_mean() -> None:
    record = FallRecord()
    for at_h, level in ((1.0, 50.0), (2.0, 51.0), (4.0, 49.0), (5.0, 48.0)):
        record.add(at_h, level)
    assert record.blocks == [(pytest.approx(7.0 / 3.0), pytest.approx(50.0), 3), (5.0, 48.0, 1)]


@given(hours=st.integers(1, 3000))
def test_means_keep_what_they_were_made_of_and_stay_few(hours: int) -> None:
    record = FallRecord()
    for hour in range(hours):
        record.add(float(hour), 60.0 - 0.01 * hour)
    assert len(record.blocks) <= 240
    assert sum(block.hours for block in record.blocks) == hours
    for name, mean in (("at_yeast_h", 0.5 * (hours - 1)), ("level", 60.0 - 0.005 * (hours - 1))):
        weighed = sum(getattr(block, name) * block.hours for block in record.blocks)
        assert weighed / hours == pytest.approx(mean)
    times = [block.at_yeast_h for block in record.blocks]
    assert times == sorted(times)


def test_what_is_put_in_counts_from_the_start() -> None:
    record = FallRecord()
    record.add(1.0, 50.0)
    record.shift(6.0)
    record.add(2.0, 53.0)
    assert record.blocks[0].level == pytest.approx(54.5)
