"""What is said of a batch of which nothing is known yet."""

from __future__ import annotations

from typing import Any

Shell = Any  # the fixture's class lives in conftest.py


def test_before_its_first_hour_nobody_is_sent_to_the_sensor_without_need(lullwort: Shell) -> None:
    lullwort("batch", "open", "north", "--pitched", "2026-03-02T09:00Z")
    said = lullwort("verdict").stdout
    assert "Wait for a full hour of readings. If none come, see to the sensor's battery" in " ".join(said.split())
    assert all(line == line.rstrip() for line in said.splitlines())


def test_a_dry_hop_within_the_hour_that_runs_stands_below_the_answer(stored: Shell) -> None:
    stored("note", "north", "dry hop", "--at", "2026-08-02T14:55Z")
    said = stored("verdict", "north", "--as-of", "2026-08-02T14:57Z", "--zone", "UTC").stdout
    answer = next(line for line in said.splitlines() if line.startswith("May it be packaged?"))
    below = " ".join(said.partition(answer)[2].split())
    says = "Noted since: dry hop at 14:55; it counts from 15:00 on. Do not package on this answer."
    assert "Yes" in answer
    assert below.startswith(says)
    assert "Next: Wait, and package nothing" in below
    assert says in " ".join(stored("sheet", "north", "--as-of", "2026-08-02T14:57Z", "--zone", "UTC").stdout.split())
    later = stored("verdict", "north", "--as-of", "2026-08-02T15:00Z").stdout
    assert "Noted since" not in later
    assert "Yes" not in later
