"""`lullwort calibrate` as a brewer meets it: from the grams to a log that is judged anew."""

from __future__ import annotations

import json
import sqlite3
from typing import Any

import pytest

from lullwort.records import format_utc
from lullwort.rehearsal import Invented, batches_toml
from lullwort.science import from_sg

Shell = Any  # the fixture's class lives in conftest.py

TABLE = """inclination,gravity,temperature
25.1,1.000,20.1
33.0,1.010,20.2
39.9,1.020,20.0
48.3,1.035,19.8
55.2,1.050,20.3
60.8,1.065,20.0
65.6,1.080,20.0
"""
FLAT, SLOPE = 20.0, 0.002


def exact_table(lowest: float = 0.980) -> str:
    """Of a float whose gravity is 1 + 0.002 (angle - 20)."""
    rows = [lowest, 1.0, 1.02, 1.04, 1.06, 1.08, 1.1]
    return "inclination;gravity\n" + "\n".join(
        f"{FLAT + (g - 1.0) / SLOPE:.4f};{g:.3f}".replace(".", ",") for g in rows
    )


def angles_csv(invented: Invented) -> str:
    rows = ["time,vessel,temperature,inclination"]
    for r in invented.readings:
        assert r.gravity is not None
        rows.append(f"{format_utc(r.at_us)},{r.vessel},{r.temperature_c},{FLAT + (r.gravity - 1.0) / SLOPE:.6f}")
    return "\n".join(rows)


@pytest.fixture
def angles(lullwort: Shell, north: Invented) -> Shell:
    """A folder with a log of inclinations, its batches file, and a table of its float."""
    lullwort.write("angles.csv", angles_csv(north))
    lullwort.write("north.toml", batches_toml(north))
    lullwort.write("float.csv", exact_table())
    return lullwort


def segments(shell: Shell) -> list[tuple[Any, ...]]:
    connection = sqlite3.connect(shell.folder / "cellar.book")
    rows = connection.execute("SELECT * FROM segment ORDER BY key").fetchall()
    connection.close()
    return rows


def verdicts(shell: Shell, *words: str) -> Any:
    (vessel,) = json.loads(shell(*words, "--json").stdout)["vessels"]
    return vessel


def test_the_grams_are_told_and_a_table_to_fill_in(lullwort: Shell) -> None:
    told = lullwort("calibrate", "float-2", "--solutions", "--target", "1.040", "--target", "1,000").stdout
    assert "1.0400  104 g  934 g  0.36 points" in told
    assert "Hot syrup scalds" in told
    assert "lullwort calibrate float-2 points.csv" in told
    document = json.loads(
        lullwort(
            "calibrate", "float-2", "--solutions", "--target", "10P", "--volume", "0,5 us gal", "--scale", "2",
            "--json", "--explain",
        ).stdout
    )  # fmt: skip
    (made,) = document["afresh"]
    assert (made["plato"], made["volume_l"]) == (pytest.approx(10.0), pytest.approx(1.8927))
    assert made["sugar_g"] == pytest.approx(0.1 * 1038.115 * 1.892706, abs=0.02)
    assert {e["source"] for e in document["explained"]} >= {"Bubnik1995"}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--volume", "1000"), "millilitres are meant, write 1000ml"),
        (("--volume", "200000ml"), "expected 0.05 L to 100.00 L"),
        (("--volume", "0.5 gal"), "may be US or imperial gallons"),
        (("--target", "0.990"), "expected 1.000, which is water"),
        (("--target", "1050"), "1.050 was probably meant"),
        (("--scale", "0"), "expected by how much a kitchen scale may be off"),
    ],
)
def test_solutions_that_cannot_be_made_are_refused(lullwort: Shell, words: tuple[str, ...], says: str) -> None:
    assert says in lullwort("calibrate", "float-2", "--solutions", *words, exits=2).stderr


def test_a_table_gives_a_curve_with_all_that_tells_how_good_it_is(lullwort: Shell) -> None:
    lullwort.write("points.csv", TABLE)
    told = lullwort("calibrate", "float-2", "points.csv", "--dry-run", "--explain").stdout
    assert "a curve of order 3 through 7 points" in told
    assert "Verdict: good." in told
    assert "Nothing is kept" in told
    assert "cross-validation: " in told
    assert not (lullwort.folder / "cellar.book").exists()
    lullwort("calibrate", "float-2", "points.csv")
    kept = json.loads(lullwort("calibrate", "float-2", "--json").stdout)
    assert (kept["kept"], kept["of"], len(kept["points"]), len(kept["coefficients"])) == (True, "inclination", 7, 4)
    assert [order["taken"] for order in kept["orders"]] == [False, False, True]


def test_the_same_points_say_the_same_whatever_they_are_written_in(lullwort: Shell) -> None:
    def curve(*words: str) -> list[float]:
        coefficients: list[float] = json.loads(lullwort("calibrate", "f", *words, "--json", "--dry-run").stdout)[
            "coefficients"
        ]
        return coefficients

    lullwort.write("a.csv", TABLE)
    lullwort.write(
        "b.csv", "Neigung;Dichte;Temperatur\n" + TABLE.partition("\n")[2].replace(",", ";").replace(".", ",")
    )
    rows = [line.split(",") for line in TABLE.splitlines()[1:]]
    lullwort.write(
        "c.csv", "gravity [SG]\ttemp\tangle\n" + "\n".join(f"{g}\t{float(t) * 1.8 + 32}F\t{a}" for a, g, t in rows)
    )
    lullwort.write(
        "d.csv", "Winkel;Extrakt [°P];Temperatur [°F]\n" + "\n".join(
            f"{a};{from_sg(float(g), 'plato'):.6f};{float(t) * 1.8 + 32}" for a, g, t in rows
        )
    )  # fmt: skip
    typed = [word for a, g, t in rows for word in ("--point", f"{a} {g} {t}")]
    assert curve("a.csv") == curve("b.csv") == curve(*typed)
    assert curve("c.csv") == pytest.approx(curve("a.csv"))
    assert curve("d.csv") == pytest.approx(curve("a.csv"), abs=1e-6)


def test_gravities_of_a_60_f_hydrometer_are_corrected(lullwort: Shell) -> None:
    # SOURCES.md, hydrometer_60f.csv, 68 °F: readings of 1.000 and 1.050 are 1.00070 and 1.05097 at 60 °F over water
    # there. By sucrose_20c.csv those are 1.00070 and 1.05073 at 20 °C (between its lines of 0, 0.5 and 12.5, 13 %).
    lullwort.write("points.csv", "raw,gravity,temperature\n1.000,1.000,68F\n1.030,1.025,68F\n1.060,1.050,68F\n")
    kept = json.loads(lullwort("calibrate", "f", "points.csv", "--hydrometer", "60F", "--dry-run", "--json").stdout)
    known = [point["gravity"] for point in kept["points"]]
    assert [known[0], known[2]] == pytest.approx([1.00070, 1.05073], abs=0.00001)


@pytest.mark.parametrize(
    ("table", "says"),
    [
        ("inclination,gravity\n25,1.0\n35,1.02\nx,1.05\n", "points.csv:4: raw is 'x', expected a number"),
        ("inclination,gravity\n25,1.0\n\n35,1020\n45,1.05\n", "points.csv:4: gravity is '1020'"),
        ("inclination,gravity\n25,0\n35,5.0\n45,12.5\n", "degrees Plato, say --gravity plato"),
        ("inclination,gravity\n1.000,25\n1.020,35\n1.050,45\n", "are the columns swapped?"),
        ("inclination,gravity\n0.44,1.0\n0.61,1.02\n0.80,1.05\n", "radians, probably"),
        ("inclination,gravity\n1.001,1.000\n1.021,1.02\n1.052,1.05\n", "call the column raw"),
        ("inclination,gravity\n25,3,1,000\n35,1,1,020\n", "semicolons stand between columns"),
        ("inclination,gravity,temperature\n25,1.0,68\n35,1.02,68\n45,1.05,68\n", "if °F are meant, write 68F"),
        ("angle,temperature\n25,20\n", "the columns are 'angle, temperature', expected inclination or raw"),
        ("raw,inclination,gravity\n1.0,25,1.0\n", "name one thing twice"),
        ("inclination,gravity,uncertainty\n25,1.0,0\n", "uncertainty is '0', expected points"),
        ("inclination,gravity\n", "no point below the header"),
        ("", "is empty"),
        ("inclination,gravity\n250,1.0\n350,1.02\n450,1.05\n", "expected degrees of -180 to 180"),
    ],
)
def test_a_table_that_is_wrong_says_what_was_probably_meant(lullwort: Shell, table: str, says: str) -> None:
    lullwort.write("points.csv", table)
    assert says in lullwort("calibrate", "f", "points.csv", exits=2).stderr
    assert not (lullwort.folder / "cellar.book").exists()


@pytest.mark.parametrize(
    ("table", "says"),
    [
        (TABLE, "head their column 'gravity SG', write each as 1.000SG, or say --gravity sg"),
        (TABLE.replace("gravity,", "gravity SG,"), "temperature is '20.1', expected 32 to 104 °F of the liquid; if °C"),
    ],
)
def test_who_reads_plato_and_fahrenheit_is_told_how_to_write_a_table_of_others(
    lullwort: Shell, table: str, says: str
) -> None:
    lullwort.write("points.csv", table)
    units = ("--gravity", "plato", "--temperature", "F")
    assert says in lullwort("calibrate", "f", "points.csv", *units, exits=2).stderr
    stated = table.replace("gravity,", "gravity SG,").replace("temperature", "temperature C")
    lullwort.write("points.csv", stated)
    assert "Verdict: good" in lullwort("calibrate", "f", "points.csv", *units, "--dry-run").stdout


def test_why_there_is_no_curve_is_told_in_the_brewers_units(lullwort: Shell) -> None:
    points = ("--point", "25.5 0P", "--point", "25.5 3P", "--point", "40 5P", "--point", "50 10P")
    words = ("calibrate", "f", *points, "--gravity", "plato", "--decimal", "comma")
    said = lullwort(*words, exits=1).stderr
    assert "points 1 (at 25,50°) and 2 (at 25,50°) have the same raw value, and gravities 2,95 °P apart" in said


def test_what_does_not_go_together_is_refused(lullwort: Shell) -> None:
    lullwort.write("points.csv", TABLE)
    assert "do not go together" in lullwort("calibrate", "f", "points.csv", "--solutions", exits=2).stderr
    assert "is not an id" in lullwort("calibrate", "Float 2", "points.csv", exits=2).stderr
    assert "--point is '25'" in lullwort("calibrate", "f", "--point", "25", exits=2).stderr
    assert "cannot" in lullwort("calibrate", "f", "points.csv", "--reported", "corrected", exits=2).stderr
    assert "cannot be read" in lullwort("calibrate", "f", "none.csv", exits=3).stderr
    assert "columns" not in lullwort("calibrate", "f", "points.csv").stderr


def test_a_log_of_inclinations_is_judged_once_its_sensor_is_calibrated_and_the_raw_values_stay(
    angles: Shell,
) -> None:
    before = verdicts(angles, "backfill", "angles.csv", "--batches", "north.toml", "--without", "gravity")
    assert before["verdict"] == "unclear"
    assert "not calibrated" in before["reason"]
    assert "lullwort calibrate SENSOR --solutions" in angles("verdict", "north").stdout
    raw = segments(angles)
    said = angles("calibrate", "north", "float.csv")
    assert "north-12: READY TO PACKAGE." in said.stderr
    after = verdicts(angles, "verdict", "north")
    assert (after["verdict"], after["readings"]["used"]) == ("ready", 868)
    angles("export", "out.csv", "--vessel", "north")
    header, first = (angles.folder / "out.csv").read_text(encoding="utf-8").splitlines()[:2]
    exported = dict(zip(header.split(","), first.split(","), strict=True))
    assert (exported["gravity [SG]"], exported["inclination [deg]"]) == ("", "46.5")
    assert segments(angles) == raw
    # Another curve, other gravities, at once; and taken back, none.
    angles.write(
        "other.csv", exact_table().replace("1,000", "1,004").replace("1,020", "1,024").replace("1,040", "1,044")
    )
    angles("calibrate", "north", "other.csv")
    other = verdicts(angles, "verdict", "north")
    assert other["gravity"]["value"] != after["gravity"]["value"]
    angles("calibrate", "north", "--remove")
    assert verdicts(angles, "verdict", "north")["verdict"] == "unclear"
    assert segments(angles) == raw
    assert "has no calibration" in angles("calibrate", "north", exits=1).stderr


def test_beyond_the_points_no_gravity_is_given_and_that_is_counted(angles: Shell) -> None:
    angles("backfill", "angles.csv", "--batches", "north.toml", "--without", "gravity", "--store-only")
    angles.write("high.csv", exact_table(1.020).replace("20,0000;1,000\n", ""))
    told = angles("calibrate", "north", "high.csv").stdout
    assert "measure in plain water, too" in told
    page = angles("verdict", "north").stdout
    assert "beyond the points of its sensor's calibration" in " ".join(page.split())
    assert verdicts(angles, "verdict", "north")["verdict"] == "unclear"


def test_replay_takes_the_table_and_says_what_the_book_says(angles: Shell) -> None:
    given = ("angles.csv", "--batches", "north.toml", "--without", "gravity")
    replayed = verdicts(angles, "replay", *given, "--calibration", "north=float.csv")
    angles("calibrate", "north", "float.csv")
    stored = verdicts(angles, "backfill", *given)
    assert replayed["history"] == stored["history"]
    assert replayed["verdict"] == "ready"
    assert "SENSOR=TABLE" in angles("replay", *given, "--calibration", "north", exits=2).stderr


def test_points_are_added_to_those_that_are_kept(lullwort: Shell) -> None:
    lullwort.write("points.csv", TABLE)
    lullwort("calibrate", "f", "points.csv")
    added = json.loads(lullwort("calibrate", "f", "--point", "69,5 1,095", "--add", "--json").stdout)
    assert (len(added["points"]), added["high"]) == (8, 69.5)
    again = json.loads(lullwort("calibrate", "f", "--point", "69,5 1,095", "--add", "--json").stdout)
    assert again == added  # the same points again are no news
    assert (
        "of its inclination"
        in lullwort("calibrate", "f", "--point", "1.0 1.0", "--of", "gravity", "--add", exits=1).stderr
    )


def test_who_batches_say_corrected_is_told_what_this_calibration_gives(angles: Shell) -> None:
    angles("backfill", "angles.csv", "--batches", "north.toml", "--without", "gravity", "--store-only")
    angles("batch", "edit", "north-12", "--reported", "corrected")
    told = angles("calibrate", "north", "float.csv").stderr
    assert "lullwort batch edit north-12 --reported uncorrected" in told
    assert "There are no readings of a sensor nort " in angles("calibrate", "nort", "float.csv").stderr
