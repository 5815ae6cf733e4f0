"""Whole commands: what a brewer types, what comes back, and the exit code."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lullwort.cli.main import _COMMANDS
from lullwort.detector import CHECKS, VERDICTS
from lullwort.rehearsal import Invented, batches_toml, csv_text, invent, renamed
from lullwort.science import from_sg

Shell = Any  # the fixture's class lives in conftest.py

JUDGED = ("north.csv", "--batches", "north.toml")


def document(shell: Shell, *words: str, exits: int = 0) -> Any:
    return json.loads(shell(*words, "--json", exits=exits).stdout)


@pytest.fixture(scope="module")
def on_record(shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory, north: Invented) -> Path:
    """The folder of one ale once its log is stored and judged."""
    shell = shell_in(tmp_path_factory.mktemp("judged"))
    shell.write("north.csv", csv_text(north))
    shell.write("north.toml", batches_toml(north))
    shell("backfill", *JUDGED)
    return Path(shell.folder)


@pytest.fixture
def judged(lullwort: Shell, on_record: Path) -> Shell:
    shutil.copytree(on_record, lullwort.folder, dirs_exist_ok=True)
    return lullwort


def test_replay_answers_first_and_gives_its_evidence(logged: Shell) -> None:
    out = logged("replay", *JUDGED).stdout
    lines = out.splitlines()
    assert lines[0].startswith("north-12 in vessel north, as of ")
    assert lines[1].startswith("May it be packaged?  Yes (ready since ")
    assert "Strength so far 5.0 % by volume" in out
    assert "confirm with one degassed hand reading" in " ".join(out.split())
    assert all(check in out for check in CHECKS)
    assert max(map(len, lines)) <= 100


def test_replay_keeps_nothing(logged: Shell) -> None:
    logged("replay", *JUDGED)
    assert not (logged.folder / "cellar.book").exists()


def test_the_json_document_has_the_published_names(logged: Shell) -> None:
    (entry,) = document(logged, "replay", *JUDGED)["vessels"]
    assert list(entry) == [
        "vessel", "batch", "as_of", "verdict", "reason", "changes_when", "hours_to_go", "ready_at", "history",
        "evidence", "gravity", "points_left", "sealed", "abv", "split", "without_batch_after", "forecast", "by_hand",
        "first_sample", "readings",
    ]  # fmt: skip
    assert (entry["vessel"], entry["batch"], entry["verdict"]) == ("north", "north-12", "ready")
    assert entry["ready_at"] == entry["history"][-1]["at"]
    assert all(change["verdict"] in VERDICTS for change in entry["history"])
    assert [check["check"] for check in entry["evidence"]] == list(CHECKS)
    for change in entry["history"]:
        assert list(change) == ["at", "verdict", "reason", "evidence"]
    for check in [*entry["evidence"], *(check for change in entry["history"] for check in change["evidence"])]:
        assert list(check) == ["check", "passed", "value", "limit", "unit", "since", "says", "changes_when"]
    assert entry["gravity"]["low"] < entry["gravity"]["value"] < entry["gravity"]["high"]
    assert entry["abv"]["low"] < 5.0 < entry["abv"]["high"]
    assert set(entry["points_left"]) == {"value", "upper"}
    assert set(entry["forecast"]) == {
        "ready_at", "low", "high", "final_gravity", "points_left", "sample", "unsaid", "moved", "repeats",
        "range_holds",
    }  # fmt: skip
    assert {"used", "passed_over", "set_aside"} <= set(entry["readings"])


def test_backfill_and_replay_agree(logged: Shell) -> None:
    replayed = document(logged, "replay", *JUDGED)
    assert document(logged, "backfill", *JUDGED) == replayed
    assert document(logged, "verdict") == replayed


def test_backfill_counts_rows_and_knows_them_the_second_time(logged: Shell, north: Invented) -> None:
    rows = len(north.readings)
    assert f"{rows} rows read, {rows} stored, 0 already known, 0 set aside" in logged("backfill", *JUDGED).stdout
    again = logged("backfill", *JUDGED)
    assert f"{rows} rows read, 0 stored, {rows} already known, 0 set aside" in again.stdout


def test_backfill_shows_only_the_vessels_that_its_files_touch_and_tells_news_of_all(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    south = renamed(invent("stuck warm", 2), "south", "south-1")
    logged.write("south.csv", csv_text(south))
    first = logged("backfill", "south.csv")
    assert "Vessel south" in first.stdout
    assert "north-12" not in first.stdout
    assert "north-12: READY TO PACKAGE." in first.stderr
    assert [entry["vessel"] for entry in document(logged, "backfill", "south.csv")["vessels"]] == ["south"]
    both = document(logged, "backfill", "south.csv", "north.csv")["vessels"]
    assert [entry["vessel"] for entry in both] == ["north", "south"]
    named = document(logged, "backfill", "south.csv", "--batches", "north.toml")["vessels"]
    assert [entry["vessel"] for entry in named] == ["north", "south"]


def test_backfill_of_a_file_without_readings_shows_no_vessel(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    logged.write("empty.csv", "time,vessel,gravity,temperature\n")
    assert len(logged("backfill", "empty.csv").stdout.splitlines()) == 1


def test_ready_is_told_once_and_its_withdrawal_too(logged: Shell) -> None:
    first = logged("backfill", *JUDGED)
    assert "north-12: READY TO PACKAGE." in first.stderr
    assert "READY" not in logged("verdict").stderr
    logged("batch", "edit", "north-12", "--expected-final-gravity", "1.002")
    withdrawn = logged("verdict")
    assert "north-12: READY IS WITHDRAWN" in withdrawn.stderr
    assert "READY" not in logged("verdict").stderr


def test_a_bad_row_is_set_aside_with_its_place_and_the_rest_is_judged(logged: Shell) -> None:
    log = logged.folder / "north.csv"
    log.write_text(log.read_text() + "2026-07-27T00:00:00Z,north,one-oh-five-oh,20.0\n")
    run = logged("replay", *JUDGED, exits=1)
    assert "May it be packaged?  Yes" in run.stdout
    assert "north.csv:873: gravity is 'one-oh-five-oh'" in run.stderr
    assert "--dry-run shows how a log is read" in run.stderr
    assert document(logged, "replay", *JUDGED, exits=1)["vessels"][0]["readings"]["set_aside"] == 1


def test_columns_that_mean_nothing_are_named_once(logged: Shell) -> None:
    log = logged.folder / "north.csv"
    head, *rows = log.read_text().splitlines()
    log.write_text("\n".join([f"{head},colour", *(f"{row},amber" for row in rows)]) + "\n")
    assert logged("replay", *JUDGED).stderr == "north.csv: columns not used: colour\n"
    assert "columns not used: colour" in logged("backfill", *JUDGED).stderr


def test_withdraw_takes_an_import_out_of_use_and_backfill_brings_it_back(judged: Shell, north: Invented) -> None:
    name = judged("withdraw").stdout.split()[0]
    assert "withdrawn" in judged("withdraw", name[:6]).stdout
    assert document(judged, "verdict", "north")["vessels"][0]["verdict"] == "unclear"
    back = judged("backfill", *JUDGED)
    assert f"{len(north.readings)} stored" in back.stdout
    assert document(judged, "verdict")["vessels"][0]["verdict"] == "ready"


def test_what_is_withdrawn_is_told_of_its_own_vessels_and_of_no_other(judged: Shell) -> None:
    name = judged("withdraw").stdout.split()[0]
    log = (judged.folder / "north.csv").read_text().replace("north", "south")
    (judged.folder / "south.csv").write_text(log)
    judged("backfill", "--store-only", "south.csv")
    other = next(line.split()[0] for line in judged("withdraw").stdout.splitlines() if "south.csv" in line)
    judged("batch", "edit", "north", "--expected-final-gravity", "1.002")  # it is ready no longer, untold yet
    assert "READY IS WITHDRAWN" not in judged("withdraw", other).stdout
    assert "READY IS WITHDRAWN" in judged("withdraw", name).stdout


def test_a_wrong_unit_does_not_win_for_ever(logged: Shell) -> None:
    logged("backfill", "north.csv", "--batches", "north.toml", "--log-temperature", "F")
    assert document(logged, "verdict")["vessels"][0]["verdict"] != "ready"
    contradicting = logged("backfill", "north.csv")
    assert "contradict another report" in contradicting.stdout
    wrong = next(line.split()[0] for line in logged("withdraw").stdout.splitlines())
    logged("withdraw", wrong)
    assert document(logged, "verdict")["vessels"][0]["verdict"] == "ready"


def test_readings_of_no_batch_are_stored_and_unclear_and_the_way_out_is_named(logged: Shell) -> None:
    (entry,) = document(logged, "backfill", "north.csv")["vessels"]
    assert (entry["batch"], entry["verdict"]) == (None, "unclear")
    assert "lullwort batch open north --pitched TIME" in logged("batch", "list").stdout
    logged(
        "batch", "open", "north", "--pitched", "2026-07-19T00:00:00Z", "--name", "north-12",
        "--original-gravity", "1,052", "--expected-final-gravity", "1.013 to 1.015", "--yeast-min", "58F",
    )  # fmt: skip
    assert document(logged, "verdict")["vessels"][0]["verdict"] == "ready"


def test_a_dry_hop_noted_after_ready_restarts_the_clock(judged: Shell) -> None:
    ready_at = document(judged, "verdict")["vessels"][0]["ready_at"]
    judged("note", "north", "dry hop", "--at", ready_at)
    history = document(judged, "verdict")["vessels"][0]["history"]
    hopped = [change for change in history if change["at"] > ready_at]
    assert hopped[0]["verdict"] == "holding"
    assert all(change["at"] > ready_at[:8] + "29" for change in hopped if change["verdict"] == "ready")
    judged("note", "north", "dry hop", "--at", ready_at, exits=1)
    judged("note", "north", "dry hop", "--at", ready_at, "--remove")
    assert document(judged, "verdict")["vessels"][0]["verdict"] == "ready"


def test_a_hand_sample_corrects_the_sensor(judged: Shell) -> None:
    at = document(judged, "verdict")["vessels"][0]["as_of"]
    judged(
        "note",
        "north",
        "sample",
        "--gravity-read",
        "3,1P",
        "--temperature-read",
        "68F",
        "--at",
        "2026-07-27T00:00Z",
    )
    value = document(judged, "verdict")["vessels"][0]["gravity"]["value"]
    assert value == pytest.approx(1.0121, abs=0.0008), at


def test_a_note_is_told_as_it_was_understood(logged: Shell) -> None:
    logged("backfill", *JUDGED, "--store-only")
    plato = {"LULLWORT_GRAVITY": "plato"}
    sample = ("note", "north", "sample", "--at", "2026-07-27T06:00Z", "--gravity-read")
    assert "reads as SG" in logged(*sample, "1,026", env=plato, exits=2).stderr
    # The sugar tables put 1.026 between 6.5 and 6.6 °P.
    assert re.search(r"north-12: 6\.5\d °P \(1\.0260 SG\)\n", logged(*sample, "1,026SG", env=plato).stdout)
    assert ": 3.00 °P read at 20.0 °C\n" in logged(*sample, "3", "--temperature-read", "20", env=plato).stdout
    assert "north-12: 1.0137 SG (3.50 °P)\n" in logged(*sample, "3.5P").stdout
    assert "north-12: 1.0120 SG\n" in logged(*sample, "1.012").stdout
    added = logged("note", "north", "addition", "--at", "2026-07-27T06:00Z", "--points", "4", env=plato).stdout
    assert added.endswith("north-12: 4 points (1.01 °P)\n")


def test_a_sample_that_contradicts_ready_withdraws_it_loudly(judged: Shell) -> None:
    judged(
        "note", "north", "sample", "--gravity-read", "1.030", "--temperature-read", "20C", "--at", "2026-08-01T03:00Z"
    )
    run = judged("verdict")
    assert "READY IS WITHDRAWN" in run.stderr
    assert "May it be packaged?  Cannot tell" in run.stdout
    assert "sample Sat 1 Aug 2026 03:00 UTC, 1.0300, read at 20.0 °C" in judged("batch", "list").stdout


def test_a_forced_test_is_noted_like_a_sample_and_becomes_the_target(judged: Shell) -> None:
    noted = ("note", "north", "forced test", "--at", "2026-07-25T00:00Z")
    run = judged(*noted, "--gravity-read", "1.012", "--temperature-read", "22C")
    assert run.stdout.splitlines()[0].endswith("noted for north-12: 1.0120 SG read at 22.0 °C")
    assert "by the forced ferment test it should end at 1.012 to 1.013" in says_of(judged, "where it should be")
    assert "not its wort" in judged(*noted, "--gravity-read", "1.055", exits=2).stderr
    assert "a forced test goes with --gravity-read" in judged(*noted, exits=2).stderr


def test_the_odd_sample_is_named_and_does_no_harm(judged: Shell) -> None:
    for hour, gravity in (("26T12", "1.0130"), ("26T16", "1.0210"), ("27T12", "1.0133")):
        judged("note", "north", "sample", "--at", f"2026-07-{hour}:00Z", "--gravity-read", gravity)
    entry = document(judged, "verdict")["vessels"][0]
    assert entry["verdict"] == "ready"
    assert entry["gravity"]["value"] == pytest.approx(1.0132, abs=0.0004)
    says = says_of(judged, "believable")
    assert "The hand sample of 2026-07-26T16:00:00Z lies" in says
    assert "points above what the other two and the sensor say: it is left out." in says


def says_of(shell: Shell, check: str) -> str:
    evidence = document(shell, "verdict")["vessels"][0]["evidence"]
    return str({line["check"]: line["says"] for line in evidence}[check])


def test_a_log_in_the_wrong_unit_is_doubted(logged: Shell) -> None:
    (entry,) = document(logged, "replay", *JUDGED, "--log-gravity", "plato")["vessels"]
    assert entry["verdict"] == "unclear"
    assert "unit stated rightly" in entry["reason"]
    (entry,) = document(logged, "replay", *JUDGED, "--log-temperature", "F")["vessels"]
    assert "temperature outside" in entry["reason"]


def test_a_moment_that_has_not_come_yet_is_questioned_and_nothing_is_noted_of_it(judged: Shell) -> None:
    assert "lies in the future" in judged("batch", "open", "far", "--pitched", "2999-01-01T00:00Z").stderr
    refused = judged("note", "north", "rouse", "--at", "2999-01-01T00:00Z", exits=2).stderr
    assert "lies in the future: what has not been done yet cannot be noted" in refused
    (entry,) = document(judged, "verdict", "north")["vessels"]
    assert entry["verdict"] == "ready"


def test_what_was_noted_after_the_log_s_end_counts_without_asking_for_that_moment(judged: Shell) -> None:
    assert document(judged, "verdict", "north")["vessels"][0]["verdict"] == "ready"
    judged("note", "north", "addition", "--points", "9", "--at", "2026-08-06T10:00Z")
    (entry,) = document(judged, "verdict", "north")["vessels"]
    assert entry["verdict"] != "ready"
    assert entry["points_left"]["upper"] > 5.0


def test_times_in_the_evidence_are_in_the_brewer_s_zone(logged: Shell) -> None:
    out = " ".join(logged("replay", *JUDGED, "--zone", "Europe/Berlin").stdout.split())
    assert "since Sun 19 Jul 2026 02:00 CEST (pitched)" in out
    assert "UTC" not in out
    assert "00:00Z" not in out


def test_a_batch_is_closed_and_listed(judged: Shell) -> None:
    judged("batch", "close", "north-12", "--packaged", "2026-07-28T18:00:00+02:00")
    assert "packaged Tue 28 Jul 2026 16:00 UTC" in judged("batch", "list").stdout
    assert document(judged, "verdict")["vessels"][0]["verdict"] == "packaged"


def test_what_contradicts_the_book_is_refused_unless_told_to_update(judged: Shell) -> None:
    batches = judged.folder / "north.toml"
    batches.write_text(batches.read_text().replace("reference_c = 20.0", "reference_c = 15.0"))
    assert "reference_c is 20.0 °C on record, 15.0 °C now" in judged("backfill", *JUDGED, exits=1).stderr
    judged("backfill", *JUDGED, "--update")
    opened = ("batch", "open", "north", "--pitched", "2026-07-19T01:00Z", "--name", "north-12", "--gravity", "plato")
    said = judged(*opened, "--expected-final-gravity", "3 to 4", "--zone", "Europe/Berlin", exits=1).stderr
    assert "pitched is Sun 19 Jul 2026 02:00 CEST on record, Sun 19 Jul 2026 03:00 CEST now" in said
    end = r"expected_final_gravity is (not given|\d\.\d\d to \d\.\d\d °P) on record, 3\.00 to 4\.00 °P now"
    assert re.search(end, said)
    assert re.search(r"original_gravity is 1\d\.\d\d °P on record, not given now", said)


def test_units_of_the_brewer_are_used_throughout(logged: Shell) -> None:
    out = logged("replay", *JUDGED, "--gravity", "plato", "--temperature", "F", "--zone", "Europe/Berlin").stdout
    assert " °P" in out
    assert " °F" in out
    assert " °C" not in out
    assert "CEST" in out


def test_a_log_in_plato_fahrenheit_and_decimal_comma_gives_the_same_verdict(logged: Shell) -> None:
    ours = document(logged, "replay", *JUDGED)["vessels"][0]
    rows = ["time;vessel;gravity;temperature"]
    for line in (logged.folder / "north.csv").read_text().splitlines()[1:]:
        time, vessel, gravity, temp_c = line.split(",")
        plato = f"{from_sg(float(gravity), 'plato'):.4f}" if gravity and 0.97 < float(gravity) < 1.2 else ""
        rows.append(f"{time};{vessel};{plato};{float(temp_c) * 1.8 + 32:.2f}".replace(".", ","))
    logged.write("foreign.csv", "\n".join(rows) + "\n")
    foreign = document(
        logged, "replay", "foreign.csv", "--batches", "north.toml", "--log-gravity", "plato", "--log-temperature", "F",
        "--decimal-comma",
    )["vessels"][0]  # fmt: skip
    assert foreign["verdict"] == "ready"
    assert foreign["history"][-1] == ours["history"][-1]


def test_as_of_judges_the_past(logged: Shell) -> None:
    at = "2026-07-22T12:00:00Z"
    (entry,) = document(logged, "replay", *JUDGED, "--as-of", at)["vessels"]
    assert (entry["as_of"], entry["verdict"]) == (at, "fermenting")


def test_several_vessels_show_only_answers_until_one_is_named(logged: Shell) -> None:
    south = renamed(invent("stuck warm", 2), "south", "south-1")
    logged.write("south.csv", csv_text(south))
    logged("backfill", *JUDGED)
    logged("backfill", "south.csv")
    out = logged("verdict").stdout
    assert "Vessel south" in out
    assert "north-12 in vessel north" in out
    assert "holds?" not in out
    assert "holds?" in logged("verdict", "north").stdout


@pytest.mark.parametrize(
    ("words", "exits", "says"),
    [
        (("replay", "missing.csv"), 3, "missing.csv"),
        (("replay", "north.csv", "--batches", "missing.toml"), 3, "missing.toml"),
        (("replay", "north.csv", "--batches", "north.csv"), 2, "is not TOML"),
        (("replay", "north.csv", "--as-of", "yesterday"), 2, "--as-of is 'yesterday'"),
        (("replay", "north.csv", "--as-of", "2026-07-22T12:00"), 2, "which has no zone"),
        (("replay", "north.csv", "--zone", "Middle/Earth"), 2, "expected a time zone such as"),
        (("replay", "north.csv", "--log-gravity", "oechsle"), 2, "'oechsle' is not one of"),
        (("verdict",), 3, "there is no cellar book yet"),
        (("batch", "open", "North 1", "--pitched", "now"), 2, "lower-case letters"),
        (
            ("batch", "open", "north", "--pitched", "now", "--original-gravity", "1052"),
            2,
            "1.052 was probably meant",
        ),
        (("batch", "open", "north", "--pitched", "now", "--original-gravity", "12.9"), 2, "write 12.9P"),
        (("batch", "open", "north", "--pitched", "now", "--hold-window", "12"), 2, "from 24 to 168 h"),
        (("note", "north", "addition"), 2, "an addition with --points"),
    ],
)
def test_what_is_wrong_is_said_in_a_sentence_with_its_exit_code(
    logged: Shell, words: tuple[str, ...], exits: int, says: str
) -> None:
    assert says in logged(*words, exits=exits).stderr


def test_a_process_ends_with_the_exit_code_of_what_became_of_its_command(logged: Shell) -> None:
    assert "May it be packaged?  Yes" in logged.process("replay", *JUDGED).stdout
    assert "there is no cellar book yet" in logged.process("verdict", exits=3).stderr
    logged("batch", "open", "west", "--pitched", "2026-07-19T00:00:00Z")
    assert "knows no vessel or batch 'east'" in logged.process("verdict", "east", exits=1).stderr
    assert "expected a time zone" in logged.process("replay", *JUDGED, "--zone", "Middle/Earth", exits=2).stderr


def test_unknown_names_are_refused(judged: Shell) -> None:
    assert "knows no vessel or batch 'west-1'" in judged("batch", "edit", "west-1", "--volume", "20", exits=1).stderr
    assert "knows no vessel or batch 'west'" in judged("verdict", "west", exits=1).stderr
    assert "no import is called 'zz'" in judged("withdraw", "zz", exits=1).stderr
    assert "nothing to edit" in judged("batch", "edit", "north-12", exits=2).stderr
    assert "no batch was in vessel" in judged("note", "north", "rouse", "--at", "2020-01-01T00:00Z", exits=1).stderr
    assert (
        "is open already, just so"
        in judged("batch", "open", "west", "--pitched", "2026-07-19T00:00:00Z", exits=0).stdout
        + judged("batch", "open", "west", "--pitched", "2026-07-19T00:00:00Z", exits=1).stderr
    )


def test_settings_come_from_file_environment_and_option_in_rising_order(logged: Shell) -> None:
    logged.write("settings.toml", 'temperature = "F"\n')
    logged.environment["LULLWORT_SETTINGS"] = "settings.toml"
    assert "°F" in logged("replay", *JUDGED).stdout
    logged.environment["LULLWORT_TEMPERATURE"] = "C"
    assert "°F" not in logged("replay", *JUDGED).stdout
    assert "°F" in logged("replay", *JUDGED, "--temperature", "F").stdout
    logged.write("settings.toml", 'temprature = "F"\n')
    assert "did you mean 'temperature'?" in logged("replay", *JUDGED, exits=2).stderr


def test_rehearse_writes_a_batch_that_can_be_judged(lullwort: Shell) -> None:
    assert "hop creep" in lullwort("rehearse").stdout
    lullwort("rehearse", "hop creep", "--seed", "3", "--vessel", "west")
    (entry,) = document(lullwort, "replay", "west.csv", "--batches", "west.toml")["vessels"]
    assert entry["batch"] == "west-3"
    assert "kind is 'soup'" in lullwort("rehearse", "soup", exits=2).stderr


def test_a_yes_after_a_step_down_begins_what_is_next_with_it(lullwort: Shell) -> None:
    lullwort("rehearse", "bump")
    said = " ".join(lullwort("replay", "north.csv", "--batches", "north.toml").stdout.split())
    assert "May it be packaged? Yes" in said
    assert "Next: The sensor stepped down by 3.8 points, last on " in said


def test_a_rehearsed_log_that_can_be_read_in_two_ways_is_asked_about(lullwort: Shell) -> None:
    offered = lullwort("rehearse", "dates that fit twice").stdout.splitlines()[-1]
    assert "--dry-run shows" in lullwort("replay", "north.csv", "--batches", "north.toml", exits=3).stderr
    asked = lullwort(*offered.split()[1:], exits=1).stdout
    assert "day and month both fit: state --times dmy or --times mdy" in " ".join(asked.split())
    to_state = asked.splitlines()[-1]
    options = "--vessel ID --log-gravity UNIT --times FORM --zone ZONE --as-proposed"
    assert to_state == f"  lullwort replay north.csv --batches north.toml {options}"
    lullwort(*to_state.split()[1:], exits=2)  # nothing is read before it has been stated
    form = invent("dates that fit twice", 1).log_form
    assert form is not None
    known = {"ID": "north", "UNIT": form.gravity, "FORM": form.order, "ZONE": "UTC"}
    stated = " ".join(known.get(word, word) for word in to_state.split())
    assert "May it be packaged?" in lullwort(*stated.split()[1:]).stdout


def test_score_prints_every_kind_with_the_caution_asked_for(lullwort: Shell) -> None:
    out = lullwort.process("score", "--seeds", "1", "--caution", "brisk", "--alone").stdout
    for name in ("caution brisk", "Lullwort", "creeping fall", "pinned or frozen sensor"):
        assert name in out


def test_help_lists_every_command_as_the_commands_themselves_do(lullwort: Shell) -> None:
    out = " ".join(lullwort("--help").stdout.split())
    for name, says in _COMMANDS.items():
        assert f"{name} {says}" in out
        assert "Usage: " in lullwort(name, "--help").stdout


def test_listing_commands_loads_nothing_heavy() -> None:
    code = (
        "import sys, contextlib, io\nfrom lullwort.cli.main import lullwort\n"
        "with contextlib.redirect_stdout(io.StringIO()), contextlib.suppress(SystemExit):\n    lullwort(['--help'])\n"
        "print({'numpy', 'pandas', 'pyarrow', 'scipy', 'rich', 'msgspec'} & set(sys.modules))"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "set()"


def test_a_note_is_taken_back_by_its_kind_and_minute(judged: Shell) -> None:
    judged(
        "note", "north", "sample", "--at", "2026-07-27T18:00Z", "--gravity-read", "1.013", "--temperature-read", "20C"
    )
    taken = judged("note", "north", "sample", "--at", "2026-07-27T18:00Z", "--remove").stdout
    assert "taken back from north-12" in taken
    refused = judged("note", "north", "sample", "--at", "2026-07-27T18:00Z", "--remove", exits=1).stderr
    assert "has no sample at that moment" in refused


def test_a_forced_test_is_told_corrected_and_asked_about(judged: Shell) -> None:
    at = ("--at", "2026-07-27T18:00Z")
    told = judged("note", "north", "forced test", *at, "--gravity-read", "1.012", "--temperature-read", "26C").stdout
    assert "Corrected: 1.0135" in told  # six degrees of wort are 1.5 points
    assert "stood still for two days" in told
    high = judged("note", "north", "forced test", "--at", "2026-07-28T18:00Z", "--gravity-read", "1.024").stdout
    assert "above where you expected the end" in high


def test_closing_a_batch_that_was_not_proved_carries_the_caution(judged: Shell) -> None:
    early = judged("batch", "close", "north", "--packaged", "2026-07-22T12:00Z").stderr
    assert "not proved that this beer had ended (fermenting)" in early
    assert "away from people" in early
    proved = judged("batch", "close", "batch:north-12", "--packaged", "2026-08-05T12:00Z").stderr
    assert "not proved" not in proved


def test_what_is_on_record_of_the_future_can_be_taken_back(logged: Shell) -> None:
    text = (logged.folder / "north.toml").read_text(encoding="utf-8")
    logged.write("later.toml", text + '[[batch.event]]\nat = 2999-01-01T00:00:00Z\nkind = "rouse"\n')
    logged("backfill", "north.csv", "--batches", "later.toml")
    assert "rouse" in logged("batch", "list").stdout
    logged("note", "north", "rouse", "--at", "2999-01-01T00:00Z", "--remove")
    assert "rouse" not in logged("batch", "list").stdout
