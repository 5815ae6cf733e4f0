from __future__ import annotations

from typing import Any

import pytest

from lullwort.collector import Mapping, checked_mapping
from lullwort.errors import UsageError

GERMAN = {
    "columns": {"time": ["Datum", "Uhrzeit"], "gravity": "Extrakt"}, "times": "dmy", "zone": "Europe/Berlin",
    "gravity": "plato", "decimal": "comma", "missing": ["-999"], "vessel": "west", "header": True, "skip_lines": 1,
}  # fmt: skip


def test_what_people_write_becomes_a_mapping() -> None:
    mapping = checked_mapping("here", GERMAN)
    assert mapping.columns == {"time": ("Datum", "Uhrzeit"), "gravity": ("Extrakt",)}
    assert mapping.units == ("plato", "C", "V")
    assert mapping.decimal_comma
    assert mapping.skip_lines == 1


@pytest.mark.parametrize(("word", "unit"), [("brix", "plato"), ("g_l", "kg_m3"), ("points", "points")])
def test_units_of_the_same_meaning_are_one(word: str, unit: str) -> None:
    # Degrees Brix and degrees Plato both are mass per cent of sucrose; g/L and kg/m³ are one by definition.
    assert checked_mapping("here", {"gravity": word}).gravity == unit


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        (
            {"gravity": "oechsle"},
            "here: gravity is 'oechsle', expected one of sg, sg_1000, points, plato, brix, kg_m3, g_l",
        ),
        ({"temperature": "R"}, "temperature is 'R', expected one of C, F, K"),
        ({"zone": "Middle/Earth"}, "zone is 'Middle/Earth', expected a time zone such as Europe/Berlin or UTC"),
        ({"zone": "../etc"}, "expected a time zone such"),
        ({"zone": "Europe"}, "expected a time zone such"),
        ({"zone": 1}, "zone is 1, expected a text"),
        ({"vessel": "North 1"}, "vessel is 'North 1', expected an id"),
        ({"times": "dmy hms"}, "times is 'dmy hms', expected one of iso, ymd, dmy, mdy"),
        ({"columns": {"tempature": "T"}}, "'tempature' is none of them"),
        ({"columns": {"gravity": ["A", "B"]}}, "expected one column for gravity"),
        ({"columns": "time"}, "expected a table such as"),
        ({"columns": {"time": []}}, "expected one column for time"),
        ({"without": ["gravity", "temperature"]}, "but not both gravity and temperature"),
        ({"missing": "-999"}, "expected a list"),
        ({"header": "no"}, "expected true or false"),
        ({"skip_lines": -1}, "expected a whole number from 0"),
        ({"delimeter": "tab"}, "unknown key 'delimeter'; did you mean 'delimiter'?"),
        ("iso", "expected a table of keys"),
    ],
)
def test_what_cannot_be_is_refused_by_its_key(wrong: Any, says: str) -> None:
    with pytest.raises(UsageError, match=says.replace("?", r"\?")):
        checked_mapping("here", wrong)


def test_what_is_stated_last_wins_and_the_rest_stays() -> None:
    saved = checked_mapping("here", GERMAN)
    now = Mapping(columns={"gravity": ("SG",)}, gravity="sg", decimal="point").over(saved)
    assert now.columns == {"time": ("Datum", "Uhrzeit"), "gravity": ("SG",)}
    assert (now.gravity, now.decimal, now.times, now.vessel) == ("sg", "point", "dmy", "west")


def test_a_default_that_is_stated_is_understood_like_one_that_is_not() -> None:
    assert Mapping(times="iso", gravity="sg", decimal="point").understood == Mapping().understood
    assert Mapping(gravity="plato").understood != Mapping().understood


def test_a_saved_mapping_can_be_overruled_back_to_what_is_usual() -> None:
    saved = Mapping(skip_lines=1, header=False, make_ids=True, without=("temperature",), columns={"vessel": ("Tank",)})
    now = Mapping(skip_lines=0, header=True, make_ids=False, columns={"temperature": ("T",)}, vessel="west").over(saved)
    assert (now.title_lines, now.has_header, now.make_ids) == (0, True, False)
    assert (now.without, now.columns) == ((), {"temperature": ("T",)})


def test_the_order_of_what_stands_for_nothing_makes_no_other_import() -> None:
    assert Mapping(missing=("NA", "-1")).understood == Mapping(missing=("-1", "NA")).understood
