"""What is put into a calendar: what lies ahead, in words that hold on another day, with the cautions."""

from __future__ import annotations

import re
from typing import Any

import pytest

from lullwort.detector import PRESSED, Units
from lullwort.forecast import LeftAt, SampleTime, plan

Foreseen = Any  # the fixture's class lives in conftest.py

BERLIN = Units(zone="Europe/Berlin")


def test_the_likely_day_the_points_left_and_the_sample_are_planned(foreseen: Foreseen) -> None:
    planned = plan("north-12", foreseen.forecast(), BERLIN, sealed=False)
    hours = [(p.at_us - foreseen.at_us) / 3_600_000_000 for p in planned]
    assert [(p.key, p.title, p.all_day) for p in planned] == [
        ("ready", "north-12: likely ready", True),
        ("left 5", "north-12: about 5 points left", False),
        ("left 3", "north-12: about 3 points left", False),
        ("left 2", "north-12: about 2 points left", False),
        ("sample", "north-12: hand sample", False),
    ]
    assert hours == [61.0, 6.0, 13.0, 25.0, 36.0]


def test_each_has_its_range_its_caution_and_of_when_it_is(foreseen: Foreseen) -> None:
    ready, five, *_, sample = plan("north-12", foreseen.forecast(), BERLIN, sealed=True)
    assert ready.says.splitlines()[:2] == [
        "Likely ready Sat 8 Aug evening (Fri/Sat 8 Aug night to Sun 9 Aug afternoon, 4 in 5 sure). At 1.012 to 1.014.",
        "Moved since the day before: the dry hop of Sun 2 Aug 12:00 began the proof anew. "
        "It draws on 3 earlier batches of this recipe.",
    ]
    assert "no proof" in ready.says
    assert "Bottles can burst" in ready.says
    assert five.says.startswith(
        "About 5 points left Thu 6 Aug afternoon (Thu 6 Aug morning to Thu 6 Aug evening, 4 in 5 sure).\n"
        "Dry hop, warm rest, or seal a rated vessel, if that is your plan.\n"
    )
    assert "working relief valve" in five.says
    assert "glass and plain buckets never" in five.says
    assert "it then settles the sensor's offset" in sample.says
    assert PRESSED in sample.says
    assert all(p.says.endswith("\nForeseen Thu 6 Aug 2026 08:00 CEST; a later export takes its place.")
               for p in (ready, five, sample))  # fmt: skip
    assert PRESSED not in plan("north-12", foreseen.forecast(), BERLIN, sealed=False)[-1].says


def test_no_day_is_named_that_means_another_when_it_is_read_later(foreseen: Foreseen) -> None:
    for planned in plan("north-12", foreseen.forecast(moved=""), BERLIN, sealed=True):
        assert not re.search("today|tomorrow|tonight|yesterday", planned.says)
        days = re.findall(r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun)\b(.{4})", planned.says)
        assert days
        assert all(re.match(r" \d+ A|/(Fri|Sat)", after) for after in days), planned.says


def test_of_what_is_not_ahead_or_not_known_nothing_is_planned(foreseen: Foreseen) -> None:
    past = foreseen.forecast(ready=None, sample=None, left=(LeftAt(5.0, foreseen.span(-9, -5, 0)),))
    assert plan("north-12", past, BERLIN, sealed=False) == ()
    one = foreseen.forecast(ready=None, sample=None, left=(LeftAt(1.0, foreseen.span(1, 2, 3)),))
    assert plan("north-12", one, BERLIN, sealed=False) == ()


@pytest.mark.parametrize("about_h", [-7, 0])
def test_nothing_is_planned_before_the_forecast(foreseen: Foreseen, about_h: int) -> None:
    span = foreseen.span(-9, about_h, 4)
    sample = SampleTime(span.about_us, "x")
    forecast = foreseen.forecast(ready=span, left=(LeftAt(5.0, span),), sample=sample)
    assert [p.at_us for p in plan("north-12", forecast, BERLIN, sealed=False)] == [foreseen.at_us] * 3


def test_points_are_in_the_brewer_s_unit_and_their_key_is_not(foreseen: Foreseen) -> None:
    _, five, *_ = plan("north-12", foreseen.forecast(), Units(gravity="plato"), sealed=False)
    assert (five.key, five.title) == ("left 5", "north-12: about 1.27 °P left")
    assert five.says.startswith("About 1.27 °P left Thu")
