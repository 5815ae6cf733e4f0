from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from lullwort.cellarbook.segments import pack, segments_of, unpack
from lullwort.records import Reading

Shelf = Any  # the fixture's class lives in conftest.py

LOG = [
    Reading("b", "north", 3, 1.03, 20.0), Reading("a", "north", 2, 1.02, None), Reading("a", "south", 9, -0.0, 20.0),
    Reading("a", "north", 1, None, None),
]  # fmt: skip


def test_a_block_is_parted_by_sensor_and_vessel_and_put_in_order_of_time(shelf: Shelf) -> None:
    parted = [(s.sensor, s.vessel, s.at_us.tolist()) for s in segments_of(shelf.block(LOG))]
    assert sorted(parted) == [("a", "north", [1, 2]), ("a", "south", [9]), ("b", "north", [3])]


def test_what_is_packed_comes_back_and_columns_that_are_empty_take_no_room(shelf: Shelf) -> None:
    for segment in segments_of(shelf.block(LOG)):
        packed = pack(7, segment)
        at_us, values = unpack(7, packed)
        assert at_us.tolist() == segment.at_us.tolist()
        np.testing.assert_array_equal(values, segment.values)
        assert list(packed)[4:] == [None, None, None]


def test_equal_values_are_packed_alike_whatever_their_bits(shelf: Shelf) -> None:
    block, same = shelf.block(LOG), shelf.block(LOG)
    same.gravity[2] = 0.0
    same.gravity[3] = np.array([0x7FF8_0000_DEAD_BEEF], dtype=np.uint64).view(np.float64)[0]
    assert [pack(7, s) for s in segments_of(block)] == [pack(7, s) for s in segments_of(same)]


def test_readings_of_another_stream_or_with_another_byte_are_refused(shelf: Shelf) -> None:
    packed = pack(7, next(segments_of(shelf.block(LOG[:1]))))
    with pytest.raises(ValueError, match="not what was stored"):
        unpack(8, packed)
    with pytest.raises(ValueError, match="not what was stored"):
        unpack(7, (packed[0], packed[1][:-1] + b"\x01", *([None] * 5)))


def test_a_block_without_readings_has_no_segments(shelf: Shelf) -> None:
    assert list(segments_of(shelf.block([]))) == []
