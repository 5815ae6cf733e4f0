"""What a sensor's log teaches is kept when its batch is closed, told, learned again and forgotten."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lullwort.records import format_utc
from lullwort.rehearsal import Invented, batches_toml, csv_text, invent, renamed

Shell = Any  # the fixture's class lives in conftest.py


@pytest.fixture(scope="session")
def chilled() -> Invented:
    return renamed(invent("cold crash after the end", 3), "north", "north-3")


@pytest.fixture(scope="module")
def stored(shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory, chilled: Invented) -> Path:
    shell = shell_in(tmp_path_factory.mktemp("stored"))
    shell.write("north.csv", csv_text(chilled))
    shell.write("north.toml", batches_toml(chilled))
    shell("backfill", "north.csv", "--batches", "north.toml")
    return Path(shell.folder)


@pytest.fixture
def filled(lullwort: Shell, stored: Path) -> Shell:
    shutil.copytree(stored, lullwort.folder, dirs_exist_ok=True)
    return lullwort


def closed(shell: Shell, of: Invented) -> str:
    said = shell("batch", "close", "batch:north-3", "--packaged", format_utc(of.newest_us)).stdout
    assert isinstance(said, str)
    return said


def test_closing_a_batch_teaches_its_sensor_and_says_so(filled: Shell, chilled: Invented) -> None:
    assert "answer to temperature: nothing learned" in filled("sensor").stdout
    said = closed(filled, chilled)
    assert "By the log of north-3 sensor north reads 0.5" in said
    assert "points lower for each °C warmer, give or take 0.0" in said
    assert "kept with the sensor and taken off wherever it speaks" in said
    told = filled("sensor", "north").stdout
    assert told.startswith("sensor north: heard in north, last ")
    assert "; batches north-3" in told
    assert "for each °F warmer" in filled("sensor", "north", "--temperature", "F", "--gravity", "plato").stdout
    assert "learned from 1 batch, which is taken off" in " ".join(filled("why", "batch:north-3").stdout.split())


def test_the_document_has_all_that_is_kept(filled: Shell, chilled: Invented) -> None:
    closed(filled, chilled)
    document = json.loads(filled("sensor", "--json", "--explain").stdout)
    (sensor,) = document["sensors"]
    assert list(sensor) == [
        "sensor", "heard", "batches", "calibration", "temperature_answer", "not_taken_off", "temperature_answers",
    ]  # fmt: skip
    assert sensor["temperature_answer"]["points_per_k"] == sensor["temperature_answers"][0]["points_per_k"] < -0.3
    assert sensor["temperature_answer"]["learned"].startswith("20")
    assert {"figure", "formula", "source"} == set(document["explained"][0])
    assert "Source: [Birge1932]" in filled("sensor", "--explain").stdout


def test_it_is_forgotten_and_learned_again(filled: Shell, chilled: Invented) -> None:
    closed(filled, chilled)
    before = json.loads(filled("sensor", "--json").stdout)
    assert "nothing learned" in filled("sensor", "north", "--forget").stdout
    assert "no answer to temperature was learned" in filled("sensor", "north", "--forget", exits=1).stderr
    assert "By the log of north-3" in filled("sensor", "--learn").stdout
    assert json.loads(filled("sensor", "--json").stdout) == before


def test_learning_twice_counts_once(filled: Shell, chilled: Invented) -> None:
    closed(filled, chilled)
    filled("sensor", "--learn")
    (sensor,) = json.loads(filled("sensor", "--json").stdout)["sensors"]
    assert len(sensor["temperature_answers"]) == 1


def test_a_batch_that_teaches_nothing_says_why(logged: Shell) -> None:
    logged("backfill", "north.csv", "--batches", "north.toml")
    said = logged("batch", "close", "north-12", "--packaged", "2026-07-22T18:00:00Z").stdout
    assert "How sensor north answers to temperature was not learned from north-12: its log has no stretch" in said


def test_what_cannot_be_meant_is_refused(filled: Shell) -> None:
    assert "did you mean 'north'?" in filled("sensor", "nort", exits=1).stderr
    assert "`lullwort sensor` lists those it knows" in filled("sensor", "zzz", exits=1).stderr
    assert "give one of the two" in filled("sensor", "north", "--learn", "--forget", exits=2).stderr
    assert "name the sensor" in filled("sensor", "--forget", exits=2).stderr


def test_an_empty_book_has_heard_no_sensor(lullwort: Shell) -> None:
    lullwort("batch", "open", "north", "--pitched", "2026-07-01T00:00Z")
    assert "No sensor was heard yet." in lullwort("sensor").stdout
