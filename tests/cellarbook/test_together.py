"""Readings as columns: the same as one by one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Reading, VesselReadings

Shelf = Any  # the fixture's class lives in conftest.py
EVER = (-(2**62), 2**62)

LOG = [
    Reading("b", "north", 1, 1.05, None), Reading("b", "north", 4, None, 20.0), Reading("a", "north", 4, 1.04, 19.0),
    Reading("a", "north", 9, 1.03, 19.5), Reading("c", "south", 2, 1.02, 18.0), Reading("d", "north", 0, 1.01, 18.0),
    Reading("d", "south", 0, 1.00, 18.0),
]  # fmt: skip
"""Of b first and then of a, two at one time; d contradicts itself."""
TILTED = [Reading("a", "north", 12, 1.03, 19.5, 44.0)]


@pytest.mark.parametrize("span", [EVER, (2, 9), (100, 200)])
@pytest.mark.parametrize("log", [LOG, LOG + TILTED, []])
def test_columns_are_those_of_all_readings_one_by_one(
    path: Path, shelf: Shelf, log: list[Reading], span: tuple[int, int]
) -> None:
    with open_book(path) as book:
        if log:
            shelf.store(book, "a", log)
        one_by_one = VesselReadings.of(book.readings.of("north", *span))
        together = book.readings.together("north", *span)
        assert len(together) == len([r for r in log if r.vessel == "north" and r.sensor != "d" and _in(r, span)])
    assert together.sensors == one_by_one.sensors
    for name in ("sensor_codes", "at_us", "gravity", "temperature_c", "inclination"):
        column, expected = getattr(together, name), getattr(one_by_one, name)
        assert (column is None) == (expected is None), name
        if expected is not None:
            np.testing.assert_array_equal(column, expected, name)
            assert column.dtype == expected.dtype


def _in(reading: Reading, span: tuple[int, int]) -> bool:
    return span[0] <= reading.at_us < span[1]
