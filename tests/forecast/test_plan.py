"""What is put into a calendar: what lies ahead or stands, in words that hold on another day, with the cautions."""

from __future__ import annotations

import re
from typing import Any

import msgspec
import pytest

from lullwort.detector import PRESSED, Change, Judged, Units, judge
from lullwort.detector.snapshot import Sealed
from lullwort.forecast import LeftAt, Planned, SampleTime, plan
from lullwort.records import HOUR_US, Batch, VesselReadings, parse_instant

Foreseen = Any  # the fixture's class lives in conftest.py

BERLIN = Units(zone="Europe/Berlin")
AS_OF = parse_instant("2026-08-06T06:00:00Z")
RATED = "glass and plain buckets never"


def judged(*, sealed: bool = False, ready_since_h: float | None = None, confirmed: bool = False) -> Judged:
    """A batch as of the instant of the forecasts; ready for so many hours, where those are given."""
    batch = Batch(vessel="north", name="north-12", pitched_us=AS_OF - 200 * HOUR_US)
    told = judge(batch, VesselReadings.of(()), as_of_us=AS_OF)
    now = msgspec.structs.replace(
        told.now, sealed=Sealed(40.0, 0.0) if sealed else None, confirmed_us=AS_OF if confirmed else None
    )
    since = [] if ready_since_h is None else [Change(AS_OF - round(ready_since_h * HOUR_US), "ready", now)]
    return told._replace(now=now, history=since)


def by_key(planned: tuple[Planned, ...]) -> dict[str, Planned]:
    assert len({p.key for p in planned}) == len(planned)
    return {p.key: p for p in planned}


def test_the_likely_day_the_points_left_and_the_sample_are_planned(foreseen: Foreseen) -> None:
    planned = plan(judged(), foreseen.forecast(), BERLIN)
    hours = [(p.at_us - foreseen.at_us) / HOUR_US for p in planned]
    assert [(p.key, p.title, p.status) for p in planned] == [
        ("ready", "north-12: ask the verdict (likely ready)", "tentative"),
        ("left 5", "north-12: about 5 points left", "tentative"),
        ("left 3", "north-12: about 3 points left (warm rest)", "tentative"),
        ("left 2", "north-12: about 2 points left", "tentative"),
        ("sample", "north-12: hand sample", "tentative"),
    ]
    assert hours == [61.0, 6.0, 13.0, 25.0, 36.0]


def test_each_has_its_range_its_caution_and_of_when_it_is(foreseen: Foreseen) -> None:
    planned = plan(judged(), foreseen.forecast(), BERLIN)
    ready, five, *_, sample = planned
    assert ready.says.splitlines()[:2] == [
        "Likely ready Sat 8 Aug evening (Fri/Sat 8 Aug night to Sun 9 Aug afternoon, 4 in 5 sure). "
        "Final gravity 1.012 to 1.014.",
        "Moved since the day before: the dry hop of Sun 2 Aug 12:00 began the proof anew. "
        "It draws on 3 earlier batches of this recipe.",
    ]
    assert "no proof" in ready.says
    assert "Bottles can burst" in ready.says
    assert five.says.startswith(
        "About 5 points left Thu 6 Aug afternoon (Thu 6 Aug morning to Thu 6 Aug evening, 4 in 5 sure).\n"
        "Usual then: sealing a rated vessel, or raising for a diacetyl rest. Only vessels that are rated"
    )
    assert sample.says.startswith(
        "Best time for a hand sample: Fri 7 Aug evening; it then settles the sensor's offset and the end at once. Degas"
    )
    assert all(p.says.endswith("\nAs of Thu 6 Aug 2026 08:00 CEST; a later export takes its place.") for p in planned)


def test_each_number_of_points_names_what_it_is_usual_for_and_its_caution(foreseen: Foreseen) -> None:
    planned = by_key(plan(judged(), foreseen.forecast(), BERLIN))
    for points, named in {5: {"seal", "diacetyl"}, 3: {"seal", "diacetyl"}, 2: {"diacetyl", "dry hop"}}.items():
        says = planned[f"left {points}"].says
        assert {word for word in ("seal", "diacetyl", "dry hop") if word in says} == named
        assert (RATED in says) == ("working relief valve" in says) == ("seal" in named)
    assert not any(PRESSED in p.says for p in planned.values())


def test_a_sealed_vessel_is_neither_sealed_again_nor_opened(foreseen: Foreseen) -> None:
    planned = by_key(plan(judged(sealed=True), foreseen.forecast(), BERLIN))
    for points in (5, 3, 2):
        says = planned[f"left {points}"].says
        assert "ferments under pressure" in says
        assert "sealing" not in says
        assert RATED not in says
    # Hops would be put in through an opening, and a sample drawn.
    assert {key for key, p in planned.items() if PRESSED in p.says} == {"left 2", "sample"}


def test_no_day_is_named_that_means_another_when_it_is_read_later(foreseen: Foreseen) -> None:
    for planned in plan(judged(sealed=True), foreseen.forecast(moved=""), BERLIN):
        assert not re.search(r"\b(today|tomorrow|tonight|yesterday|now)\b", planned.says)
        days = re.findall(r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)\b(.{4})", planned.says)
        assert days
        assert all(re.match(r" \d+ A|/(Fri|Sat)", after) for after in days), planned.says


@pytest.mark.parametrize(("about_h", "planned"), [(-5, []), (0, []), (0.1, ["left 5"])])
def test_points_that_have_likely_been_reached_are_not_planned(
    foreseen: Foreseen, about_h: float, planned: list[str]
) -> None:
    forecast = foreseen.forecast(left=(LeftAt(5.0, foreseen.span(-9, about_h, 8)),))
    assert [p.key for p in plan(judged(), forecast, BERLIN) if p.key.startswith("left")] == planned


def test_the_last_point_is_no_trigger(foreseen: Foreseen) -> None:
    one = foreseen.forecast(left=(LeftAt(1.0, foreseen.span(1, 2, 3)),))
    assert [p.key for p in plan(judged(), one, BERLIN)] == ["ready", "sample"]


@pytest.mark.parametrize("about_h", [-7, 0])
def test_nothing_is_planned_before_the_forecast(foreseen: Foreseen, about_h: int) -> None:
    span = foreseen.span(-9, about_h, 4)
    forecast = foreseen.forecast(ready=span, left=(), sample=SampleTime(span.about_us, "x"))
    assert [p.at_us for p in plan(judged(), forecast, BERLIN)] == [foreseen.at_us] * 2


def test_where_no_day_is_foreseen_any_more_the_one_that_was_is_taken_out(foreseen: Foreseen) -> None:
    none = foreseen.forecast(ready=None, left=(), sample=None, unsaid="It stands still where it should not.")
    ready, sample = plan(judged(), none, BERLIN)
    assert [(p.key, p.title, p.status, p.at_us) for p in (ready, sample)] == [
        ("ready", "north-12: no day foreseen", "cancelled", AS_OF),
        ("sample", "north-12: no hand sample", "cancelled", AS_OF),
    ]
    assert ready.says.startswith("It cannot be said when it will be ready. It stands still where it should not.\n")
    # It takes the place of what may have been called ready before.
    assert "Do not package on what stood here before" in ready.says
    asked = foreseen.forecast(ready=None, left=(), sample=SampleTime(AS_OF, "it tells a stall"), unsaid="It stands.")
    assert [(p.key, p.status) for p in plan(judged(), asked, BERLIN)] == [
        ("ready", "cancelled"),
        ("sample", "tentative"),
    ]


@pytest.mark.parametrize("sealed", [False, True])
def test_what_is_ready_is_sure_and_says_what_to_confirm(sealed: bool) -> None:
    ready, sample = plan(judged(sealed=sealed, ready_since_h=30), None, BERLIN)
    assert (ready.key, ready.title, ready.status) == ("ready", "north-12: ready to package", "confirmed")
    assert ready.at_us == AS_OF - 30 * HOUR_US
    assert ready.says.startswith("The verdict has been ready since Wed 5 Aug 2026 02:00 CEST.\n")
    assert "one degassed hand reading: this verdict rests on a sensor alone" in ready.says
    assert "Bottles can burst" in ready.says
    assert "`lullwort verdict` again" in ready.says
    assert (sample.key, sample.title, sample.status) == ("sample", "north-12: hand sample", "tentative")
    assert sample.at_us == AS_OF
    assert [PRESSED in p.says for p in (ready, sample)] == [sealed] * 2


def test_what_a_sample_has_confirmed_asks_for_none(foreseen: Foreseen) -> None:
    ready, sample = plan(judged(ready_since_h=30, confirmed=True), None, BERLIN)
    assert (ready.status, sample.status, sample.at_us) == ("confirmed", "cancelled", AS_OF)
    assert "sensor and hand sample agree" in ready.says
    assert by_key((ready, sample)).keys() < by_key(plan(judged(), foreseen.forecast(), BERLIN)).keys()


def test_without_a_forecast_nothing_is_planned_of_what_is_not_ready() -> None:
    assert plan(judged(), None, BERLIN) == ()


def test_points_are_in_the_brewer_s_unit_and_their_key_is_not(foreseen: Foreseen) -> None:
    _, five, *_ = plan(judged(), foreseen.forecast(), Units(gravity="plato"))
    assert (five.key, five.title) == ("left 5", "north-12: about 1.27 °P left")
    assert five.says.startswith("About 1.27 °P left Thu")
