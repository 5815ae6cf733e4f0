"""What is said of a batch of which nothing is known yet."""

from __future__ import annotations

from typing import Any

Shell = Any  # the fixture's class lives in conftest.py


def test_before_its_first_hour_nobody_is_sent_to_the_sensor_without_need(lullwort: Shell) -> None:
    lullwort("batch", "open", "north", "--pitched", "2026-03-02T09:00Z")
    said = lullwort("verdict").stdout
    assert "Wait for a full hour of readings. If none come, see to the sensor's battery" in " ".join(said.split())
    assert all(line == line.rstrip() for line in said.splitlines())
