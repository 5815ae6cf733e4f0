"""Forecasts as commands ask for them: by logs or by the book the same, each earlier batch judged once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import msgspec
import pytest
from click.testing import CliRunner

from lullwort.cellarbook import open_book
from lullwort.cli.foreseeing import foreseen_by_book
from lullwort.cli.judging import judge_book, judge_logs
from lullwort.cli.logs import Logs
from lullwort.cli.main import lullwort as command
from lullwort.detector import Judged, judge
from lullwort.forecast import Forecast
from lullwort.records import HOUR_US, Batch, VesselReadings
from lullwort.rehearsal import Invented, batches_toml, csv_lines, invent_repeats, renamed
from lullwort.standing import foreseen_by_readings, judging, over_before

LOOK_H = 80
DAY_US = 24 * HOUR_US


@pytest.fixture(scope="module")
def repeats() -> list[Invented]:
    """Three fast ales of one recipe after each other in vessel north, the third under way."""
    made = [renamed(one, "north", f"north-{n}") for n, one in enumerate(invent_repeats("fast ale", 5, 3), 1)]
    last = made[-1]
    until_us = last.batch.pitched_us + LOOK_H * HOUR_US
    made[-1] = replace(last, readings=[r for r in last.readings if r.at_us < until_us])
    return made


def by_logs(repeats: list[Invented], as_of_us: int | None) -> Forecast | None:
    readings = VesselReadings.of([reading for one in repeats for reading in one.readings])
    logs, batches = Logs({"north": readings}, [], {}), [one.batch for one in repeats]
    return foreseen_by_readings(judge_logs(logs, batches, as_of_us), logs.readings, batches)[-1].forecast


@pytest.fixture
def stored(repeats: list[Invented], tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("north.csv").write_text("".join(csv_lines(*repeats)), encoding="utf-8")
    Path("north.toml").write_text(batches_toml(*repeats), encoding="utf-8")
    words = "backfill north.csv --batches north.toml --store-only --book cellar.book"
    assert CliRunner().invoke(command, words).exit_code == 0
    return tmp_path / "cellar.book"


@pytest.mark.no_cover
def test_by_logs_and_by_the_book_it_is_the_same_and_stating_the_instant_changes_nothing(
    repeats: list[Invented], stored: Path
) -> None:
    forecast = by_logs(repeats, None)
    assert forecast is not None
    assert forecast.repeats == 2
    # What an earlier batch teaches ends with it, however much of the log is read after it.
    assert by_logs(repeats, repeats[-1].readings[-1].at_us) == forecast
    with open_book(stored) as book:
        (entry,) = foreseen_by_book(judge_book(book, "north", None, only={"north-3"}), book)
    assert entry.forecast == forecast


def test_of_what_is_ready_or_whose_vessel_holds_another_nothing_is_foreseen(repeats: list[Invented]) -> None:
    first = msgspec.structs.replace(repeats[0].batch, packaged_us=None)
    logs = Logs({"north": VesselReadings.of(repeats[0].readings)}, [], {})

    def told(*batches: Batch, at_h: int | None = None) -> tuple[str, Forecast | None]:
        as_of_us = None if at_h is None else first.pitched_us + at_h * HOUR_US
        entry = foreseen_by_readings(judge_logs(logs, batches, as_of_us), logs.readings, batches)[0]
        assert entry.judged is not None
        return entry.judged.verdict, entry.forecast

    assert told(first) == ("ready", None)
    next_one = Batch(vessel="north", name="next", pitched_us=first.pitched_us + 60 * HOUR_US)
    assert told(first, next_one) == ("fermenting", None)
    # before the next pitch it was its own, as if nothing had been pitched since
    assert told(first, next_one, at_h=50) == told(first, at_h=50)
    assert told(first, at_h=50)[1] is not None


def test_each_earlier_batch_is_judged_once_whoever_draws_on_it(
    repeats: list[Invented], stored: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with open_book(stored) as book:
        under_way = repeats[-1].batch
        book.batches.put(msgspec.structs.replace(under_way, vessel="south", name="south-1"))
        entries = [entry for entry in judge_book(book, None, None) if entry.batch and entry.batch.packaged_us is None]
        judged: list[str] = []

        def noted(batch: Batch, *args: Any, **kwargs: Any) -> Judged:
            judged.append(batch.name)
            return judge(batch, *args, **kwargs)

        monkeypatch.setattr(judging, "judge", noted)
        told = foreseen_by_book(entries, book)
    assert [entry.forecast.repeats for entry in told if entry.forecast] == [2, 0]
    assert sorted(judged) == ["north-1", "north-2"]


def test_what_is_over_teaches_the_newest_twelve_and_nothing_that_was_under_way() -> None:
    def of(name: str, day: int, vessel: str = "west", recipe: str = "pale", packaged_us: int | None = None) -> Batch:
        return Batch(vessel=vessel, name=name, pitched_us=day * DAY_US, recipe=recipe, packaged_us=packaged_us)

    batches = [of(f"b{number}", 10 * number) for number in range(15)]  # each ended by the next pitch
    others = [
        of("open", 0, vessel="east"),
        of("packaged later", 0, vessel="south", packaged_us=200 * DAY_US),
        of("stout", 0, vessel="north", recipe="stout", packaged_us=10 * DAY_US),
    ]
    assert [b.name for b in over_before(batches[-1], [*others, *batches])] == [f"b{n}" for n in range(2, 14)]
    assert over_before(batches[0], batches) == []
    assert over_before(msgspec.structs.replace(batches[-1], recipe=None), batches) == []
