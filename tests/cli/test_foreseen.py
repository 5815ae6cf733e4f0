"""A forecast where it is shown: between strength and what to do next, in the document, and in a calendar's file.

The forecasts are drawn by hand; the beers that they are said of are invented.
"""

from __future__ import annotations

import importlib
import json
from datetime import date
from pathlib import Path
from typing import Any

import msgspec
import pytest
from click.testing import CliRunner, Result
from icalendar import Calendar
from rich.console import Console

from lullwort.cli.document import document
from lullwort.cli.main import lullwort as command
from lullwort.cli.show import show
from lullwort.cli.showwhy import show_why
from lullwort.detector import PRESSED, Change, Judged, judge
from lullwort.detector.snapshot import Sealed
from lullwort.forecast import Forecast, LeftAt, Level, SampleTime, Span
from lullwort.records import HOUR_US, VesselReadings, format_utc, parse_instant, to_datetime
from lullwort.rehearsal import Invented
from lullwort.settings import Settings
from lullwort.standing import Entry

FALLING_H, HOLDING_H, READY_H = 60, 120, 300
SAYS = "Forecast: Likely ready "


def judged(north: Invented, hours: int) -> Judged:
    readings = VesselReadings.of(north.readings)
    return judge(north.batch, readings, as_of_us=north.batch.pitched_us + hours * HOUR_US)


def foreseen(of: Judged, **other: Any) -> Entry:
    def span(low_h: int, about_h: int, high_h: int) -> Span:
        return Span(*(of.as_of_us + hours * HOUR_US for hours in (low_h, about_h, high_h)))

    left = (LeftAt(5.0, span(2, 6, 13)), LeftAt(1.0, span(9, 9, 9)))
    forecast = Forecast(
        of.as_of_us, span(40, 61, 78), Level(12.1, 13.0, 14.2), left,
        SampleTime(of.as_of_us + 36 * HOUR_US, "it then settles the sensor's offset and the end at once"),
        "", "the dry hop began the proof anew", 3,
    )  # fmt: skip
    return Entry("north", of.batch, of, of.as_of_us, 0, forecast=forecast._replace(**other))


def settings() -> Settings:
    return Settings(Path("cellar.book"), "sg", "C", "Europe/Berlin")


def shown(*entries: Entry, width: int = 100, brief: bool = False) -> list[str]:
    page = Console(width=width, highlight=False, emoji=False, markup=False)
    with page.capture() as captured:
        show(list(entries), settings(), page, now_us=0, brief=brief)
    return [line.rstrip() for line in captured.get().splitlines()]


@pytest.mark.parametrize("hours", [FALLING_H, HOLDING_H])
@pytest.mark.parametrize("width", [36, 100])
def test_it_stands_between_strength_and_what_to_do_next(north: Invented, width: int, hours: int) -> None:
    lines = shown(foreseen(judged(north, hours)), width=width)
    heads = [
        "Strength so far ", SAYS[:20], "  5 points left ", "  Best time for a hand sample", "  Moved since the day ",
        "  It draws on 3 earlier", "Next: ",
    ]  # fmt: skip
    at = [next(i for i, line in enumerate(lines) if line.startswith(head)) for head in heads]
    assert at == sorted(at)
    assert max(map(len, lines)) <= width
    answer = lines[at[1] : at[-1]]
    assert len(answer) <= (7 if width == 100 else 18)
    assert "(9 in 10 sure); final gravity 1.012 to 1.014 (4 in 5)." in " ".join(" ".join(answer).split())


def test_with_several_batches_there_is_one_sentence_of_each_and_why_it_has_moved(north: Invented) -> None:
    entry = foreseen(judged(north, FALLING_H))
    lines = shown(entry, entry, brief=True)
    assert sum(line.startswith(SAYS) for line in lines) == 2
    assert sum(line == "  Moved since the day before: the dry hop began the proof anew." for line in lines) == 2
    assert not any("points left T" in line or "hand sample:" in line for line in lines)
    assert "" not in shown(foreseen(judged(north, FALLING_H), moved=""), brief=True)


def test_why_shows_it_too(north: Invented) -> None:
    page = Console(width=100)
    with page.capture() as captured:
        show_why(foreseen(judged(north, FALLING_H)), settings(), page, now_us=0)
    assert SAYS in captured.get()


def test_where_there_is_none_nothing_is_said(north: Invented) -> None:
    entry = foreseen(judged(north, FALLING_H))._replace(forecast=None)
    assert not any("Forecast" in line or "hand sample:" in line for line in shown(entry))
    assert of_document(entry) == {
        "ready_at": None, "low": None, "high": None, "final_gravity": None, "points_left": [], "sample": None,
        "unsaid": "", "moved": "", "repeats": 0, "range_holds": 0.8,
    }  # fmt: skip


def of_document(entry: Entry) -> Any:
    return json.loads(document([entry]))["vessels"][0]["forecast"]


def test_the_document_has_all_of_it_in_sg_and_utc(north: Invented) -> None:
    of = judged(north, FALLING_H)

    def at(hours: int) -> str:
        return format_utc(of.as_of_us + hours * HOUR_US)

    assert of_document(foreseen(of)) == {
        "ready_at": at(61), "low": at(40), "high": at(78),
        "final_gravity": {"value": 1.013, "low": 1.0121, "high": 1.0142},
        "points_left": [
            {"points": 5.0, "at": at(6), "low": at(2), "high": at(13)},
            {"points": 1.0, "at": at(9), "low": at(9), "high": at(9)},
        ],
        "sample": {"at": at(36), "why": "it then settles the sensor's offset and the end at once"},
        "unsaid": "", "moved": "the dry hop began the proof anew", "repeats": 3,
        "range_holds": 0.8,
    }  # fmt: skip
    unsaid = of_document(foreseen(of, ready=None, unsaid="It has only begun."))
    assert (unsaid["ready_at"], unsaid["low"], unsaid["high"], unsaid["unsaid"]) == (
        None, None, None, "It has only begun.",
    )  # fmt: skip


class Exporting:
    """`lullwort export` within this process, of a book whose one batch has this entry."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, entry: Entry) -> None:
        module = importlib.import_module("lullwort.cli.export")
        self.entry = entry
        monkeypatch.setattr(module, "judge_book", lambda *_, **__: [self.entry])
        monkeypatch.setattr(module, "foreseen_by_book", lambda entries, _: list(entries))
        self.runner = CliRunner()
        opened = self.runner.invoke(command, "batch open north --name north-12 --pitched 2026-07-19T00:00Z")
        assert opened.exit_code == 0, opened.output

    def __call__(self, *words: str) -> Result:
        return self.runner.invoke(command, ["export", *words])


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    for name, value in {
        "HOME": str(tmp_path),
        "LULLWORT_BOOK": "cellar.book",
        "XDG_CONFIG_HOME": str(tmp_path),
    }.items():
        monkeypatch.setenv(name, value)
    monkeypatch.delenv("LULLWORT_SETTINGS", raising=False)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def by_title(file: Path) -> dict[str, Any]:
    return {str(event["summary"]): event for event in Calendar.from_ical(file.read_bytes()).walk("VEVENT")}


def test_a_calendar_s_file_has_the_likely_day_and_the_triggers(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    export = Exporting(monkeypatch, foreseen(judged(north, FALLING_H)))
    done = export("plan.ics", "--batch", "north-12", "--zone", "America/Chicago", "--gravity", "plato")
    assert (done.exit_code, done.stdout) == (0, "plan.ics: 5 events of north-12 written\n")
    raw = (folder / "plan.ics").read_bytes()
    assert raw.count(b"\r\n") == raw.count(b"\n")
    found = by_title(folder / "plan.ics")
    ready = found["north-12: ask the verdict (likely ready)"]
    assert list(found) == [
        str(ready["summary"]), "north-12: about 1.27 °P left", "north-12: hand sample",
        "north-12: ask the verdict first (crash start)", "north-12: ask the verdict first (packaging day)",
    ]  # fmt: skip
    # Ready at about 01:00 UTC on Friday: in Chicago on Thursday.
    assert (ready["dtstart"].dt, "Thu 23 Jul evening" in str(ready["description"])) == (date(2026, 7, 23), True)
    sample = str(found["north-12: hand sample"]["description"])
    assert "CDT" in sample
    assert PRESSED not in sample
    assert {str(event["status"]) for event in found.values()} == {"TENTATIVE"}
    assert export("plan.ics", "--batch", "north-12").exit_code == 1  # it is there already
    assert export("plan.ics", "--batch", "north-12", "--overwrite").exit_code == 0


def test_what_was_written_later_has_the_higher_number_whatever_moment_it_is_of(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written_us = parse_instant("2026-08-01T00:00:00Z")
    module = importlib.import_module("lullwort.cli.export")
    export = Exporting(monkeypatch, foreseen(judged(north, HOLDING_H)))
    numbers = []
    for hours, of_h in ((0, HOLDING_H), (1, HOLDING_H), (2, FALLING_H)):
        export.entry = foreseen(judged(north, of_h))
        monkeypatch.setattr(module, "now_us", lambda hours=hours: written_us + hours * HOUR_US)
        assert export("plan.ics", "--batch", "north-12", "--overwrite").exit_code == 0
        numbers.append({int(event["sequence"]) for event in by_title(folder / "plan.ics").values()})
    (first,), *_ = numbers
    assert numbers == [{first}, {first + 3600}, {first + 7200}]


def test_the_sample_of_a_sealed_vessel_carries_its_caution_into_the_calendar(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    of = judged(north, FALLING_H)
    sealed = of._replace(now=msgspec.structs.replace(of.now, sealed=Sealed(40.0, 0.0)))
    assert Exporting(monkeypatch, foreseen(sealed))("plan.ics", "--batch", "north-12").exit_code == 0
    found = by_title(folder / "plan.ics")
    assert [title for title, event in found.items() if PRESSED in str(event["description"])] == [
        "north-12: hand sample"
    ]
    assert "ferments under pressure" in str(found["north-12: about 5 points left"]["description"])


def test_where_no_day_is_foreseen_the_calendar_takes_it_out(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    entry = foreseen(judged(north, FALLING_H), ready=None, left=(), sample=None, end=None, unsaid="It has only begun.")
    done = Exporting(monkeypatch, entry)("plan.ics", "--batch", "north-12")
    assert (done.exit_code, done.stdout) == (0, "plan.ics: 4 events of north-12 (4 of them cancelled) written\n")
    found = by_title(folder / "plan.ics")
    assert {title: str(event["status"]) for title, event in found.items()} == {
        "north-12: no day foreseen": "CANCELLED", "north-12: no hand sample": "CANCELLED",
        "north-12: no crash start planned": "CANCELLED", "north-12: no packaging day planned": "CANCELLED",
    }  # fmt: skip
    assert "It has only begun." in str(found["north-12: no day foreseen"]["description"])


def test_a_ready_beer_stands_in_the_calendar_since_the_day_it_was(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    of = judged(north, READY_H)
    assert of.ready_us is not None
    entry = foreseen(of)._replace(forecast=None)
    assert Exporting(monkeypatch, entry)("plan.ics", "--batch", "north-12", "--zone", "UTC").exit_code == 0
    found = by_title(folder / "plan.ics")
    assert {title: str(event["status"]) for title, event in found.items()} == {
        "north-12: ready to package": "CONFIRMED", "north-12: hand sample": "TENTATIVE",
        "north-12: ask the verdict first (crash start)": "TENTATIVE",
        "north-12: ask the verdict first (packaging day)": "TENTATIVE",
    }  # fmt: skip
    assert found["north-12: ready to package"]["dtstart"].dt == to_datetime(of.ready_us).date()


@pytest.mark.parametrize(
    ("packaged", "says"),
    [
        (True, "north-12 is packaged: nothing of it is left to plan"),
        (False, "nothing of north-12 can be planned: there is no forecast of it"),
    ],
)
def test_where_there_is_nothing_to_plan_that_is_said_and_nothing_written(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch, packaged: bool, says: str
) -> None:
    of = judged(north, FALLING_H)
    if packaged:
        of = of._replace(history=[Change(of.as_of_us, "packaged", of.now)])
    done = Exporting(monkeypatch, foreseen(of)._replace(forecast=None))("plan.ics", "--batch", "north-12")
    assert str(done.exception) == says
    assert type(done.exception).__name__ == "RefusedError"  # exit 1: tests/cli/test_export.py
    assert not (folder / "plan.ics").exists()


def test_a_calendar_is_of_one_batch(north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done = Exporting(monkeypatch, foreseen(judged(north, FALLING_H)))("plan.ics")
    assert str(done.exception) == "a .ics file holds what can be planned of one batch: name it with --batch"
    assert list(folder.glob("*.ics")) == []


def test_crash_and_packaging_are_planned_as_asked_and_moved_or_taken_out_by_a_later_file(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # As of Tue 21 Jul 2026 12:00 UTC; likely ready on Friday 24 Jul at 01:00, at the latest on Friday at 18:00.
    export = Exporting(monkeypatch, foreseen(judged(north, FALLING_H)))

    def written(*words: str) -> dict[str, tuple[date, str, str]]:
        done = export("plan.ics", "--batch", "north-12", "--overwrite", "--zone", "UTC", *words)
        assert done.exit_code == 0, done.exception
        return {
            title.removeprefix("north-12: "): (event["dtstart"].dt, str(event["status"]), str(event["uid"]))
            for title, event in by_title(folder / "plan.ics").items()
        }

    crash, packaging = "ask the verdict first (crash start)", "ask the verdict first (packaging day)"
    usual = written()
    assert [usual[title][:2] for title in (crash, packaging)] == [
        (date(2026, 7, 24), "TENTATIVE"), (date(2026, 7, 26), "TENTATIVE"),
    ]  # fmt: skip
    longer = written("--crash-days", "5")
    assert [longer[title][0] for title in (crash, packaging)] == [date(2026, 7, 24), date(2026, 7, 29)]
    wished = written("--on", "2026-08-02")
    assert [wished[title][0] for title in (crash, packaging)] == [date(2026, 7, 31), date(2026, 8, 2)]
    warm = written("--crash-days", "0")
    assert warm["no crash start planned"][1:] == ("CANCELLED", usual[crash][2])
    assert warm[packaging][0] == date(2026, 7, 24)
    assert {usual[packaging][2], longer[packaging][2], wished[packaging][2], warm[packaging][2]} == {
        usual[packaging][2]
    }
    says = str(by_title(folder / "plan.ics")["north-12: " + packaging]["description"])
    assert "Ask `lullwort verdict` first" in says
    assert "Bottles can burst" in says


def test_a_day_before_the_proof_is_likely_is_refused_and_nothing_written(
    north: Invented, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    export = Exporting(monkeypatch, foreseen(judged(north, FALLING_H)))
    done = export("plan.ics", "--batch", "north-12", "--on", "2026-07-24")
    assert str(done.exception) == (
        "Fri 24 Jul is refused as packaging day: it must be chilled on Wed 22 Jul, and the proof is hardly there by "
        "then. Likely from Sun 26 Jul on."
    )
    assert type(done.exception).__name__ == "RefusedError"
    assert not (folder / "plan.ics").exists()
    for words in (("--on", "2026-08-01"), ("--crash-days", "3")):
        other = export("north.csv", *words)
        assert f"{words[0]} does not go with a .csv file" in str(other.exception)
