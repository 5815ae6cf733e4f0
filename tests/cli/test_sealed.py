"""`lullwort sealed`. All beers here are invented."""

from __future__ import annotations

import json
import re
from typing import Any

import pytest

from lullwort.cli.showsealed import SealedAnswer, sealed_lines
from lullwort.detector import Units, judge
from lullwort.packaging_day import limit_of, sealing_of, today_of
from lullwort.records import HOUR_US, VesselReadings, format_utc
from lullwort.rehearsal import batches_toml, csv_text, invent, renamed

Shell = Any  # the fixture's class lives in conftest.py

TARGET = ("--target", "2.4volumes")


def whole(out: str) -> str:
    """What was printed, with each sentence on a line again; rows of the table stay apart."""
    return re.sub(r"\n    (?=\S)(?!\d+ °[CF]  )", " ", out)


def told(shell: Shell, *words: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(shell("sealed", "north", "--json", *words).stdout)
    return found


def with_log(shell: Shell, kind: str) -> Shell:
    of = renamed(invent(kind, 1), "north", "north-1")
    shell.write("north.csv", csv_text(of))
    shell.write("north.toml", batches_toml(of))
    shell("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    return shell


def test_the_answer_comes_first_then_the_table_then_what_to_mind(stored: Shell) -> None:
    lines = whole(stored("sealed", "north", *TARGET).stdout).splitlines()
    assert lines[0].endswith(": ready")
    assert re.fullmatch(
        r"Sealed today in ordinary brown bottles, primed to 2\.4 volumes: 2\.4 \(at most 2\.\d\) volumes of CO2\. Even "
        r"at most they bear it up to \d\d °C; kept warmer they may burst\.",
        lines[1],
    )
    assert "bear 3.0 volumes, which at 20 °C is 2.4 bar (common practice, no source)" in lines[2]
    assert "the warmest since it came to rest (" in lines[3]
    heads = [nth for nth, line in enumerate(lines) if "kept at" in line]
    assert [lines[nth - 1] for nth in heads] == ["Primed to 2.4 volumes:", "With no sugar added:"]
    rows = lines[heads[0] + 1 : heads[0] + 9]
    assert [row.split("°C")[0].strip() for row in rows] == ["5", "10", "15", "20", "25", "30", "35", "40"]
    assert "may burst" not in rows[3]
    assert all(row.endswith("may burst") for row in rows[5:])
    assert lines[-1].startswith("Bottles can burst")


def test_what_the_table_shows_is_what_the_sentence_says(stored: Shell) -> None:
    of = told(stored, *TARGET)["primed"]
    for row in of["temperatures"]:
        assert row["exceeds"] == (row["margin_bar"] < 0.0) == (row["temp_c"] > of["holds_up_to_c"])
    assert f"Even at most they bear it up to {int(of['holds_up_to_c'])} °C" in whole(
        stored("sealed", "north", *TARGET).stdout
    )


def test_the_document_has_its_names(stored: Shell) -> None:
    document = told(stored, *TARGET)
    assert list(document) == [
        "batch", "vessel", "as_of", "verdict", "proved", "no_longer", "container", "limit_bar", "limit_by",
        "air_counted", "held", "points_left", "may_wake", "primed_how", "unprimed", "primed", "says",
    ]  # fmt: skip
    assert document["limit_bar"] == pytest.approx(2.393, abs=0.001)  # 3.0 volumes at 20 °C: our own, a snapshot
    assert document["primed"]["volumes"]["value"] == pytest.approx(2.4, abs=0.001)
    assert list(document["primed"]) == ["co2_g_l", "volumes", "holds_up_to_c", "temperatures"]
    assert "explained" not in document
    explained = told(stored, "--explain")["explained"]
    assert explained[-1]["formula"].startswith("the lower end of 3.0 to 3.5 volumes, which at 20 °C comes to")


def test_without_a_target_it_says_how_to_count_priming_in(stored: Shell) -> None:
    out = whole(stored("sealed", "north").stdout)
    assert "with no sugar added: 0.8 (at most" in out
    assert "Priming is not counted in: state a target (--target 2.4volumes)" in out
    assert out.count("kept at") == 1
    assert told(stored)["primed"] is None


def test_what_went_in_counts_by_its_weight_and_is_never_told(stored: Shell) -> None:
    # 118 g of sucrose in 19 L make 3.2 g/L: 0.5143 g a gram, stoichiometry. At most in 3.3 % less beer (9 in 10 sure).
    words = ("--primed", "118g", "--priming-sugar", "sucrose", "--moved", "19L")
    document = told(stored, *words)
    added = {of: document["primed"]["co2_g_l"][of] - document["unprimed"]["co2_g_l"][of] for of in ("value", "upper")}
    assert added["value"] == pytest.approx(3.19, abs=0.02)
    assert added["upper"] == pytest.approx(3.30, abs=0.02)
    out = whole(stored("sealed", "north", *words).stdout)
    assert "Primed with sucrose:" in out
    assert not re.search(r"\b[0-9.]+ (?:g|oz)\b(?!/)", out.split("Priming")[0])
    less = told(stored, *words[:-1], "20.5L")
    assert less["primed"]["co2_g_l"]["value"] < document["primed"]["co2_g_l"]["value"]


def test_what_is_on_record_of_packaging_day_counts_and_what_is_typed_before_it(stored: Shell) -> None:
    stored("batch", "edit", "north-12", *TARGET, "--container", "reused-glass")
    document = told(stored)
    assert document["container"] == "reused-glass"
    assert document["primed_how"] == "primed to 2.4 volumes"
    assert told(stored, "--target", "2volumes")["primed_how"] == "primed to 2.0 volumes"
    assert told(stored, "--container", "keg")["container"] == "keg"
    stored("batch", "edit", "north-12", "--primed", "100g", "--priming-sugar", "dextrose", "--moved", "18L")
    assert told(stored)["primed_how"] == "primed with dextrose"
    assert told(stored, *TARGET)["primed_how"] == "primed to 2.4 volumes"
    # A try is not kept.
    assert told(stored)["container"] == "reused-glass"


def test_a_stated_limit_counts_the_air_and_one_in_volumes_has_it_in_it(stored: Shell) -> None:
    kind = told(stored, *TARGET)
    own = told(stored, *TARGET, "--container-limit", "3volumes")
    assert (own["limit_by"], own["air_counted"]) == ("stated", True)
    assert own["limit_bar"] - kind["limit_bar"] == pytest.approx(1.02, abs=0.01)
    # The same volumes hold to nearly the same temperature: the fullest bottle and what warmth does to its air cost 1 K.
    assert own["primed"]["holds_up_to_c"] == pytest.approx(kind["primed"]["holds_up_to_c"], abs=1.5)
    assert own["primed"]["holds_up_to_c"] < kind["primed"]["holds_up_to_c"]
    said = whole(stored("sealed", "north", *TARGET, "--container-limit", "50psi").stdout)
    assert "Their own limit is 3.4 bar; `at most` counts the air that is shut in" in said


def test_a_limit_stays_with_the_container_that_it_was_stated_of(stored: Shell) -> None:
    stored("batch", "edit", "north-12", "--container-limit", "4bar")
    stored("batch", "edit", "north-12", "--container", "keg")
    assert told(stored)["limit_bar"] == 4.0
    assert told(stored, "--container", "brown-glass")["limit_by"] == "kind"
    assert told(stored, "--container", "brown-glass", "--container-limit", "3bar")["limit_bar"] == 3.0
    stored("batch", "edit", "north-12", "--container", "plastic")
    assert told(stored)["limit_by"] == "kind"


def test_the_pressure_of_a_test_is_told_to_be_no_limit_before_the_answer(stored: Shell) -> None:
    lines = whole(stored("sealed", "north", *TARGET, "--container-limit", "12bar").stdout).splitlines()
    assert lines[1].startswith("12.0 bar is far above the 2.4 bar that ordinary brown bottles")
    assert lines[2].startswith("Sealed today")


def test_a_target_below_what_it_holds_adds_nothing(stored: Shell) -> None:
    document = told(stored, "--target", "0.6volumes")
    assert document["primed"] == document["unprimed"]
    out = whole(stored("sealed", "north", "--target", "0.6volumes").stdout)
    assert "not primed, for what it holds and has left comes to 0.6 volumes or more by itself: 0.8 (at most" in out
    assert out.count("kept at") == 1


def test_before_it_is_proved_it_says_first_that_this_is_no_leave(stored: Shell) -> None:
    (vessel,) = json.loads(stored("verdict", "north", "--json").stdout)["vessels"]
    holding = next(change["at"] for change in vessel["history"] if change["verdict"] == "holding")
    says = told(stored, *TARGET, "--as-of", holding)["says"]
    assert says[1].startswith("May it be packaged?  Not yet. What follows is what would come of it, and no leave")
    assert says[2].startswith("Sealed today")


def test_a_stalled_beer_may_wake(lullwort: Shell) -> None:
    document = json.loads(with_log(lullwort, "stuck warm")("sealed", "north", "--json", *TARGET).stdout)
    assert document["verdict"] == "stalled"
    assert document["may_wake"]
    assert document["primed"]["holds_up_to_c"] is None
    (headline,) = [says for says in document["says"] if says.startswith("Sealed today")]
    assert "if it ferments on where it stands (up to 14.7 points)" in headline
    assert headline.endswith("That is more than they bear, even at 5 °C: they would burst.")


@pytest.mark.parametrize(
    ("hour", "verdict", "says"),
    [(3, "lag", "nearly all of it would still ferment"), (40, "fermenting", "far more than any bottle holds")],
)
def test_what_has_hardly_begun_is_told_without_numbers(lullwort: Shell, hour: int, verdict: str, says: str) -> None:
    of = renamed(invent("plain ale", 1), "north", "north-1")
    shell = with_log(lullwort, "plain ale")
    as_of = format_utc(of.batch.pitched_us + hour * HOUR_US)
    out = whole(shell("sealed", "north", *TARGET, "--as-of", as_of).stdout)
    assert f": {verdict}\n" in out
    assert "May it be packaged?  No." in out
    assert f"Sealed today{',' if hour == 3 else ':'} {says}" in out
    assert "kept at" not in out
    assert "Bottles can burst" in out
    document = json.loads(shell("sealed", "north", "--json", *TARGET, "--as-of", as_of).stdout)
    assert (document["held"], document["primed"], document["unprimed"]) == (None, None, None)


def test_a_sealed_vessel_keeps_its_warning(lullwort: Shell) -> None:
    out = whole(with_log(lullwort, "sealed vessel")("sealed", "north", *TARGET).stdout)
    assert "have fallen in the sealed vessel: it holds about" in out
    assert "Do not prime on top of that." in out


def test_a_keg_has_a_caution_of_its_own(stored: Shell) -> None:
    out = whole(stored("sealed", "north", *TARGET, "--container", "keg").stdout)
    assert out.splitlines()[-1].startswith("A keg needs a relief valve that works")
    assert "Even at most they bear it up to 40 °C, and warmer is not reckoned" in out


def test_a_packaged_batch_is_told_as_it_was_packaged(stored: Shell) -> None:
    done = ("--packaged", "2026-08-06T06:00Z", "--moved", "18L")
    stored("batch", "edit", "north-12", "--priming-sugar", "sucrose")
    stored("batch", "close", "north-12", *done, "--primed", "118g")
    out = whole(stored("sealed", "batch:north-12").stdout)
    assert "As it was packaged in ordinary brown bottles, primed with sucrose: 2.5 (at most 2.7) volumes" in out
    assert "no batch is under way" in stored("sealed", exits=1).stderr


KINDS = ("cold stall", "pause and resume", "hop creep", "gaps", "cold crash after the end", "pinned or frozen sensor")


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", KINDS)
def test_something_true_is_said_of_every_verdict_on_the_way(kind: str) -> None:
    of = invent(kind, 2)
    last = judge(of.batch, VesselReadings.of(of.readings))
    units = Units(zone="UTC")
    for nth, change in enumerate(last.history):
        then = last._replace(now=change.seen, history=last.history[: nth + 1])
        limit = limit_of("brown-glass")
        today = today_of(then)
        bare = None if today.held is None else sealing_of(today.held, today.left[:2], (0.0, 0.0), limit)
        answer = SealedAnswer(of.batch, then, today, limit, bare, "", None)
        before, after = sealed_lines(answer, units)
        assert before[0].endswith(change.verdict)
        assert any(line.startswith("May it be packaged?") for line in before) == (change.verdict != "ready")
        assert any("Sealed today" in line for line in before)
        assert after[-1].startswith("Bottles can burst")
        # The bound is of what was truly left, in these invented beers; a creeping fall may exceed it.
        if answer.tables:
            hour = min(int((change.at_us - of.batch.pitched_us) / HOUR_US), len(of.truth.points_left) - 1)
            assert today.left.at_most >= of.truth.points_left[hour], change


def test_what_is_typed_wrongly_is_answered_with_what_was_meant(stored: Shell) -> None:
    for words, says, code in (
        (("--container", "brown-glas"), "did you mean brown-glass? (ordinary beer bottles", 2),
        (("--container", "growler"), "nothing may ferment in growlers, which are jugs for carrying beer home", 1),
        (("--container-limit", "65"), "was 65psi meant", 2),
        (("--target", "4.7kg"), "expected carbon dioxide such as 2.4volumes or 4.7g/L", 2),
        ((*TARGET, "--primed", "100g"), "--target and --primed are two answers", 2),
        (("--primed", "100g"), "--primed goes with --priming-sugar", 2),
        (("--warmest", "68"), "68F was probably meant", 2),
        (("--warmest", "warm"), "expected a number", 2),
    ):
        assert says in stored("sealed", "north", *words, exits=code).stderr.replace("\n    ", " "), words


def test_where_no_volume_is_known_it_asks_for_what_was_moved(lullwort: Shell) -> None:
    of = renamed(invent("plain ale", 1), "north", "north-1")
    lullwort.write("north.csv", csv_text(of))
    lullwort.write("north.toml", re.sub(r"volume_l = .*\n", "", batches_toml(of)))
    lullwort("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    err = lullwort("sealed", "north", "--primed", "100g", "--priming-sugar", "honey", exits=2).stderr
    assert "how much beer was primed? State --moved, or the volume of 'north-1'" in err


def test_where_no_temperature_is_known_it_asks_for_the_warmest(lullwort: Shell) -> None:
    of = renamed(invent("plain ale", 1), "north", "north-1")
    rows = [line.split(",") for line in csv_text(of).splitlines()]
    lullwort.write("north.csv", "".join(",".join(row[:3]) + "\n" for row in rows))
    lullwort.write("north.toml", batches_toml(of).replace('"uncorrected"', '"corrected"'))
    lullwort("backfill", "north.csv", "--batches", "north.toml", "--store-only", "--without", "temperature")
    assert "state the warmest since its activity ended with --warmest" in lullwort("sealed", "north", exits=2).stderr
    stated = told(lullwort, "--warmest", "68F")
    assert stated["held"]["warmest_c"] == 20.0
    out = whole(lullwort("sealed", "north", "--warmest", "22C").stdout)
    assert "by 22.0 °C, the warmest that was stated" in out
    # The verdict takes a room's temperature and says so.
    says = " ".join(lullwort("verdict", "north").stdout.split())
    assert "(about as of a beer at 20 °C, at most at 0 °C: nobody knows how warm it is)" in says
    assert json.loads(lullwort("verdict", "north", "--json").stdout)["vessels"][0]["sealed"]["assumed_c"] == 20.0


def test_which_batch_is_meant_is_asked_where_there_are_several(stored: Shell) -> None:
    assert whole(stored("sealed").stdout) == whole(stored("sealed", "north").stdout)
    stored("batch", "open", "south", "--pitched", "2026-07-20T12:00Z", "--name", "south-1")
    err = stored("sealed", exits=1).stderr.replace("\n    ", " ")
    assert "2 batches are under way: name one of north-12, south-1" in err
    early = stored("sealed", "north", "--as-of", "2020-01-01T00:00Z", exits=1).stderr
    assert "nothing was pitched yet in vessel 'north' at that time" in early
    assert "the book knows no vessel or batch 'nort'; did you mean" in stored("sealed", "nort", exits=1).stderr


def test_it_fits_a_narrow_terminal_and_says_the_same(stored: Shell) -> None:
    wide, narrow = (stored.at_terminal(width, "sealed", "north", *TARGET) for width in (80, 40))
    assert max(map(len, wide)) <= 80
    assert max(map(len, narrow)) <= 40
    assert " ".join(" ".join(wide).split()).count("may burst") == " ".join(" ".join(narrow).split()).count("may burst")
    shown = "\n".join(narrow)
    assert re.search(r"  30 °C: 2\.\d bar, at most \d\.\d bar\n    margin -0\.\d bar, may burst\n", shown)


def test_it_is_told_in_the_brewer_s_units(stored: Shell) -> None:
    words = ("--temperature", "F", "--pressure-unit", "psi", "--carbonation-unit", "g/L", "--decimal", "comma")
    out = whole(stored("sealed", "north", "--target", "4.7g/L", *words).stdout)
    assert "primed to 4,7 g/L: 4,7 (at most" in out
    assert "bear 5,9 g/L, which at 68 °F is 35 psi" in out
    assert re.search(r"^ +41 °F +\d+ psi +\d+ psi +35 psi +-?\d+ psi$", out, re.MULTILINE)
    assert "bar" not in re.sub(r"Bottles.*", "", out)


def test_verdict_carries_the_same_numbers_with_no_sugar(stored: Shell) -> None:
    (vessel,) = json.loads(stored("verdict", "north", "--json").stdout)["vessels"]
    of = told(stored, *TARGET)
    assert vessel["sealed"]["container"] == "brown-glass"
    assert {key: vessel["sealed"][key] for key in of["unprimed"]} == of["unprimed"]
    stored("batch", "edit", "north-12", "--container", "growler")
    assert "nothing may ferment in growlers" in stored("verdict", "north").stdout.replace("\n", " ")


def test_margins_are_what_is_left_between_the_pressures_that_are_shown(stored: Shell) -> None:
    for pressure in ("bar", "psi", "kPa"):
        shown = stored("sealed", "north", *TARGET, "--pressure-unit", pressure).stdout
        table = re.findall(rf"°C +\S+ {pressure} +(\S+) {pressure} +(\S+) {pressure} +(\S+) {pressure}", shown)
        rows = [[float(each) for each in row] for row in table]
        assert len(rows) > 10
        assert all(limit - at_most == pytest.approx(margin, abs=1e-9) for at_most, limit, margin in rows)
