from __future__ import annotations

import pytest

from lullwort.analysis import HourGatherer, hour_end
from lullwort.errors import OutOfOrderError
from lullwort.records import HOUR_US, Reading

MINUTE = HOUR_US // 60


def reading(minute: float, gravity: float | None, temp_c: float | None = 20.0, sensor: str = "a") -> Reading:
    return Reading(sensor, "north", int(minute * MINUTE), gravity, temp_c)


def gather(*readings: Reading) -> HourGatherer:
    gatherer = HourGatherer()
    for r in readings:
        gatherer.add(r)
    return gatherer


def test_a_reading_at_the_full_hour_belongs_to_the_next() -> None:
    assert hour_end(HOUR_US - 1) == HOUR_US
    assert hour_end(HOUR_US) == 2 * HOUR_US


def test_the_hour_is_the_median_of_its_readings() -> None:
    hour = gather(reading(1, 1.012), reading(20, 1.011, 19.0), reading(40, 1.010, 18.0)).close(HOUR_US)
    assert (hour.gravity, hour.temperature_c, hour.used) == (1.011, 19.0, 3)


def test_an_hour_without_readings_says_so() -> None:
    hour = gather().close(HOUR_US)
    assert (hour.gravity, hour.temperature_c, hour.used) == (None, None, 0)


@pytest.mark.parametrize(
    ("gravity", "temp_c", "why"),
    [
        (0.0, 20.0, "gravity outside 0.975 to 1.200"),
        (1.35, 20.0, "gravity outside 0.975 to 1.200"),
        (None, 20.0, "no gravity"),
        (1.050, 85.0, "temperature outside -5 to 45 °C"),
    ],
)
def test_what_cannot_be_beer_is_passed_over_with_its_reason(gravity: float | None, temp_c: float, why: str) -> None:
    gatherer = gather(reading(1, gravity, temp_c), reading(2, 1.050))
    hour = gatherer.close(HOUR_US)
    assert (hour.gravity, gatherer.used, gatherer.passed_over) == (1.050, 1, {why: 1})


def test_the_temperature_of_a_reading_without_gravity_still_counts() -> None:
    assert gather(reading(1, None, 8.0)).close(HOUR_US).temperature_c == 8.0


def test_a_lone_spike_is_passed_over() -> None:
    gatherer = gather(*(reading(m, 1.050) for m in (1, 2, 3)), reading(4, 1.107))
    assert gatherer.close(HOUR_US).gravity == 1.050
    assert (gatherer.used, gatherer.passed_over) == (3, {"lone spike": 1})


def test_of_two_sensors_the_first_leads_until_it_has_been_silent_for_six_hours() -> None:
    gatherer = gather(reading(1, 1.050, sensor="a"), reading(2, 1.060, sensor="b"))
    assert gatherer.close(HOUR_US).gravity == 1.050
    for hour in range(1, 6):
        gatherer.add(reading(60 * hour + 1, 1.060, sensor="b"))
        closed = gatherer.close((hour + 1) * HOUR_US)
        assert (closed.gravity, closed.sensor_changed) == (None, False)
    gatherer.add(reading(60 * 6 + 1, 1.060, sensor="b"))
    closed = gatherer.close(7 * HOUR_US)
    assert (closed.gravity, closed.sensor_changed) == (1.060, True)
    assert gatherer.passed_over == {"another sensor leads in this vessel": 6}


def test_a_reading_of_a_closed_hour_is_refused() -> None:
    gatherer = gather()
    gatherer.close(HOUR_US)
    with pytest.raises(OutOfOrderError, match="1970-01-01T00:30:00Z"):
        gatherer.add(reading(30, 1.050))


def test_the_step_of_a_coarse_sensor_is_found() -> None:
    values = [1.050, 1.049, 1.050, 1.048, 1.049, 1.047, 1.046, 1.047, 1.046, 1.045]
    gatherer = gather(*(reading(m, g) for m, g in enumerate(values)))
    gatherer.close(HOUR_US)
    assert gatherer.resolution_points == pytest.approx(1.0)


def test_it_remembers_since_when_everything_has_been_the_same() -> None:
    gatherer = gather(reading(1, 1.050), reading(10, 1.024), reading(20, 1.024), reading(30, 1.024))
    gatherer.close(HOUR_US)
    assert gatherer.same_since_us == 10 * MINUTE
    gatherer.add(reading(70, 1.024, 20.5))
    gatherer.close(2 * HOUR_US)
    assert gatherer.same_since_us == 70 * MINUTE
