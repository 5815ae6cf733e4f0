"""Files of SenML packs at the command line."""

from __future__ import annotations

import json
from typing import Any

import pytest

AT_S = 1_772_442_000


def packs(*, spoiled: bool = False) -> str:
    """Two sensors, ten hours; a pack for each hour."""
    return "\n".join(
        json.dumps([
            {"bt": AT_S + hour * 3600.5, "bn": "float-1:", "n": "gravity", "u": "/", "v": 1.012},
            {"n": "temperature", "u": "Cel", "v": 20.1},
            {"n": "vessel", "vs": "north"},
            {"bn": "float-2:", "n": "density", "u": "x" if spoiled and hour == 3 else "kg/m3", "v": 1012.5},
            {"n": "temperature", "u": "K", "v": 293.1},
        ])
        for hour in range(10)
    )  # fmt: skip


@pytest.mark.parametrize("name", ["log.senml", "log.json"])
def test_a_file_of_packs_is_stored_once(lullwort: Any, name: str) -> None:
    lullwort.write(name, packs())
    assert "20 rows read, 20 stored, 0 already known, 0 set aside" in lullwort("backfill", name).stdout
    assert "20 rows read, 0 stored, 20 already known" in lullwort("backfill", name).stdout


def test_records_that_are_set_aside_are_named(lullwort: Any) -> None:
    lullwort.write("log.senml", packs(spoiled=True))
    told = lullwort("replay", "log.senml", exits=1)
    assert "Vessel north" in told.stdout
    assert "Vessel float-2" in told.stdout
    assert "log.senml#rec=19: u is 'x', expected a unit of density: kg/m3" in told.stderr
    # The temperature of that instant is a reading still.
    assert "21 rows read, 20 stored, 0 already known, 1 set aside" in lullwort("backfill", "log.senml", exits=1).stdout


def test_a_dry_run_shows_packs_and_that_nothing_is_doubtful(lullwort: Any) -> None:
    lullwort.write("log.senml", packs())
    shown = lullwort("backfill", "--dry-run", "log.senml").stdout
    assert "it is SenML" in shown
    assert "1.012 SG  20.1 °C" in shown
