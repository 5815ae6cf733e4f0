"""Which batches get a forecast, and what it draws on: the same from a book and from files."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec
import pytest
from click.testing import CliRunner
from icalendar import Calendar

from lullwort.cellarbook import open_book
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.judging import judge_book, judge_logs
from lullwort.cli.logs import Logs
from lullwort.cli.main import lullwort as command
from lullwort.forecast import Forecast
from lullwort.records import HOUR_US, Batch, VesselReadings, format_utc, to_datetime
from lullwort.rehearsal import Invented, batches_toml, csv_lines, invent, renamed
from lullwort.rehearsal.repeats import invent_repeats
from lullwort.standing import Entry, foreseen_by_readings

AFTER_H = 70
KIND = "fast ale"


@pytest.fixture(scope="module")
def repeats() -> list[Invented]:
    """Three of one recipe that were packaged, and a fourth; its log goes on to the end."""
    return [renamed(of, "north", f"north-{n}") for n, of in enumerate(invent_repeats(KIND, 5, 4), 1)]


@pytest.fixture(scope="module")
def stored(repeats: list[Invented], tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("foreseen")
    (folder / "north.csv").write_text("".join(csv_lines(*repeats)), encoding="utf-8")
    (folder / "north.toml").write_text(batches_toml(*repeats), encoding="utf-8")
    done = CliRunner().invoke(
        command,
        ["backfill", f"{folder}/north.csv", "--batches", f"{folder}/north.toml", "--store-only"],
        env={"LULLWORT_BOOK": f"{folder}/cellar.book"},
    )
    assert done.exit_code == 0, done.output
    return folder / "cellar.book"


def as_of(repeats: list[Invented]) -> int:
    return repeats[-1].batch.pitched_us + AFTER_H * HOUR_US


def by_book(path: Path, as_of_us: int | None) -> dict[str, Forecast | None]:
    with open_book(path) as book:
        return by_name(foreseen_by_book(judge_book(book, None, as_of_us), book))


def by_logs(repeats: list[Invented], batches: list[Batch], as_of_us: int | None) -> dict[str, Forecast | None]:
    readings = VesselReadings.of([reading for of in repeats for reading in of.readings])
    logs = Logs({"north": readings}, [], {})
    return by_name(foreseen_by_readings(judge_logs(logs, batches, as_of_us), logs.readings, batches))


def by_name(entries: list[Entry]) -> dict[str, Forecast | None]:
    return {entry.batch.name: entry.forecast for entry in entries if entry.batch is not None}


def test_only_the_batch_under_way_gets_one_and_it_draws_on_those_before_it(
    repeats: list[Invented], stored: Path
) -> None:
    found = by_book(stored, as_of(repeats))
    assert [name for name, forecast in found.items() if forecast is not None] == ["north-4"]
    forecast = found["north-4"]
    assert forecast is not None
    assert (forecast.repeats, forecast.unsaid) == (3, "")
    assert forecast.ready is not None
    assert by_book(stored, None)["north-4"] is None  # ready by then


@pytest.mark.no_cover
def test_files_foresee_the_same_as_the_book(repeats: list[Invented], stored: Path) -> None:
    batches = [of.batch for of in repeats]
    found = by_logs(repeats, batches, as_of(repeats))
    assert found == by_book(stored, as_of(repeats))


def test_of_another_recipe_or_of_none_nothing_is_learned(repeats: list[Invented]) -> None:
    for recipe in ("stout", None):
        other = msgspec.structs.replace(repeats[-1].batch, recipe=recipe)
        forecast = by_logs(repeats, [*(of.batch for of in repeats[:-1]), other], as_of(repeats))["north-4"]
        assert forecast is not None
        assert forecast.repeats == 0


def test_a_batch_learns_nothing_from_those_that_were_not_over_when_it_was_pitched(repeats: list[Invented]) -> None:
    batches = [of.batch for of in repeats]
    second = batches[1].pitched_us + AFTER_H * HOUR_US
    forecast = by_logs(repeats, batches, second)["north-2"]
    assert forecast is not None
    assert forecast.repeats == 1
    assert forecast == by_logs(repeats[:2], batches[:2], second)["north-2"]


def test_a_batch_that_another_has_followed_gets_none() -> None:
    first = invent(KIND, 6)
    next_us = first.batch.pitched_us + 60 * HOUR_US
    followed = Batch(vessel=first.batch.vessel, name="next", pitched_us=next_us)
    logs = Logs({first.batch.vessel: VesselReadings.of(first.readings)}, [], {})
    batches = [first.batch, followed]
    assert (
        by_name(foreseen_by_readings(judge_logs(logs, batches, next_us + 5 * HOUR_US), logs.readings, batches))[
            first.batch.name
        ]
        is None
    )


@pytest.mark.no_cover
def test_the_answer_and_its_document_say_the_same(repeats: list[Invented], stored: Path) -> None:
    words = ["verdict", "north", "--as-of", format_utc(as_of(repeats)), "--zone", "Europe/Berlin"]
    env = {"LULLWORT_BOOK": str(stored), "COLUMNS": "100"}
    text = CliRunner().invoke(command, words, env=env).output
    assert "Forecast: Likely ready " in text
    assert "It draws on 3 earlier batches of this recipe." in text
    document = json.loads(CliRunner().invoke(command, [*words, "--json"], env=env).output)
    vessel = document["vessels"][-1]
    forecast = by_book(stored, as_of(repeats))["north-4"]
    assert forecast is not None
    assert forecast.ready is not None
    told = vessel["forecast"]
    assert (told["low"], told["ready_at"], told["high"]) == tuple(format_utc(us) for us in forecast.ready)
    assert told["repeats"] == 3


@pytest.mark.no_cover
def test_the_calendar_is_of_the_same_forecast(repeats: list[Invented], stored: Path, tmp_path: Path) -> None:
    # The newest reading of the book lies after `ready`, so the plan is of an earlier moment.
    early = ("--as-of", format_utc(as_of(repeats)), "--zone", "UTC")
    plans = [
        calendar(stored, tmp_path / f"{nth}.ics", *words)
        for nth, words in enumerate([("batch:north-4", *early), ("north", *early), ("north-4",)])
    ]
    forecast = by_book(stored, as_of(repeats))["north-4"]
    assert forecast is not None
    assert forecast.ready is not None
    for plan in plans[:2]:  # the youngest of the vessel is the same batch
        ready = plan["north-4: ask the verdict (likely ready)"]
        assert (ready["status"], ready["dtstart"].dt) == ("TENTATIVE", to_datetime(forecast.ready.about_us).date())
        assert "3 earlier batches of this recipe" in ready["description"]
    assert {title: str(event["status"]) for title, event in plans[2].items()} == {
        "north-4: ready to package": "CONFIRMED", "north-4: hand sample": "TENTATIVE",
        "north-4: ask the verdict first (crash start)": "TENTATIVE",
        "north-4: ask the verdict first (packaging day)": "TENTATIVE",
    }  # fmt: skip


def calendar(book: Path, file: Path, name: str, *words: str) -> dict[str, Any]:
    done = CliRunner().invoke(command, ["export", str(file), "--batch", name, *words], env={"LULLWORT_BOOK": str(book)})
    assert done.exit_code == 0, done.output
    return {str(event["summary"]): event for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT")}
