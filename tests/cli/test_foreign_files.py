"""What a newcomer sees who hands in a spreadsheet export: a German one and an American one, both invented."""

from __future__ import annotations

import csv
import json
import math
import os
import pty
import re
import select
import subprocess
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

if TYPE_CHECKING:
    from tests.cli.conftest import Shell

# Pitched on 9 March 2026 at 12:00 UTC, a reading every half hour for 17 days.
PITCHED = datetime(2026, 3, 9, 12, tzinfo=ZoneInfo("UTC"))
HALF_HOURS = range(1, 17 * 48)


def points(hours: float) -> float:
    return 11.0 + 38.0 / (1.0 + math.exp((hours - 54.0) / 12.0)) + 3.0 * math.exp(-max(0.0, hours - 54.0) / 40.0)


def course(zone: str) -> Iterator[tuple[datetime, float]]:
    for i in HALF_HOURS:
        wobble = 0.2 * math.sin(i * 12.9898) + 0.1 * math.sin(i * 78.233)
        yield (PITCHED + timedelta(minutes=30 * i)).astimezone(ZoneInfo(zone)), points(i / 2) + wobble


@pytest.fixture
def german(lullwort: Shell) -> Path:
    path = lullwort.folder / "gärkeller.csv"
    lines = ["Datum;Uhrzeit;Restextrakt [°P];Temperatur;Bemerkung"]
    for local, level in course("Europe/Berlin"):
        plato = f"{level / 4.0 + 0.02:.2f}".replace(".", ",")
        lines.append(f"{local:%d.%m.%Y};{local:%H:%M};{plato};19,{local.hour % 10};")
    path.write_text("\r\n".join([*lines, ""]), encoding="utf-8-sig")
    return path


@pytest.fixture
def american(lullwort: Shell) -> Path:
    path = lullwort.folder / "garage.csv"
    lines = ["Timestamp,Gravity,Temp (F)"]
    for local, level in course("America/Chicago"):
        stamp = f"{local.month}/{local.day}/{local.year} {local.hour % 12 or 12}:{local:%M} {local:%p}"
        lines.append(f"{stamp},{1.0 + level / 1000.0:.4f},67.{local.hour % 10}")
    path.write_text("\n".join([*lines, ""]))
    return path


@pytest.mark.no_cover
@pytest.mark.parametrize(
    ("export", "vessel", "zone", "original"),
    [("german", "west", "Europe/Berlin", "12,9P"), ("american", "garage", "America/Chicago", "1.052")],
)
def test_each_newcomer_has_the_batch_judged_after_three_commands(
    lullwort: Shell, request: pytest.FixtureRequest, export: str, vessel: str, zone: str, original: str
) -> None:
    file = request.getfixturevalue(export).name
    shown = lullwort("backfill", file, "--dry-run", exits=1).stdout
    assert "no column names the vessel: state --vessel ID" in shown
    assert "have no offset: state --zone" in shown
    lullwort(
        "batch", "open", vessel, "--pitched", "2026-03-09T12:00Z", "--original-gravity", original,
        "--expected-final-gravity", "1.012", "--yeast-min", "60F",
    )  # fmt: skip
    stored = lullwort("backfill", file, "--as-proposed", "--vessel", vessel, "--zone", zone).stdout
    assert f"{len(HALF_HOURS)} rows read, {len(HALF_HOURS)} stored, 0 already known, 0 set aside" in stored
    assert f"  {vessel}: {len(HALF_HOURS)} rows" in stored
    assert "May it be packaged?  Yes" in stored


def test_of_a_lone_reading_no_usual_time_between_readings_is_told(lullwort: Shell) -> None:
    log = "time,vessel,gravity,temperature_c\n2026-03-09T12:30Z,west,1.0420,19.3\n"
    (lullwort.folder / "lone.csv").write_text(log)
    run = lullwort("backfill", "lone.csv", "--dry-run")
    assert "west: 1 reading, " in run.stdout
    assert "usually" not in run.stdout


def test_the_dry_run_shows_rows_units_span_and_step_and_stores_nothing(lullwort: Shell, german: Path) -> None:
    run = lullwort("backfill", german.name, "--dry-run", "--vessel", "west", "--zone", "Europe/Berlin")
    assert (
        "columns: time from Datum and Uhrzeit; gravity from Restextrakt [°P]; temperature from Temperatur" in run.stdout
    )
    assert "gravity in °P, temperature in °C, decimal comma, times dmy, zone Europe/Berlin" in run.stdout
    assert re.search(r"Mon 9 Mar 2026 13:30 CET  west  1[23]\.\d+ °P  19\.3 °C", run.stdout)
    assert f"west: {len(HALF_HOURS)} readings" in run.stdout
    assert "usually every 30 min" in run.stdout
    assert "Doubtful" not in run.stdout
    assert f"lullwort backfill {german.name!r} --vessel west --zone Europe/Berlin --as-proposed" in run.stdout
    assert not (lullwort.folder / "cellar.book").exists()


def test_the_dry_run_has_a_form_for_programs_and_what_is_stored_so_too(lullwort: Shell, german: Path) -> None:
    german.write_text(f"{german.read_text()}27.03.2026;09:00;viel;19,0;\r\n", encoding="utf-8")
    doubtful = json.loads(lullwort("backfill", german.name, "--dry-run", "--json", exits=1).stdout)["files"][0]
    assert [(doubt["field"], doubt["options"].split(",")[0]) for doubt in doubtful["doubts"]] == [
        ("vessel", "--vessel ID"), ("zone", "--zone"),
    ]  # fmt: skip
    assert (doubtful["readable"], doubtful["mapping"]["zone"]) == (True, None)
    stated = (german.name, "--vessel", "west", "--zone", "Europe/Berlin", "--json")
    (told,) = json.loads(lullwort("backfill", "--dry-run", *stated, exits=1).stdout)["files"]
    assert list(told) == [
        "file", "readable", "mapping", "found", "columns", "doubts", "unzoned", "first", "vessels", "vessel_count",
        "reading_count", "remarks", "set_aside", "set_aside_count",
    ]  # fmt: skip
    assert told["first"][0]["at"] == "2026-03-09T12:30:00Z"
    assert (told["mapping"]["gravity"], told["mapping"]["decimal"], told["doubts"]) == ("plato", "comma", [])
    assert told["first"][0]["gravity"] == pytest.approx(49.0 / 4.0, abs=0.8)
    (west,) = told["vessels"]
    assert (west["vessel"], west["readings"], west["step_s"], west["gap_count"]) == ("west", len(HALF_HOURS), 1800.0, 0)
    (aside,) = told["set_aside"]
    assert (aside["line"], aside["seen"], told["set_aside_count"]) == (len(HALF_HOURS) + 2, "viel", 1)
    ran = lullwort("backfill", "--as-proposed", "--store-only", *stated, exits=1)
    (stored,) = json.loads(ran.stdout)["files"]
    assert (stored["rows"], stored["stored"], stored["already_known"]) == (len(HALF_HOURS) + 1, len(HALF_HOURS), 0)
    assert (stored["set_aside"], stored["vessels"]) == (told["set_aside"], told["vessels"])
    assert stored["import"] in lullwort("withdraw").stdout


def test_the_dry_run_of_several_dirty_files_tells_gaps_repeats_disorder_and_bad_rows(lullwort: Shell) -> None:
    hours = [0, 1, 1, 2, 30, 31, 60, 61, 90, 91, 120, 121, 150, 151, 180, 181, 3]
    rows = [f"2026-03-{2 + h // 24:02d}T{h % 24:02d}:00:00Z,north,1.0500,20.0" for h in hours]
    lullwort.write("a.csv", "\n".join(["time,vessel,gravity,temperature,colour", *(f"{row},red" for row in rows)]))
    rows[4] = "sometime,north,1.0500,20.0"
    lullwort.write("b.csv", "\n".join(["time,vessel,gravity,temperature", *rows]))
    lullwort.write("c.csv", "Zeit;Dichte\n02.03.2026 10:00;1,050\n")
    shown = lullwort("replay", "a.csv", "b.csv", "c.csv", "--dry-run", exits=1).stdout
    of_a, of_b, of_c = shown.split(": how it would be read")[1:]
    assert "gap of 27 h from Mon 2 Mar 2026 03:00 UTC" in of_a
    assert "and 1 more gap" in of_a
    assert "1 reading at an instant that has another" in of_a
    assert "not in order of time, which does no harm" in of_a
    assert "columns not used: colour" in of_a
    assert "1 row would be set aside:\n    b.csv:6: time is 'sometime'" in of_b
    assert "no column looks like the temperature: state --column temperature=NAME or --without temperature" in of_c
    assert "in dates such as '02.03.2026 10:00' day and month both fit: state --times dmy or --times mdy" in of_c
    assert "# times = ?" in of_c


def test_a_mapping_that_cannot_be_is_refused_by_its_key_in_the_settings(lullwort: Shell) -> None:
    lullwort.write("settings.toml", '[mapping.keller]\ntimes = "dmy hms"\n')
    says = lullwort("replay", "x.csv", env={"LULLWORT_SETTINGS": "settings.toml"}, exits=2).stderr
    assert "settings.toml: mapping 'keller': times is 'dmy hms', expected one of iso, ymd" in says
    lullwort.write("settings.toml", 'mapping = "keller"\n')
    says = lullwort("replay", "x.csv", env={"LULLWORT_SETTINGS": "settings.toml"}, exits=2).stderr
    assert "expected tables headed [mapping.NAME]" in says
    assert "expected ROLE=NAME such as" in lullwort("replay", "x.csv", "--column", "gravity", exits=2).stderr


def test_what_is_doubtful_is_refused_without_a_word_of_guessing(lullwort: Shell, american: Path) -> None:
    run = lullwort("backfill", american.name, "--as-proposed", "--vessel", "garage", exits=2)
    assert "have no offset: state --zone" in run.stderr
    assert run.stdout == ""


def test_a_mapping_saved_in_the_settings_is_named_and_overruled(lullwort: Shell, german: Path) -> None:
    shown = lullwort("replay", german.name, "--dry-run", "--vessel", "west", "--zone", "Europe/Berlin").stdout
    lines = shown.partition("[mapping.NAME]")[2].partition("To read it so")[0]
    settings = lullwort.folder / "settings.toml"
    settings.write_text("[mapping.keller]" + lines)
    env = {"LULLWORT_SETTINGS": "settings.toml"}
    named = lullwort("backfill", german.name, "--mapping", "keller", env=env).stdout
    assert f"{len(HALF_HOURS)} stored" in named
    assert (
        "expected one saved in the settings (keller)"
        in lullwort("backfill", german.name, "--mapping", "celler", env=env, exits=2).stderr
    )
    assert (
        "no column called 'SG' for gravity"
        in lullwort("backfill", german.name, "--mapping", "keller", "--column", "gravity=SG", env=env, exits=2).stderr
    )


def test_a_zone_that_is_typed_overrules_that_of_a_mapping(lullwort: Shell, german: Path) -> None:
    lullwort.write("settings.toml", 'zone = "Asia/Tokyo"\n[mapping.keller]\nzone = "Europe/Berlin"\n')
    words = ("replay", german.name, "--mapping", "keller", "--dry-run", "--vessel", "west")
    env = {"LULLWORT_SETTINGS": "settings.toml"}
    assert "zone Europe/Berlin" in lullwort(*words, env=env).stdout
    assert "zone America/Chicago" in lullwort(*words, "--zone", "America/Chicago", env=env).stdout


def test_the_rows_set_aside_can_be_had_as_a_file(lullwort: Shell, american: Path) -> None:
    rows = american.read_text().splitlines()
    rows[5], rows[9] = "3/10/2026 1:30 AM,high,67", "sometime,1.05,67"
    american.write_text("\n".join(rows))
    stated = ("--as-proposed", "--vessel", "garage", "--zone", "America/Chicago", "--set-aside", "aside.csv")
    run = lullwort("backfill", american.name, *stated, exits=1)
    assert f"{len(HALF_HOURS)} rows read" in run.stdout
    with (lullwort.folder / "aside.csv").open(newline="") as file:
        found = list(csv.DictReader(file))
    assert [(row["line"], row["column"], row["seen"]) for row in found] == [
        ("6", "Gravity", "high"), ("10", "Timestamp", "sometime")
    ]  # fmt: skip
    assert found[0]["row"] == rows[5]
    log = american.read_text()
    for there in ("garage.csv", "aside.csv", "cellar.book"):
        run = lullwort("backfill", american.name, *stated[:-1], there, exits=1)
        assert f"{there}: is there already" in run.stderr
        assert run.stdout == ""
    assert american.read_text() == log
    assert "cannot be written" in lullwort("backfill", american.name, *stated[:-1], "no/such/aside.csv", exits=3).stderr


def test_of_several_files_none_is_stored_where_one_must_be_refused(lullwort: Shell) -> None:
    lullwort.write("good.csv", "time,vessel,gravity,temperature\n2026-03-02T09:00Z,north,1.05,20\n")
    lullwort.write("odd.csv", "time,vessel,gravity,temperature\n2026-03-02 09:00,north,1.05,20\n")
    assert "odd.csv" in lullwort("backfill", "good.csv", "odd.csv", exits=2).stderr
    assert not (lullwort.folder / "cellar.book").exists()


def test_a_long_import_shows_its_progress_on_a_terminal(lullwort: Shell) -> None:
    row = "2026-03-02T09:{:02d}:{:02d}Z,north,1.0500,20.00{}\n"
    with (lullwort.folder / "long.csv").open("w") as file:
        file.write("time,vessel,gravity,temperature\n")
        file.writelines(row.format(i // 60 % 60, i % 60, "0" * 200) for i in range(60_000))
    leader, follower = pty.openpty()
    command = [*lullwort.program, "backfill", "long.csv", "--store-only"]
    env = {**os.environ, "LULLWORT_BOOK": "cellar.book", "TERM": "xterm", "COLUMNS": "100"}
    with subprocess.Popen(command, cwd=lullwort.folder, stderr=follower, stdout=subprocess.PIPE, env=env) as run:
        os.close(follower)
        seen = b""
        while select.select([leader], [], [], 60)[0]:
            try:
                data = os.read(leader, 4096)
            except OSError:  # the other side has closed: Linux says so by an error
                break
            if not data:
                break
            seen += data
        run.wait()
    os.close(leader)
    assert b"long.csv" in seen
    assert b"%" in seen


@pytest.mark.no_cover
def test_nothing_of_a_bar_is_shown_where_there_is_no_terminal(lullwort: Shell, american: Path) -> None:
    american.write_text(american.read_text() + "\n" * (9 << 20))
    stated = ("--as-proposed", "--vessel", "garage", "--zone", "America/Chicago")
    assert "%" not in lullwort("backfill", american.name, *stated).stderr
