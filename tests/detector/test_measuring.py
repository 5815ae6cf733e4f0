"""The figures of each check: what was measured, and what it may be."""

from __future__ import annotations

import re
from typing import Any

import msgspec
import pytest

from lullwort.analysis import hour_end, settled_gravities
from lullwort.detector import CHECKS, CheckName, Figures, Snapshot, Units, check_figures, judge, judging
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal import KINDS
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


def only(check: CheckName, seen: Snapshot, units: Units | None = None) -> Figures:
    (figures,) = check_figures(check, seen, units)
    return figures


def test_a_beer_at_rest_measures_within_every_limit(bench: Bench) -> None:
    said = {check: only(check, still(bench, moved_upper=0.31, left_upper=1.26)) for check in CHECKS}
    assert said["flat"] == ("falls at most 0.31 points", "at most 0.65 points in 48 h")
    assert said["little left"] == ("at most 1.3 points", "at most 2 points")
    assert said["where it should be"].limit.startswith("at most 1.01")
    assert said["where it should be"].measured.startswith("1.01")
    assert said["warm enough"] == ("20.0 °C", "at least 14.0 °C")
    assert said["undisturbed"].limit == "at least 48 h"
    assert said["seen"] == ("within this hour", "at most 2 h ago")
    assert said["believable"].limit == "rises at most 1 point"


def test_a_bound_below_nothing_means_that_it_cannot_fall(bench: Bench) -> None:
    assert only("flat", still(bench, moved_upper=-0.2)).measured == "cannot fall"


def test_the_same_words_hold_in_other_units(bench: Bench) -> None:
    units = Units(gravity="plato", temperature="F", decimal="comma")
    seen = still(bench, moved=2.5, moved_upper=4.0)
    assert only("flat", failing("flat", seen), units).measured == "falls at most 1,01 °P"
    assert only("warm enough", seen, units) == ("68,0 °F", "at least 57,2 °F")


@pytest.mark.parametrize(
    ("more", "measured", "limit"),
    [
        ({"moved": 0.4}, "falls 0.4 points in 48 h", "rises at most 1 point"),
        ({"moved": -0.4}, "rises 0.4 points in 48 h", "rises at most 1 point"),
        ({"moved": -3.7, "moved_upper": -1.5}, "no certain rise", "rises at most 1 point"),
        ({"moved": -3.7, "moved_upper": -2.1}, "rises at least 0.5 points in 48 h", "rises at most 1 point"),
        ({"moved": -3.7, "moved_upper": -2.8, "rising_h": 5}, "rises for 5 h so far", "less than 12 h"),
    ],
)
def test_a_sensor_is_believed_unless_it_rises_for_certain_and_for_hours(
    bench: Bench, more: dict[str, Any], measured: str, limit: str
) -> None:
    assert only("believable", still(bench, **more)) == (measured, limit)


@pytest.mark.parametrize(
    ("more", "measured", "limit"),
    [
        ({"disagreement": -7.0}, "a hand sample 7 points apart", ""),
        ({"start_disagreement": 20.0}, "began 20 points apart", "at most 12 points"),
        ({"rising": True, "moved": -3.0, "moved_upper": -2.2}, "rises at least 1.4 points in 48 h",
         "rises at most 1 point"),
    ],
)  # fmt: skip
def test_what_makes_a_sensor_doubted(bench: Bench, more: dict[str, Any], measured: str, limit: str) -> None:
    assert only("believable", failing("believable", still(bench, **more))) == (measured, limit)


@pytest.mark.parametrize(
    ("more", "shown"),
    [
        (
            {"moved": 0.1, "moved_upper": 0.43, "fell": 24.8, "counted_h": 13},
            [("fell 24.8 points so far", "at most 1 point"),
             ("over 12 proving hours", "over at least 48 proving hours")],
        ),
        ({"moved_upper": 0.651}, [("falls at most just over 0.65 points", "at most 0.65 points in 48 h")]),
        ({"moved": -2.0, "moved_upper": -0.4}, [("rises at most 3.6 points", "at most 1 point in 48 h")]),
    ],
)  # fmt: skip
def test_where_a_check_fails_each_figure_shown_is_one_that_fails_it(
    bench: Bench, more: dict[str, Any], shown: list[tuple[str, str]]
) -> None:
    assert list(check_figures("flat", failing("flat", still(bench, **more)))) == shown


def failing(check: CheckName, seen: Snapshot) -> Snapshot:
    return msgspec.structs.replace(seen, passed={**seen.passed, check: False})


def test_a_sensor_that_repeats_itself_is_measured_in_hours(bench: Bench) -> None:
    seen = still(bench)
    frozen = msgspec.structs.replace(failing("believable", seen), same_h=30.0)
    assert only("believable", frozen) == ("the same for 30 h", "")


def test_a_silent_sensor_was_heard_so_long_ago(bench: Bench) -> None:
    silent = failing("seen", still(bench, unseen_h=41.0))
    assert only("seen", silent).measured == "41 h ago"
    assert only("seen", msgspec.structs.replace(silent, unseen_h=4930.0)).measured == "205 days ago"
    assert only("seen", msgspec.structs.replace(silent, unseen_h=2.3)).measured == "just over 2 h ago"


def test_before_the_first_reading_there_are_limits_and_nothing_measured(bench: Bench) -> None:
    seen = judge(bench.batch(), VesselReadings.of(())).now
    measured: dict[CheckName, str] = {check: only(check, seen).measured for check in CHECKS}
    assert [check for check, says in measured.items() if says] == ["undisturbed"]
    assert only("seen", seen).limit


def test_hand_samples_are_counted_and_compared(by_hand: Snapshot) -> None:
    said = {check: only(check, by_hand) for check in CHECKS}
    assert said["seen"] == ("2 samples", "at least 2")
    assert said["believable"] == ("samples agree", "")
    assert said["flat"].limit == "at most 1 point in 48 h"
    assert said["undisturbed"] == ("261 h", "at least 48 h")
    assert said["warm enough"].limit == "at least 15.0 °C"
    assert by_hand.hand is not None
    one = msgspec.structs.replace(by_hand, hand=msgspec.structs.replace(by_hand.hand, first_us=None, tried=1))
    assert only("flat", one).measured == ""
    assert only("seen", failing("seen", one)).measured == "1 sample"


_COMPARED = re.compile(r"(?P<way>at most|at least|less than) (?P<value>[0-9.]+)(?P<unit> (?:h|days))?")


def in_hours(value: str, unit: str | None) -> float:
    return float(value) * (24.0 if unit == " days" else 1.0)


def within(figures: Figures) -> bool | None:
    """Whether a reader sees it within its limit; None where there are no two numbers to compare."""
    limit = _COMPARED.search(figures.limit)
    measured = re.search(r"(?P<just>just (?:over|under) )?(?P<value>[0-9.]+)(?P<unit> (?:h|days))?", figures.measured)
    if limit is None or not figures.measured:
        return None
    if measured is None:
        return True if figures.measured in ("cannot fall", "within this hour", "no certain rise") else None
    if measured["just"]:
        return False
    value, bound = in_hours(measured["value"], measured["unit"]), in_hours(limit["value"], limit["unit"])
    if figures.limit.startswith("rises") and figures.measured.startswith("falls"):
        return True
    if "over" in figures.measured.split()[-3:]:
        return False
    return {"at most": value <= bound, "at least": value >= bound, "less than": value < bound}[limit["way"]]


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_figure_within_its_limit_stands_beside_a_check_that_fails_nor_one_beyond_it_beside_one_that_holds(
    kind: str,
) -> None:
    invented = invent(kind, 2)
    batch, settled = invented.batch, settled_gravities(invented.batch, VesselReadings.of(invented.readings)).readings
    stops_us = range(hour_end(batch.pitched_us), int(settled.at_us[-1]) + 60 * HOUR_US, 23 * HOUR_US)
    seen = [told.seen for told in judge(batch, settled).history]
    seen += [streaming.snapshot(streaming.closed_to_us) for streaming in judging(batch, settled, stops_us)]
    assert_shown_as_they_are(seen)


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["plain ale", "stuck warm", "late intruder", "creep while cold"])
def test_nor_where_hand_samples_alone_tell(kind: str) -> None:
    assert_shown_as_they_are([change.seen for change in judged_by_hand(invent(kind, 2)).judged.history])


def assert_shown_as_they_are(seen: list[Snapshot]) -> None:
    compared = [
        (check, each.passed[check], figures, within(figures))
        for each in seen
        for check in CHECKS
        for figures in check_figures(check, each)
    ]
    assert {True, False} <= {seen_within for *_, seen_within in compared}
    assert [each for each in compared if each[3] not in (None, each[1])] == []
