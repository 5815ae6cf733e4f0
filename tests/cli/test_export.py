"""What is exported comes back as it was, into a fresh book and into its own."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from lullwort.cellarbook import open_book
from lullwort.records import Reading, SensorTraits, format_utc
from lullwort.rehearsal import Invented

Shell = Any  # the fixture's class lives in conftest.py

EVER = (-(2**62), 2**62)
READINGS = ["out.csv", "out.parquet", "out.senml"]


def readings(book: Path) -> list[Reading]:
    with open_book(book, create=False) as opened:
        return [r for vessel in opened.readings.vessels() for r in opened.readings.of(vessel, *EVER)]


def conflicts(book: Path) -> dict[str, int]:
    with open_book(book, create=False) as opened:
        return {vessel: opened.readings.conflicts(vessel, *EVER) for vessel in opened.readings.vessels()}


def histories(shell: Shell, *words: str) -> Any:
    document = json.loads(shell("verdict", "--all", "--json", *words).stdout)
    return [(v["vessel"], v["verdict"], v["history"], v["gravity"], v["evidence"]) for v in document["vessels"]]


@pytest.fixture
def filled(stored: Shell) -> Shell:
    """A book of one ale, a second sensor beside it in other units, and reports that contradict each other."""
    stored.write(
        "other.csv",
        "time,vessel,gravity [°P],temperature [°F],sensor,battery,signal,inclination\n"
        "2026-07-20T00:00:00.25Z,south,12.9,68.3,float-2,3.91,-71.3,25.1\n"
        "2026-07-20T01:00:00.25Z,south,12.7,,float-2,,-72,25\n"
        "2026-07-20T02:00:00.25Z,south,,68.1,float-2,3.9,,\n"
        "2026-07-20T01:30:00.25Z,south,12.2,68.0,float-2,3.9,,\n"
        "2026-07-20T01:30:00.25Z,south,12.3,68.0,float-2,3.9,,\n"
        "2026-07-20T04:00:00.25Z,west,12.2,68.0,float-2,3.9,,\n",
    )
    stored("backfill", "other.csv", "--store-only")
    return stored


@pytest.mark.no_cover
@pytest.mark.parametrize("name", READINGS)
def test_into_a_fresh_book_it_comes_back_to_the_same(filled: Shell, north: Invented, name: str) -> None:
    says = filled("export", name).stdout
    assert says == f"{name}: {len(north.readings) + 6} readings written\n"
    filled("backfill", name, "--batches", "north.toml", "--store-only", "--book", "fresh.book")
    old, new = filled.folder / "cellar.book", filled.folder / "fresh.book"
    assert readings(new) == readings(old)
    assert conflicts(new) == conflicts(old) == {"north": 0, "south": 1, "west": 0}
    assert histories(filled, "--book", "fresh.book") == histories(filled)
    filled("export", f"again-{name}", "--book", "fresh.book")
    if name.endswith("csv"):
        assert (filled.folder / f"again-{name}").read_bytes() == (filled.folder / name).read_bytes()


@pytest.mark.parametrize("name", READINGS)
def test_into_its_own_book_it_brings_nothing_new(filled: Shell, north: Invented, name: str) -> None:
    before = readings(filled.folder / "cellar.book")
    filled("export", name)
    out = filled("backfill", name, "--store-only").stdout
    assert f"{len(north.readings) + 6} rows read, 0 stored, {len(north.readings) + 6} already known" in out
    assert readings(filled.folder / "cellar.book") == before
    assert conflicts(filled.folder / "cellar.book") == {"north": 0, "south": 1, "west": 0}


def test_a_vessel_a_batch_and_a_time_narrow_it_down(filled: Shell, north: Invented) -> None:
    def count(*words: str) -> int:
        return int(filled("export", "part.csv", "--overwrite", *words).stdout.split()[1])

    pitched = north.batch.pitched_us
    assert count("--vessel", "south") == 5
    assert count("--vessel", "west") == 1
    assert count("--batch", "north-12") == sum(r.at_us >= pitched for r in north.readings)
    tenth, twentieth = north.readings[10].at_us, north.readings[20].at_us
    assert count("--vessel", "north", "--from", format_utc(tenth), "--to", format_utc(twentieth)) == 10
    filled("batch", "close", "north-12", "--packaged", format_utc(twentieth))
    assert count("--batch", "north-12") == 20
    assert count("--batch", "north-12", "--from", format_utc(tenth)) == 10


def test_a_batch_ends_where_the_next_one_of_its_vessel_begins(filled: Shell, north: Invented) -> None:
    thirtieth = format_utc(north.readings[30].at_us)
    filled("batch", "open", "north", "--name", "next", "--pitched", thirtieth)
    assert filled("export", "a.csv", "--batch", "north-12").stdout == "a.csv: 30 readings written\n"
    rest = len(north.readings) - 30
    assert filled("export", "b.csv", "--batch", "next").stdout == f"b.csv: {rest} readings written\n"


def test_a_pack_has_every_reading(filled: Shell, north: Invented) -> None:
    filled("export", "out.senml")
    pack = json.loads((filled.folder / "out.senml").read_text())
    gravities = [record for record in pack if record["n"] == "gravity"]
    assert len(gravities) == sum(r.gravity is not None for r in north.readings) + 5
    assert {record["vs"] for record in pack if "vs" in record} == {"south", "west"}


def test_batches_come_back_as_they_were(filled: Shell) -> None:
    filled("note", "north", "dry hop", "--at", "2026-07-22T00:00Z", "--words", 'late "hops"')
    filled("batch", "open", "south", "--name", "south-1", "--pitched", "2026-07-20T00:00Z")
    assert filled("export", "all.toml").stdout == "all.toml: 2 batches written\n"
    for words in (["--vessel", "south"], ["--batch", "south-1"]):
        filled("export", "one.toml", "--overwrite", *words)
        assert "north" not in (filled.folder / "one.toml").read_text()
    filled("export", "log.csv")
    filled("backfill", "log.csv", "--batches", "all.toml", "--store-only", "--book", "fresh.book")
    with open_book(filled.folder / "cellar.book") as old, open_book(filled.folder / "fresh.book") as new:
        assert new.batches.all() == old.batches.all()


def test_a_record_of_a_batch_says_what_the_book_says(filled: Shell, north: Invented) -> None:
    filled("verdict")
    says = filled("export", "north.json", "--batch", "north-12").stdout
    assert says == "north.json: the record of north-12 written\n"
    record = json.loads((filled.folder / "north.json").read_text())
    schema = json.loads(filled("export", "--schema").stdout)
    jsonschema.Draft202012Validator(schema).validate(record)
    answer = json.loads(filled("verdict", "north", "--json").stdout)["vessels"][0]
    assert (record["verdict"], record["reason"], record["as_of"]) == (
        answer["verdict"], answer["reason"], answer["as_of"],
    )  # fmt: skip
    for kept, told in zip(record["history"], answer["history"], strict=True):
        assert [kept[name] for name in ("at", "verdict", "reason")] == [
            told[name] for name in ("at", "verdict", "reason")
        ]
        assert kept["evidence"] == [{k: v for k, v in c.items() if k != "changes_when"} for c in told["evidence"]]
    assert [told["says"] for told in record["told"]] == ["READY TO PACKAGE."]
    assert record["gravity"]["value"] == pytest.approx(answer["gravity"]["value"], abs=1e-5)
    assert record["readings"]["used"] == answer["readings"]["used"]
    assert record["readings"]["last_at"] == format_utc(north.readings[-1].at_us)
    filled("batch", "open", "south", "--name", "south-1", "--pitched", "2026-07-20T00:00Z")
    filled("export", "south.json", "--batch", "south-1")
    assert json.loads((filled.folder / "south.json").read_text())["readings"]["conflicts"] == 1


def test_batteries_that_have_no_place_are_told_with_exit_1(lullwort: Shell) -> None:
    row = "2026-07-20T0{}:00:00Z,south,1.05,20,{}\n"
    for unit, battery in (("V", "3.9"), ("%", "80")):
        name = f"{unit.replace('%', 'p')}.csv"
        lullwort.write(name, f"time,vessel,gravity,temperature,battery [{unit}]\n" + row.format(0, battery))
        lullwort("backfill", name, "--store-only")
    run = lullwort("export", "out.csv", exits=1)
    assert "1 batteries in per cent are left out beside those in volts" in run.stderr
    assert "3.9" in (lullwort.folder / "out.csv").read_text()
    lullwort("export", "out.senml")
    assert '"V","v":3.9' in (lullwort.folder / "out.senml").read_text()
    assert '"%EL","v":80.0' in (lullwort.folder / "out.senml").read_text()


def test_reports_of_a_battery_alone_are_told_and_go_into_a_pack(lullwort: Shell) -> None:
    records = [{"bn": "float-2:", "n": "battery", "u": "V", "v": 3.9, "t": 1784505600}]
    records.append({"n": "gravity", "u": "/", "v": 1.05, "t": 1784509200})
    lullwort.write("pack.senml", json.dumps(records))
    lullwort("backfill", "pack.senml", "--store-only")
    run = lullwort("export", "out.csv", exits=1)
    assert run.stdout == "out.csv: 1 reading written\n"
    assert "1 reports without gravity and temperature are left out" in run.stderr
    assert lullwort("export", "out.senml").stdout == "out.senml: 2 readings written\n"


def test_the_book_is_copied_and_never_written_over(filled: Shell) -> None:
    assert filled("export", "copy.book").stdout == "copy.book: a copy of the cellar book written\n"
    assert filled.everything(filled.folder / "copy.book") == filled.everything(filled.folder / "cellar.book")
    assert "is there already" in filled("export", "copy.book", exits=1).stderr
    filled("export", "copy.book", "--overwrite")
    sqlite3.connect(filled.folder / "copy.book").execute("PRAGMA integrity_check").close()
    assert "is the cellar book itself" in filled("export", "cellar.book", "--overwrite", exits=2).stderr
    (filled.folder / "link.csv").symlink_to(filled.folder / "cellar.book")
    assert "is the cellar book itself" in filled("export", "link.csv", "--overwrite", exits=2).stderr


@pytest.mark.parametrize(
    ("words", "exits", "says"),
    [
        (["out.txt"], 2, "its format is not known, expected a name in .csv, .parquet, .senml, .json"),
        (["out"], 2, "its format is not known"),
        (["out.book", "--vessel", "north"], 2, "--vessel does not go with a .book file, which holds the whole book"),
        (["out.csv", "--as-of", "now"], 2, "--as-of does not go with a .csv file, which holds readings"),
        (["out.json", "--batch", "north-12", "--as-of", "now"], 2, "--as-of does not go with a .json file"),
        (["out.ics", "--batch", "north", "--as-of", "2026-07-01T00:00Z"], 1, "'north' was pitched yet at that time"),
        (["out.ics", "--batch", "south"], 1, "no batch of 'south' was pitched yet; `lullwort batch list`"),
        (["out.ics", "--vessel", "north"], 2, "--vessel does not go with a .ics file"),
        (["out.json"], 2, "a .json file holds the record of one batch: name it with --batch"),
        (["out.json", "--batch", "nothing"], 1, "the book knows no vessel or batch 'nothing'"),
        ([], 2, "no FILE is named"),
        (["out.toml", "--to", "now"], 2, "--to does not go with a .toml file, which holds batches"),
        (["out.csv", "--vessel", "north", "--batch", "north-12"], 2, "do not go together"),
        (["out.csv", "--from", "2026-08-01T00:00Z", "--to", "2026-08-01T00:00Z"], 2, "--from is not before --to"),
        (["out.csv", "--from", "2026-08-01T00:00"], 2, "has no zone"),
        (["out.csv", "--vessel", "nowhere"], 1, "the book knows no vessel 'nowhere'"),
        (["out.csv", "--batch", "nothing"], 1, "the book knows no vessel or batch 'nothing'"),
        (["north.csv"], 1, "north.csv: is there already; --overwrite writes over it"),
        (["no/out.csv"], 3, "no/out.csv: cannot be written: No such file or directory"),
        (["out.csv", "--book", "none.book"], 3, "none.book"),
    ],
)
def test_what_cannot_be_done_is_told_and_nothing_is_written(
    filled: Shell, words: list[str], exits: int, says: str
) -> None:
    before = {path.name for path in filled.folder.iterdir()}
    run = filled("export", *words, exits=exits)
    assert says in run.stderr
    assert run.stdout == ""
    assert {path.name for path in filled.folder.iterdir()} == before


def test_a_batches_file_says_that_what_is_known_of_sensors_is_not_in_it(filled: Shell) -> None:
    assert not filled("export", "plain.toml").stderr
    with open_book(filled.folder / "cellar.book") as book:
        book.equipment.put_sensor(SensorTraits(name="north"))
    told = filled("export", "batches.toml", exits=1).stderr
    assert "has no place in it: a .book copy has all" in told
