"""Files of SenML packs at the command line."""

from __future__ import annotations

import csv
import io
import json
from typing import Any

import pytest

from lullwort.records import parse_instant
from lullwort.rehearsal import Invented, csv_text

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


def test_options_that_mean_nothing_for_packs_are_refused_by_name(lullwort: Any) -> None:
    lullwort.write("log.senml", packs())
    said = lullwort("backfill", "log.senml", "--log-gravity", "plato", "--decimal-comma", exits=2).stderr
    assert "is SenML, which states its own names, units and times" in said
    assert "gravity, decimal mean nothing" in said
    assert (
        "temperature means nothing"
        in lullwort("replay", "log.senml", "--log-temperature", "F", "--dry-run", exits=2).stderr
    )
    lullwort("backfill", "log.senml", "--vessel", "north", "--zone", "Europe/Berlin")


def test_a_dry_run_shows_packs_and_that_nothing_is_doubtful(lullwort: Any) -> None:
    lullwort.write("log.senml", packs())
    shown = lullwort("backfill", "--dry-run", "log.senml").stdout
    assert "it is SenML" in shown
    assert "1.012 SG  20.1 °C" in shown


@pytest.mark.no_cover
def test_packs_give_the_same_verdict_as_the_same_values_in_a_readings_file(logged: Any, north: Invented) -> None:
    rows = list(csv.DictReader(io.StringIO(csv_text(north))))
    lines = []
    for i, row in enumerate(rows):
        records = [
            {"n": f"{row['vessel']}:{name}", "u": unit, "v": float(row[name])}
            for name, unit in (("gravity", "/"), ("temperature", "Cel"))
            if row[name]
        ]
        records[0]["bt"] = parse_instant(row["time"]) / 1e6
        if i % 50 == 0:
            records.append({"n": f"{row['vessel']}:battery", "u": "V", "t": 7.5, "v": 3.9})
        lines.append(json.dumps(records))
    logged.write("north.senml", "\n".join(lines))
    from_text, from_packs = (
        logged("replay", name, "--batches", "north.toml").stdout.splitlines() for name in ("north.csv", "north.senml")
    )
    assert any("May it be packaged?  Yes" in line for line in from_text)
    differ = [(one, other) for one, other in zip(from_text, from_packs, strict=True) if one != other]
    # A report of the battery alone is counted as one without gravity, and changes nothing else.
    assert len(differ) == 1
    assert "no gravity" in differ[0][1]
