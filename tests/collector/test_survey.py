from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from lullwort.collector import LogSurvey, Mapping, VesselSurvey, open_log
from lullwort.records import HOUR_US, parse_instant

ReadCsv = Callable[..., Any]
START_US = parse_instant("2026-03-02T09:00:00Z")


def surveyed(tmp_path: Path, rows: list[str]) -> dict[str, VesselSurvey]:
    path = tmp_path / "log.csv"
    path.write_text("\n".join(["time,vessel,gravity,temperature", *rows, ""]))
    survey = LogSurvey()
    with open_log(path, Mapping(gravity="sg", temperature="C")) as log:
        for block, _ in log.blocks():
            survey.add(block)
    return survey.vessels()


def at(minutes: int) -> str:
    return f"2026-03-02T{9 + minutes // 60:02d}:{minutes % 60:02d}:00Z"


def test_span_step_gaps_and_ranges_are_found(tmp_path: Path) -> None:
    minutes = [0, 30, 60, 180, 210, 240]
    rows = [f"{at(m)},north,{1.05 - m / 1e5:.4f},{20 + m / 100}" for m in minutes]
    (found,) = surveyed(tmp_path, rows).values()
    assert (found.readings, found.first_us, found.last_us) == (6, START_US, START_US + 4 * HOUR_US)
    assert found.step_s == 1800.0
    assert found.gaps == ((START_US + HOUR_US, START_US + 3 * HOUR_US),)
    assert found.gravity == (1.0476, 1.05)
    assert found.temperature == (20.0, 22.4)
    assert (found.repeated, found.unsorted) == (0, False)


def test_disorder_and_repeats_are_told_and_vessels_kept_apart(tmp_path: Path) -> None:
    rows = [f"{at(m)},{vessel},1.05,20" for m in (30, 0, 60, 60) for vessel in ("south", "north")]
    rows.append(f"{at(0)},west,,20")
    found = surveyed(tmp_path, rows)
    assert list(found) == ["north", "south", "west"]
    assert (found["north"].repeated, found["north"].unsorted, found["north"].readings) == (1, True, 4)
    west = found["west"]
    assert (west.readings, west.gaps) == (1, ())
    assert west.step_s != west.step_s
    assert west.gravity[0] != west.gravity[0]
