"""The figures of each check: what was measured, and what it may be."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from lullwort.detector import CHECKS, CheckName, Snapshot, Units, check_figures, judge
from lullwort.records import VesselReadings
from lullwort.rehearsal.hydrometer import judged_by_hand
from lullwort.rehearsal.invented import invent

Bench = Any  # the class lives in conftest.py


@pytest.fixture(scope="module")
def by_hand() -> Snapshot:
    return judged_by_hand(invent("plain ale", 6)).judged.now


def still(bench: Bench, **more: object) -> Snapshot:
    """A beer that has held still at 11 points for days."""
    seen: Snapshot = bench.judge(bench.readings(bench.ale(), 16.0)).now
    return msgspec.structs.replace(seen, **more)


def test_a_beer_at_rest_measures_within_every_limit(bench: Bench) -> None:
    said = {check: check_figures(check, still(bench, moved_upper=0.31, left_upper=1.26)) for check in CHECKS}
    assert said["flat"] == ("falls at most 0.31 points", "at most 0.65 points in 48 h")
    assert said["little left"] == ("at most 1.3 points", "at most 2 points")
    assert said["where it should be"].limit.startswith("at most 1.01")
    assert said["where it should be"].measured.startswith("1.01")
    assert said["warm enough"] == ("20.0 °C", "at least 14.0 °C")
    assert said["undisturbed"].limit == "at least 48 h"
    assert said["seen"] == ("within this hour", "at most 2 h ago")
    assert said["believable"].limit == "rises at most 1 point"


def test_a_bound_below_nothing_means_that_it_cannot_fall(bench: Bench) -> None:
    assert check_figures("flat", still(bench, moved_upper=-0.2)).measured == "cannot fall"


def test_the_same_words_hold_in_other_units(bench: Bench) -> None:
    units = Units(gravity="plato", temperature="F", decimal="comma")
    seen = still(bench, moved_upper=4.0)
    assert check_figures("flat", seen, units).measured == "falls at most 1,01 °P"
    assert check_figures("warm enough", seen, units) == ("68,0 °F", "at least 57,2 °F")


@pytest.mark.parametrize(
    ("more", "measured", "limit"),
    [
        ({"moved": 0.4}, "falls 0.4 points in 48 h", "rises at most 1 point"),
        ({"moved": -0.4}, "rises 0.4 points in 48 h", "rises at most 1 point"),
        ({"disagreement": -7.0, "disputed_from": 5.5}, "7 points apart", "at most 5.5 points"),
        ({"disagreement": 7.0, "disputed_from": None}, "7 points apart", ""),
        ({"start_disagreement": 20.0}, "20 points apart", "at most 12 points"),
        ({"rising": True, "moved": -3.0}, "rises 3 points in 48 h", "rises at most 1 point"),
    ],
)
def test_what_makes_a_sensor_believed_or_not(bench: Bench, more: dict[str, Any], measured: str, limit: str) -> None:
    assert check_figures("believable", still(bench, **more)) == (measured, limit)


def test_a_sensor_that_repeats_itself_is_measured_in_hours(bench: Bench) -> None:
    seen = still(bench)
    frozen = msgspec.structs.replace(seen, passed={**seen.passed, "believable": False}, same_h=30.0)
    assert check_figures("believable", frozen) == ("the same for 30 h", "")


def test_a_silent_sensor_was_heard_so_long_ago(bench: Bench) -> None:
    assert check_figures("seen", still(bench, unseen_h=41.0)).measured == "41 h ago"


def test_before_the_first_reading_there_are_limits_and_nothing_measured(bench: Bench) -> None:
    seen = judge(bench.batch(), VesselReadings.of(())).now
    measured: dict[CheckName, str] = {check: check_figures(check, seen).measured for check in CHECKS}
    assert [check for check, says in measured.items() if says] == ["undisturbed"]
    assert check_figures("seen", seen).limit


def test_hand_samples_are_counted_and_compared(by_hand: Snapshot) -> None:
    said = {check: check_figures(check, by_hand) for check in CHECKS}
    assert said["seen"] == ("2 samples", "at least 2")
    assert said["believable"] == ("samples agree", "")
    assert said["flat"].limit == "at most 1 point in 48 h"
    assert said["undisturbed"] == ("261 h", "at least 48 h")
    assert said["warm enough"].limit == "at least 15.0 °C"
    assert by_hand.hand is not None
    one = msgspec.structs.replace(by_hand, hand=msgspec.structs.replace(by_hand.hand, first_us=None, tried=1))
    assert check_figures("flat", one).measured == ""
    assert check_figures("seen", one).measured == "1 sample"
