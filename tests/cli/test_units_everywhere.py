"""Whole outputs with a decimal comma beside the same with a point: the marks differ, and nothing else does."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from icalendar import Calendar

from lullwort.alerts import AlertSettings, BatchSeen, SensorSeen, ServiceSeen, conditions
from lullwort.cli.judging import judge_logs
from lullwort.cli.logs import Logs
from lullwort.detector import Change, ShownGravity, Units, advice, changes_when, evidence, reason
from lullwort.forecast import outlook, outlook_details, plan
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import batches_toml, csv_lines, invent, invent_repeats, renamed
from lullwort.standing import Entry, foreseen_by_readings, sealed_now

Shell = Any  # the fixture's class lives in conftest.py
DEMO = Path(__file__).parents[2] / "fixtures" / "demo"
OF_A_LAND = {
    "plato": {
        "LULLWORT_GRAVITY": "plato", "LULLWORT_TEMPERATURE": "F", "LULLWORT_VOLUME": "us-gal",
        "LULLWORT_CARBONATION": "g/L", "LULLWORT_PRESSURE": "psi", "LULLWORT_WEIGHT": "oz",
    },
    "points": {
        "LULLWORT_GRAVITY": "points", "LULLWORT_TEMPERATURE": "C", "LULLWORT_VOLUME": "imp-gal",
        "LULLWORT_PRESSURE": "kPa",
    },
    "sg": {},
}  # fmt: skip
PACKAGING_DAY = (
    "--target", "2.4volumes", "--container", "growler", "--container-limit", "2.5bar", "--priming-sugar", "sucrose",
    "--losses", "1.5L", "--bottles", "24x0.33L", "--moved", "17L", "--primed", "118.6g", "--filled", "40x375mL",
)  # fmt: skip
POINTED = re.compile(r"[0-9]\.[0-9]")
COMMAS = re.compile(r"(?<=[0-9]),(?=[0-9])")
IN_A_COMMAND = re.compile(r"`lullwort [^`]*`|^ +lullwort .*$", re.MULTILINE)


def with_points(text: str) -> str:
    """A text with decimal commas as it would be with points; raises AssertionError where it has a point already."""
    words = IN_A_COMMAND.sub("", text)
    assert not POINTED.search(words), POINTED.search(words)
    return COMMAS.sub(".", text)


def assert_only_the_marks_differ(point: str, comma: str) -> None:
    assert with_points(comma) == point
    assert IN_A_COMMAND.findall(comma) == IN_A_COMMAND.findall(point)


@pytest.fixture(scope="module")
def cellar(shell_in: Callable[[Path], Shell], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of the demo once its log is stored and two things are noted."""
    shell = shell_in(tmp_path_factory.mktemp("cellar"))
    for file in DEMO.glob("north.*"):
        shutil.copy(file, shell.folder / file.name)
    shell.environment["LULLWORT_ZONE"] = "Europe/Berlin"
    shell("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    shell("note", "north", "addition", "--at", "2026-07-22T12:00", "--points", "2,5")
    shell(
        "note", "north", "sample", "--at", "2026-07-25T12:00", "--gravity-read", "1.0143", "--temperature-read", "20.5"
    )
    shell("batch", "edit", "north-12", "--volume", "19L", *PACKAGING_DAY)
    return Path(shell.folder)


@pytest.fixture
def demo(lullwort: Shell, cellar: Path) -> Shell:
    shutil.copytree(cellar, lullwort.folder, dirs_exist_ok=True)
    lullwort.environment["LULLWORT_ZONE"] = "Europe/Berlin"
    return lullwort


@pytest.mark.no_cover
@pytest.mark.parametrize("units", OF_A_LAND)
@pytest.mark.parametrize(
    "words",
    [
        ("replay", "north.csv", "--batches", "north.toml"),
        ("verdict", "north"),
        ("verdict", "north", "--as-of", "2026-07-22T12:00"),
        ("verdict", "north", "--as-of", "2026-07-24T20:00"),
        ("plan", "north", "--checklist", "--target", "4,7g/L", "--priming-sugar", "honey", "--bottles", "0,33L"),
        ("plan", "north", "--as-of", "2026-07-22T12:00"),
        ("why", "north"),
        ("why", "north", "--as-of", "2026-07-23T12:00"),
        ("priming", "north", "--container", "brown-glass", "--target", "2.4volumes", "--insist", "--explain"),
        ("batch", "list"),
        ("batch", "edit", "north-12", "--volume", "20L", "--expected-attenuation", "70 to 80"),
        ("batch", "close", "batch:north-12", "--packaged", "2026-08-06T12:00", "--primed", "119.5g"),
    ],
    ids=" ".join,
)
def test_a_command_says_the_same_with_either_mark(demo: Shell, units: str, words: tuple[str, ...]) -> None:
    env = OF_A_LAND[units]
    point, comma = (demo(*words, env={**env, "LULLWORT_DECIMAL": mark}) for mark in ("point", "comma"))
    assert_only_the_marks_differ(point.stdout, comma.stdout)
    assert COMMAS.search(comma.stdout)


def test_a_log_is_quoted_with_its_own_mark_and_understood_with_the_brewers(demo: Shell) -> None:
    marks = [{"LULLWORT_DECIMAL": mark} for mark in ("point", "comma")]
    point, comma = (demo("replay", "north.csv", "--dry-run", env=mark).stdout for mark in marks)
    quoted = re.compile(r"^  (?:found|column).*\n", re.MULTILINE)
    assert quoted.findall(point) == quoted.findall(comma)
    assert POINTED.search("".join(quoted.findall(comma)))
    assert_only_the_marks_differ(quoted.sub("", point), quoted.sub("", comma))
    assert re.search(r"north  1,05[0-9]* SG  [0-9]+,[0-9]+ °C", comma)


def test_everything_is_shown_in_the_units_that_were_asked_for(demo: Shell) -> None:
    env = {**OF_A_LAND["plato"], "LULLWORT_DECIMAL": "comma"}
    listed = demo("batch", "list", env=env).stdout
    assert "original gravity 13,0 °P, expected to end at 3,1 to 3,6 °P, 5,0 US gal" in listed
    assert re.search(r"sample Sat 25 Jul 2026 12:00 CEST, 3,6[0-9] °P, read at 68,9 °F", listed)
    assert "2,5 points" in listed
    assert (
        "packaging day: to hold 4,7 g/L of CO2, container growler, which bears 36 psi, 0,4 US gal to stay behind, "
        "bottles: 24 of 11,2 fl oz, 4,5 US gal moved, primed with 4,18 oz of sucrose, filled: 40 of 12,7 fl oz"
    ) in listed
    assert "primed with 119 g of sucrose" in demo("batch", "list", "--weight-unit", "g", env=env).stdout
    assert "bears 250 kPa" in demo("batch", "list", "--pressure-unit", "kPa", env=env).stdout
    assert "to hold 2,4 volumes of CO2" in demo("batch", "list", "--carbonation-unit", "volumes", env=env).stdout
    said = demo("verdict", "north", "--as-of", "2026-07-22T12:00", env=env).stdout + listed
    assert not re.search(r" °C|1[,.]0[0-9]{2}\b| L\b", said)
    assert "5,0 US gal" in demo("batch", "list", "--gravity", "points", env=env).stdout
    assert "4.2 imp gal" in demo("batch", "list", "--volume-unit", "imp-gal", "--decimal", "point", env=env).stdout


def test_a_calendar_has_the_marks_of_who_puts_it_up(demo: Shell) -> None:
    texts, uids = [], []
    for mark in ("point", "comma"):
        words = ("export", f"{mark}.ics", "--batch", "north-12", "--as-of", "2026-07-22T12:00")
        demo(*words, env={**OF_A_LAND["plato"], "LULLWORT_DECIMAL": mark})
        calendar = Calendar.from_ical((demo.folder / f"{mark}.ics").read_bytes())
        events = calendar.walk("VEVENT")
        texts.append("\n".join(f"{event['summary']}\n{event['description']}" for event in events))
        uids.append({str(event["uid"]) for event in events})
    assert_only_the_marks_differ(*texts)
    assert uids[0] == uids[1]
    assert "0,25 °P left to fall makes about 1,0 g/L of carbon dioxide" in texts[1]


@pytest.mark.no_cover
def test_json_and_exports_are_the_same_whoever_asks(demo: Shell) -> None:
    comma = {**OF_A_LAND["plato"], "LULLWORT_DECIMAL": "comma"}
    for words in (("verdict", "north", "--json"), ("why", "north", "--json")):
        plain, asked = demo(*words).stdout, demo(*words, env=comma).stdout
        assert json.loads(plain) == json.loads(asked)
    for file in ("readings.csv", "batches.toml", "record.json"):
        words = ("export", file, *(("--batch", "north-12") if file == "record.json" else ()))
        demo(*words)
        plain = (demo.folder / file).read_text(encoding="utf-8")
        demo(*words, "--overwrite", env=comma)
        assert (demo.folder / file).read_text(encoding="utf-8") == plain


@pytest.mark.parametrize(
    ("variables", "comma"),
    [
        ({"LC_ALL": "de_DE.UTF-8"}, True),
        ({"LC_ALL": "", "LANG": "pt_BR.UTF-8"}, True),
        ({"LC_ALL": "", "LANG": "de_DE.UTF-8", "LC_NUMERIC": "C"}, False),
        ({"LC_ALL": "de_CH.UTF-8"}, False),
        ({"LC_ALL": "de_DE.UTF-8", "LULLWORT_DECIMAL": "point"}, False),
        ({"LC_ALL": "C", "LULLWORT_DECIMAL": "comma"}, True),
    ],
)
def test_the_locale_says_which_mark_unless_the_settings_do(demo: Shell, variables: dict[str, str], comma: bool) -> None:
    listed = demo("batch", "list", env=variables).stdout
    assert ("original gravity 1,052" in listed) is comma
    assert ("original gravity 1.052" in listed) is not comma


@pytest.mark.no_cover
def test_a_comparison_and_its_pictures_say_the_same_with_either_mark(lullwort: Shell) -> None:
    repeats = [
        renamed(of, "north", f"north-{number}")
        for number, of in enumerate(invent_repeats("fast ale", 5, 3, last="slow"), 1)
    ]
    lullwort.write("north.csv", "".join(csv_lines(*repeats)))
    lullwort.write("north.toml", batches_toml(*repeats))
    lullwort("backfill", "north.csv", "--batches", "north.toml", "--store-only")
    shown = []
    for mark in ("point", "comma"):
        env = {**OF_A_LAND["plato"], "LULLWORT_DECIMAL": mark}
        text = lullwort("batch", "compare", "north", "--picture", f"{mark}.svg", env=env).stdout
        svg = ElementTree.fromstring((lullwort.folder / f"{mark}.svg").read_text(encoding="utf-8"))
        words = [element.text or "" for element in svg.iter() if element.tag.endswith(("text", "desc", "title"))]
        shown.append("\n".join([text.replace("comma.svg", "point.svg"), *words]))
    assert_only_the_marks_differ(*shown)


# -- hand instruments, calibrations, strength and blends ---------------------------------------------------------------


@pytest.fixture
def bench(demo: Shell) -> Shell:
    """The demo's cellar with a batch that is known by hand samples only, two instruments, and points of a sensor."""
    for words in (
        ("instrument", "add", "jar", "--calibrated-at", "60F"),
        ("instrument", "add", "prism", "--kind", "refractometer"),
        ("instrument", "check", "jar", "--reads", "1.002", "--water", "22C", "--at", "2026-07-01T08:00"),
        ("instrument", "check", "prism", "--reads", "0.25Bx", "--at", "2026-07-01T08:00"),
        ("batch", "open", "hand", "--name", "hand-1", "--pitched", "2026-07-01T09:00", "--volume", "19L",
         "--original-gravity", "1.0525", "--original-gravity-read-at", "22C", "--original-gravity-with", "jar",
         "--expected-final-gravity", "1.0125"),
        (*BY_HAND, "--at", "2026-07-10T12:00", "--gravity-read", "1.0137", "--instrument", "jar"),
        (*BY_HAND, "--at", "2026-07-13T12:00", "--gravity-read", "1.0135", "--instrument", "jar"),
    ):  # fmt: skip
        demo(*words)
    demo.write("scattered.csv", "inclination,gravity\n" + "".join(f"{raw},{sg}SG\n" for raw, sg in SCATTERED))
    demo.write("points.csv", POINTS_CSV)
    return demo


BY_HAND = ("note", "hand", "sample", "--temperature-read", "20.5C")
SCATTERED = ((25.1, 1.0), (30.5, 1.02), (40.2, 1.008), (50.4, 1.04), (60.3, 1.016))
POINTS_CSV = (
    (DEMO / "float-2.csv").read_text(encoding="utf-8").replace(",gravity,temperature", ",gravity SG,temperature C")
)
SAMPLE = ("note", "hand", "sample", "--at", "2026-07-14T12:00", "--explain", "--gravity-read")
ASKED_OF_THE_BENCH: dict[str, tuple[tuple[str, ...], int]] = {
    "instrument add": (("instrument", "add", "jar-2", "--division", "1.5pt"), 0),
    "instrument edit": (("instrument", "edit", "prism", "--wort-factor", "1.03", "--division", "0.25Bx"), 0),
    "instrument list": (("instrument", "list"), 0),
    "instrument check": (
        ("instrument", "check", "jar", "--reads", "1.0015SG", "--water", "71F", "--at", "2026-07-02T08:00",
         "--explain"), 0,
    ),
    "check of a refractometer": (
        ("instrument", "check", "prism", "--reads", "0.35Bx", "--at", "2026-07-02T08:00", "--explain"), 0,
    ),
    "a check that cannot be one": (("instrument", "check", "jar", "--reads", "1.030SG", "--water", "20.5C"), 1),
    "sample with an instrument": ((*SAMPLE, "13.5pt", "--temperature-read", "22.5C", "--instrument", "jar"), 0),
    "sample by refractometer": ((*SAMPLE, "7Bx", "--instrument", "prism"), 0),
    "sample without more": ((*SAMPLE, "13pt"), 0),
    "sample too warm for the rule": ((*SAMPLE, "13pt", "--temperature-read", "35.5C"), 0),
    "sample too dense for beer": ((*SAMPLE, "1.081SG"), 0),
    "sample no hydrometer shows": ((*SAMPLE, "1.2SG"), 2),
    "sample of another day": (("note", "hand", "sample", "--at", "2026-06-20T12:00", "--gravity-read", "52.5pt"), 1),
    "addition": (("note", "hand", "addition", "--at", "2026-07-02T12:00", "--added", "550 g sucrose"), 0),
    "forced test": (("note", "hand", "forced test", "--at", "2026-07-06T12:00", "--gravity-read", "12.5pt"), 0),
    "calibrate": (("calibrate", "float-2", "points.csv", "--dry-run", "--explain"), 0),
    "calibrate in vain": (("calibrate", "float-2", "scattered.csv", "--dry-run"), 1),
    "solutions": (
        ("calibrate", "float-2", "--solutions", "--target", "20pt", "--volume", "1.5L", "--scale", "2.5g",
         "--explain"), 0,
    ),
    "sensor": (("sensor", "--explain"), 0),
    "strength": (("strength", "north", "--explain"), 0),
    "strength by hand": (("strength", "hand", "--explain"), 0),
    "strength of what was typed": (
        ("strength", "--original-gravity", "52.5pt", "--final-gravity", "12.5pt", "--added", "0.55kg sucrose",
         "--volume", "19L", "--volume-after", "21.5L", "--explain"), 0,
    ),
    "blend": (("blend", "north", "50pt/12pt", "--take", "9.5L", "--take", "8L", "--explain"), 0),
    "sealed": (
        ("sealed", "north", "--target", "2.45volumes", "--container", "thick-glass",
         "--container-limit", "4.25volumes", "--explain"), 0,
    ),
    "priming of what is primed unproved": (
        ("priming", "north", "--container", "brown-glass", "--target", "2.4volumes", "--as-of",
         "2026-07-24T20:00", "--insist"), 1,
    ),
    "sealed by hand": (
        ("sealed", "hand", "--warmest", "20.5C", "--container", "plastic", "--primed", "118.5g",
         "--priming-sugar", "sucrose", "--moved", "17.5L", "--explain"), 0,
    ),
    "verdict by hand": (("verdict", "hand", "--as-of", "2026-07-20T12:00", "--explain"), 0),
    "verdict by one sample": (("verdict", "hand", "--as-of", "2026-07-11T12:00"), 0),
    "why by hand": (("why", "hand", "--as-of", "2026-07-20T12:00", "--explain"), 0),
    "list by hand": (("batch", "list"), 0),
}  # fmt: skip


SOURCES = re.compile(r"Source: .*")
EXPLAINED = re.compile(r"How these figures come about:.*", re.DOTALL)
OF_ANOTHER_LAND = re.compile(
    r"°C|\b1\.0[0-9]{2,}\b(?! SG\))|[0-9] L\b|(?<!through )[0-9] points(?!\n|\.csv|\)| \(| a pound|, [0-9.]+ lb of)"
)
"""SG, °C, litres or points in what is told of °P, °F and gallons; beside it stands what was typed, and an addition is
told in points."""
GAS_AND_WEIGHT = re.compile(r"(?<!/10)[0-9] (?:volumes|bar|kPa|k?g)\b(?!/)")
"""Volumes, bar, kPa or grams in what is told of g/L, psi and ounces."""


@pytest.mark.no_cover
@pytest.mark.parametrize("units", OF_A_LAND)
def test_hand_work_is_told_the_same_with_either_mark(bench: Shell, units: str) -> None:
    for called, (words, exits) in ASKED_OF_THE_BENCH.items():
        told = []
        for mark in ("point", "comma"):
            book = bench.folder / f"{mark}.book"
            shutil.copy(bench.folder / "cellar.book", book)
            env = {**OF_A_LAND[units], "LULLWORT_DECIMAL": mark, "LULLWORT_BOOK": str(book)}
            told.append(SOURCES.sub("", "".join(bench(*words, env=env, exits=exits))))
        point, comma = told
        assert_only_the_marks_differ(point, comma)
        assert COMMAS.search(comma), called
        if units == "plato":
            said = EXPLAINED.sub("", point)
            assert not OF_ANOTHER_LAND.search(said), (called, OF_ANOTHER_LAND.search(said), said)
            assert not GAS_AND_WEIGHT.search(said), (called, GAS_AND_WEIGHT.search(said), said)


# -- what the service tells, and calendars -----------------------------------------------------------------------------


KINDS = ("plain ale", "stuck warm", "spikes and zeros", "cold crash after the end", "sealed vessel")
FINE = ServiceSeen(now_us=10**15, started_us=10**15, away_us=0, free_bytes=1 << 40)
GRAVITIES: tuple[ShownGravity, ...] = ("sg", "plato", "points")
SETTINGS = AlertSettings(points_left=(50.0, 2.5))


def said_of(entry: Entry, units: Units) -> Iterator[str]:
    """All that is said of one judgement, its changes and what follows from them."""
    judged = entry.judged
    assert judged is not None
    for change in [*judged.history, Change(judged.as_of_us, judged.verdict, judged.now)]:
        yield reason(change.verdict, change.seen, units)
        yield changes_when(change.verdict, change.seen, units)
        yield advice(change.verdict, change.seen, units)
        yield from (check.says for check in evidence(change.seen, units))
    yield sealed_now(judged, units)
    sensor = SensorSeen("f1", judged.batch.vessel, judged.as_of_us, judged.as_of_us, None, battery_v=3.25)
    for alert in conditions([BatchSeen(judged)], [sensor], FINE, SETTINGS, units, ()):
        yield alert.title
        yield alert.says
    if entry.forecast is not None:
        yield outlook(entry.forecast, units)
        yield from outlook_details(entry.forecast, units, sealed=judged.now.sealed is not None)
    for planned in plan(judged, entry.forecast, units):
        yield planned.title
        yield planned.says


@pytest.mark.no_cover
def test_alerts_plans_and_calendars_tell_gas_in_the_unit_that_was_asked_for() -> None:
    invented = renamed(invent("plain ale", 3), "north", "north-3")
    logs = Logs({"north": VesselReadings.of(invented.readings)}, [], {})
    units = Units("points", "F", "Europe/Berlin", "us gal", "comma", "g/L", "psi", "oz")
    told = ""
    for hours in (60, 100, 400):
        judged = judge_logs(logs, [invented.batch], invented.batch.pitched_us + hours * HOUR_US)
        entry = foreseen_by_readings(judged, logs.readings, [invented.batch])[0]
        assert entry.judged is not None
        told += "\n".join(said_of(entry, units))
    assert "Each point left to fall makes about 1,0 g/L of carbon dioxide" in told
    assert not GAS_AND_WEIGHT.search(told), GAS_AND_WEIGHT.search(told)


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", KINDS)
def test_reasons_alerts_and_plans_say_the_same_with_either_mark(kind: str) -> None:
    invented = renamed(invent(kind, 3), "north", "north-3")
    logs = Logs({"north": VesselReadings.of(invented.readings)}, [], {})
    seen = ""
    for hours in (60, 100, 150, 400):
        batches = [invented.batch]
        judged = judge_logs(logs, batches, invented.batch.pitched_us + hours * HOUR_US)
        entry = foreseen_by_readings(judged, logs.readings, batches)[0]
        for gravity in GRAVITIES:
            both = [Units(gravity, "F", "Europe/Berlin", "L", mark) for mark in ("point", "comma")]
            point, comma = ("\n".join(said_of(entry, units)) for units in both)
            assert_only_the_marks_differ(point, comma)
            seen += comma
    assert len(COMMAS.findall(seen)) > 100
    assert "It shows 3,25 V." in seen


def test_instruments_and_calibrations_take_the_mark_too(lullwort: Shell) -> None:
    lullwort("instrument", "add", "jar")
    comma = ("--decimal", "comma")
    checked = lullwort("instrument", "check", "jar", "--reads", "1.0015", "--water", "20C", *comma).stdout
    assert "reads 1,5 points too high" in checked
    assert "1,0500" in lullwort("calibrate", "f-1", "--solutions", "--target", "1.050", *comma).stdout
