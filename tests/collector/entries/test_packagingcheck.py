"""What is entered of packaging day: every key, every refusal, in a batches file and by a command's options."""

from __future__ import annotations

from typing import Any

import pytest

from lullwort.collector import PACKAGING_RANGES, checked_batch, checked_packaging_day
from lullwort.detector import Units
from lullwort.errors import UsageError
from lullwort.records import CONTAINER_NAMES, SUGAR_NAMES, BottleLot, PackagingDay, parse_instant, to_datetime

WHOLE = {
    "target_g_l": 4.7, "container": "thick-glass", "limit_bar": 4, "sugar": "dextrose", "losses_l": 1.5,
    "bottles": [[0.33, 24], [0.5, 0]], "moved_l": 17.0, "primed_g": 118.0, "filled": [[0.33, 24], [0.5, 17]],
}  # fmt: skip
LEAST = {"vessel": "north", "pitched": to_datetime(parse_instant("2026-03-02T09:00:00Z")), "volume_l": 19.0}
NAMES = {
    "losses_l": "--losses", "moved_l": "--moved", "volume_l": "--volume", "sugar": "--priming-sugar",
    "primed_g": "--primed", "filled": "--filled",
}  # fmt: skip


def test_every_key_is_taken() -> None:
    assert checked_packaging_day("here", WHOLE) == PackagingDay(
        target_g_l=4.7, container="thick-glass", limit_bar=4.0, sugar="dextrose", losses_l=1.5,
        bottles=(BottleLot(0.33, 24), BottleLot(0.5, 0)), moved_l=17.0, primed_g=118.0,
        filled=(BottleLot(0.33, 24), BottleLot(0.5, 17)),
    )  # fmt: skip
    assert set(WHOLE) == set(PackagingDay.__struct_fields__)


@pytest.mark.parametrize("name", CONTAINER_NAMES)
def test_every_container_is_known(name: str) -> None:
    assert checked_packaging_day("here", {"container": name}).container == name


@pytest.mark.parametrize("name", SUGAR_NAMES)
def test_every_sugar_is_known(name: str) -> None:
    assert checked_packaging_day("here", {"sugar": name}).sugar == name


@pytest.mark.parametrize("key", PACKAGING_RANGES)
def test_each_number_is_taken_to_both_its_ends_and_not_beyond(key: str) -> None:
    least, most, unit = PACKAGING_RANGES[key]
    for end in (least, most):
        assert getattr(checked_packaging_day("here", {key: end}), key) == end
    for beyond in (least - 0.01, most * 1.001, float("nan"), True, "4.7"):
        with pytest.raises(UsageError, match=f"here: {key} is .*, expected a number from .*{unit}"):
            checked_packaging_day("here", {key: beyond})


@pytest.mark.parametrize(
    ("entered", "says"),
    [
        ({"container": "brownglass"}, "expected one of brown-glass, .*; did you mean 'brown-glass'"),
        ({"container": "Plastik"}, "did you mean 'plastic'"),
        ({"sugar": "sukrose"}, "did you mean 'sucrose'"),
        ({"sugar": "xyz"}, "expected one of sucrose, .*, reserved-wort$"),
        ({"sugar": ["sucrose"]}, "expected one of"),
        ({"target": 4.7}, "unknown key 'target'; did you mean 'target_g_l'"),
        ({"bottles": "24x330"}, r"pairs such as \[\[0.5, 24\]\]: litres a bottle, 0.05 to 1000, and how many, 0"),
        ({"bottles": [0.5, 24]}, "expected pairs"),
        ({"bottles": [[0.5, 24, 1]]}, "expected pairs"),
        ({"bottles": [[330, 24], [330000, 1]]}, "expected pairs"),
        ({"bottles": [[0.5, 2.5]]}, "expected pairs"),
        ({"bottles": [[True, 24]]}, "expected pairs"),
        ({"bottles": [[0.5, True]]}, "expected pairs"),
        ({"bottles": [[0.5, -1]]}, "expected pairs"),
        ({"filled": [[0.5, 0]]}, "expected pairs .* and how many$"),
        ([], r"is \[\], expected a table"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_of_its_key(entered: Any, says: str) -> None:
    with pytest.raises(UsageError, match=says):
        checked_packaging_day("here", entered)


def test_none_takes_a_key_back_and_what_is_not_named_stays() -> None:
    known = checked_packaging_day("here", WHOLE)
    left = checked_packaging_day("here", {"target_g_l": None, "filled": None, "losses_l": 2.0}, known=known)
    assert (left.target_g_l, left.filled, left.losses_l) == (None, (), 2.0)
    assert (left.sugar, left.bottles) == (known.sugar, known.bottles)
    assert checked_packaging_day("here", dict.fromkeys(WHOLE), known=known) == PackagingDay()


CONTRADICTIONS = [
    ({"losses_l": 19.0}, "losses_l 19 leaves nothing of volume_l 19", "--losses 5,0 US gal leaves nothing of --volume"),
    ({"moved_l": 38.0}, "moved_l 38 is more than the vessel held, volume_l 19: is its", "--moved 10,0 US gal is more"),
    ({"primed_g": 118.0}, "primed_g goes with sugar: what was it", "--primed goes with --priming-sugar: what was it"),
    (
        {"primed_g": 1180.0, "sugar": "sucrose"},
        "primed_g 1180 of sucrose in 19.0 L would make 31.9 g/L of carbon dioxide, which no bottle holds",
        "--primed 41,62 oz of sucrose in 5,0 US gal would make 31,9 g/L",
    ),
    (
        {"filled": [[0.5, 50]]},
        "filled 25 in all is more than there was to fill, volume_l 19: are sizes and units right",
        "--filled 6,6 US gal in all is more than there was to fill, --volume 5,0 US gal",
    ),
    ({"moved_l": 10.0, "filled": [[0.5, 30]]}, "filled 15 in all is more than .*, moved_l 10", "--moved 2,6 US gal"),
]  # fmt: skip


@pytest.mark.parametrize(("day", "in_a_file", "by_options"), CONTRADICTIONS)
def test_what_cannot_all_be_is_told_in_the_words_and_units_of_whoever_entered_it(
    day: dict[str, Any], in_a_file: str, by_options: str
) -> None:
    units = Units(volume="us gal", decimal="comma", carbonation="g/L", weight_unit="oz")
    with pytest.raises(UsageError, match=in_a_file):
        checked_batch("here", {**LEAST, "packaging_day": day})
    with pytest.raises(UsageError, match=by_options):
        checked_batch("here", {**LEAST, "packaging_day": day}, NAMES, units)


@pytest.mark.parametrize(
    "day",
    [
        {"losses_l": 18.9},
        {"moved_l": 20.5},  # one bucket, read twice
        {"filled": [[0.5, 40]]},
        {"moved_l": 19.0, "primed_g": 2000.0, "sugar": "reserved-wort", "filled": [[0.5, 42]]},
        {"primed_g": 200.0, "sugar": "sucrose"},
        {"primed_g": 0.0, "sugar": "sucrose"},
    ],
)
def test_what_may_well_be_is_taken(day: dict[str, Any]) -> None:
    batch = checked_batch("here", {**LEAST, "packaging_day": day})
    assert batch.packaging_day == checked_packaging_day("here", day)


def test_where_no_volume_is_known_nothing_contradicts_it() -> None:
    bare = {key: LEAST[key] for key in ("vessel", "pitched")}
    day = {"losses_l": 100.0, "moved_l": 200.0, "primed_g": 500.0, "sugar": "sucrose"}
    assert checked_batch("here", {**bare, "packaging_day": day}).packaging_day.moved_l == 200.0
    day = {"primed_g": 5000.0, "sugar": "honey", "filled": [[0.5, 1000]]}
    assert checked_batch("here", {**bare, "packaging_day": day}).packaging_day.primed_g == 5000.0
