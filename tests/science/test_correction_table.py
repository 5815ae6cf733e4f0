from __future__ import annotations

import math
import time

import numpy as np
import pytest

from lullwort.errors import OutOfRangeError
from lullwort.science import CorrectionTable, sg_at_reference


@pytest.mark.no_cover
@pytest.mark.parametrize("original_gravity", [None, 1.050, 1.100, 1.200])
@pytest.mark.parametrize("reference_c", [0.0, 4.0, 15.56, 20.0, 40.0])
@pytest.mark.parametrize("expansion", [0.0, 2.5e-4, 5e-4])
def test_the_table_is_within_a_hundredth_of_a_point_of_the_exact_solution(
    original_gravity: float | None, reference_c: float, expansion: float
) -> None:
    # Every cell of the table: readings a tenth to nine tenths between its own, temperatures at two places.
    # Measured: up to 0.0071 points, at the first reference without an original gravity.
    grid = np.meshgrid(np.arange(0.97505, 1.2, 0.0004), np.concatenate([np.arange(40) + 0.3, np.arange(40) + 0.6]))
    readings, temps = grid[0].ravel(), grid[1].ravel()
    exact = sg_at_reference(
        original_gravity, readings, temps, reference_c=reference_c, sensor_expansion_per_k=expansion
    )
    table = CorrectionTable(original_gravity, reference_c, expansion)
    ours = [table.sg_at_reference(r, t) for r, t in zip(readings.tolist(), temps.tolist(), strict=True)]
    assert 1000.0 * np.abs(exact - ours).max() <= 0.01


def test_the_table_keeps_the_order_of_readings() -> None:
    table = CorrectionTable(1.050, 20.0, 0.0)
    for temp_c in (0.0, 3.7, 40.0):
        gravities = [table.sg_at_reference(r, temp_c) for r in np.linspace(0.975, 1.2, 2000).tolist()]
        assert np.all(np.diff(gravities) > 0.0)


@pytest.mark.no_cover
def test_the_table_is_quick() -> None:
    # The promise is 50 ms and about 1 to 2 µs. Work is counted, not time, for others work beside it; a call gets ten
    # times as long.
    started = time.thread_time()
    table = CorrectionTable(1.050, 20.0, 0.0)
    built = time.thread_time()
    for _ in range(10_000):
        table.sg_at_reference(1.0123, 17.3)
    done = time.thread_time()
    assert built - started < 0.050
    assert (done - built) / 10_000 < 20e-6


@pytest.mark.parametrize("reading", [0.97499, 1.20001, math.nan])
def test_the_table_refuses_a_reading_beyond_its_range(reading: float) -> None:
    with pytest.raises(OutOfRangeError, match="reading"):
        CorrectionTable(1.050, 20.0, 0.0).sg_at_reference(reading, 20.0)


@pytest.mark.parametrize("temp_c", [-0.001, 40.001, math.nan])
def test_the_table_refuses_a_temperature_beyond_its_range(temp_c: float) -> None:
    with pytest.raises(OutOfRangeError, match="temp_c"):
        CorrectionTable(1.050, 20.0, 0.0).sg_at_reference(1.0, temp_c)


def test_the_table_answers_at_its_corners() -> None:
    table = CorrectionTable(None, 20.0, 0.0)
    for reading in (0.975, 1.2):
        for temp_c in (0.0, 40.0):
            assert table.sg_at_reference(reading, temp_c) == pytest.approx(
                sg_at_reference(None, reading, temp_c), abs=5e-6
            )


@pytest.mark.parametrize(
    ("original_gravity", "reference_c", "expansion"),
    [(0.999, 20.0, 0.0), (1.201, 20.0, 0.0), (1.05, -1.0, 0.0), (1.05, 41.0, 0.0), (1.05, 20.0, 1e-3)],
)
def test_the_table_refuses_a_batch_beyond_its_range(
    original_gravity: float, reference_c: float, expansion: float
) -> None:
    with pytest.raises(OutOfRangeError):
        CorrectionTable(original_gravity, reference_c, expansion)
