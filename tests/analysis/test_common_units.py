from __future__ import annotations

import numpy as np
import pytest

from lullwort.analysis import gravities_sg, vessel_readings
from lullwort.records import Block, ReportedUnits


def block(units: ReportedUnits, gravity: list[float], temperature: list[float]) -> Block:
    """Readings of three sensors in two vessels by turns; a third vessel and a fourth sensor do not occur."""
    n = len(gravity)
    nothing = np.full(n, np.nan)
    place = np.arange(n)
    return Block(
        ("a", "none", "b", "c"), ("south", "north", "empty"),
        np.array([0, 2, 3], dtype=np.int32)[place % 3], (place % 2).astype(np.int32), place.astype(np.int64),
        np.array(gravity), np.array(temperature), nothing, nothing, nothing, place.astype(np.int64), units,
    )  # fmt: skip


def test_each_vessel_gets_its_readings_in_order_with_the_sensors_that_occur_in_it() -> None:
    by_vessel = vessel_readings(block(ReportedUnits(), [1.050, 1.040, 1.051, 1.041], [20.0, 8.0, np.nan, 8.5]))
    assert list(by_vessel) == ["south", "north"]
    south, north = by_vessel["south"], by_vessel["north"]
    assert (south.at_us.tolist(), north.at_us.tolist()) == ([0, 2], [1, 3])
    assert [south.sensors[code] for code in south.sensor_codes.tolist()] == ["a", "c"]
    assert [north.sensors[code] for code in north.sensor_codes.tolist()] == ["b", "a"]
    assert (south.sensors, north.sensors) == (("a", "c"), ("a", "b"))
    assert north.gravity.tolist() == [1.040, 1.041]
    assert south.temperature_c.tolist() == pytest.approx([20.0, np.nan], nan_ok=True)


def test_values_come_in_sg_and_celsius() -> None:
    (readings,) = vessel_readings(block(ReportedUnits("points", "F"), [50.0], [68.0])).values()
    assert (readings.gravity.tolist(), readings.temperature_c.tolist()) == ([1.050], [20.0])


def test_a_value_that_its_unit_does_not_know_is_no_beer_and_spoils_no_other() -> None:
    assert gravities_sg(np.array([12.0, 1050.0, np.nan]), "plato").tolist() == pytest.approx(
        [1.04833, 0.0, np.nan], abs=1e-4, nan_ok=True
    )
