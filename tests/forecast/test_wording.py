"""A forecast in the words of a brewer: short, in local time, how sure it is said once, and nothing of the past."""

from __future__ import annotations

from typing import Any

import pytest

from lullwort.detector import PRESSED, Units
from lullwort.forecast import LeftAt, Level, SampleTime, Span, outlook, outlook_details
from lullwort.records import HOUR_US

Foreseen = Any  # the fixture's class lives in conftest.py

BERLIN = Units(zone="Europe/Berlin")


def test_the_sentence_says_when_and_at_which_gravity_and_how_sure_each_is(foreseen: Foreseen) -> None:
    # An 80 % range leaves a tenth beyond its upper end and a fifth outside: 9 in 10 and 4 in 5.
    assert outlook(foreseen.forecast(), BERLIN) == (
        "Likely ready Saturday evening, at the latest Sunday afternoon (9 in 10 sure); "
        "final gravity 1.012 to 1.014 (4 in 5)."
    )
    assert outlook(foreseen.forecast(), Units(zone="Europe/Berlin", gravity="plato")).endswith(
        "; final gravity 3.1 to 3.6 °P (4 in 5)."
    )
    assert outlook(foreseen.forecast(), Units()).startswith("Likely ready Saturday evening, at the latest Sunday noon")
    assert outlook(foreseen.forecast(end=None), BERLIN).endswith("(9 in 10 sure).")


def test_a_wide_range_is_told_by_days_and_a_far_one_by_dates(foreseen: Foreseen) -> None:
    wide = foreseen.forecast(ready=foreseen.span(20, 60, 93))
    assert outlook(wide, BERLIN).startswith("Likely ready Saturday, at the latest Monday (9 in 10 sure);")
    far = foreseen.forecast(ready=foreseen.span(200, 260, 400))
    assert outlook(far, BERLIN).startswith("Likely ready Monday 17 August, at the latest Sunday 23 August (9 in")


def test_where_the_latest_is_no_later_in_words_it_is_not_said_again(foreseen: Foreseen) -> None:
    close = foreseen.forecast(ready=foreseen.span(59, 60, 62), end=Level(12.2, 12.3, 12.4))
    assert outlook(close, Units()) == "Likely ready Saturday evening (9 in 10 sure); final gravity 1.012 (4 in 5)."


@pytest.mark.parametrize("hours", [(-30, -20, -10), (-30, -20, 20), (-30, 5, 20), (0, 0, 0)])
def test_no_instant_before_that_of_the_forecast_is_named(foreseen: Foreseen, hours: tuple[int, int, int]) -> None:
    for forecast in (
        foreseen.forecast(ready=foreseen.span(*hours), left=(LeftAt(5.0, foreseen.span(*hours)),), moved=""),
        foreseen.forecast(ready=None, left=(), sample=SampleTime(foreseen.at_us + hours[0] * HOUR_US, "x"), moved=""),
    ):
        said = " ".join([outlook(forecast, Units()), *outlook_details(forecast, Units(), sealed=False)])
        assert "Wed" not in said  # the day before
        assert "Thu" in said or "now" in said


def test_a_sample_that_would_tell_most_already_is_asked_for_now(foreseen: Foreseen) -> None:
    for hours in (-1, 0):
        forecast = foreseen.forecast(sample=SampleTime(foreseen.at_us + hours * HOUR_US, "the end is in doubt"))
        assert "Best time for a hand sample: now; the end is in doubt." in outlook_details(
            forecast, BERLIN, sealed=False
        )


def test_why_there_is_none_is_told_and_the_end_where_it_is_known(foreseen: Foreseen) -> None:
    none = foreseen.forecast(ready=None, unsaid="The fall has only begun.")
    says = "It cannot be said when it will be ready. The fall has only begun."
    assert outlook(none, BERLIN) == f"{says} Final gravity likely 1.012 to 1.014 (4 in 5 sure)."
    assert outlook(none._replace(end=None), BERLIN) == says
    assert outlook(none._replace(end=None, unsaid=""), BERLIN) == ""


def test_the_details_say_each_thing_in_a_line(foreseen: Foreseen) -> None:
    assert outlook_details(foreseen.forecast(), BERLIN, sealed=False) == [
        "5 points left Thu afternoon (Thu morning to Thu evening, 4 in 5 sure); 3 points Thu evening (Thu afternoon to "
        "Fri noon); 2 points Fri morning (Thu/Fri night to Fri/Sat night).",
        "Best time for a hand sample: tomorrow (Fri) evening; it then settles the sensor's offset and the end at once.",
        "Moved since the day before: the dry hop of Sun 2 Aug 12:00 began the proof anew.",
        "It draws on 3 earlier batches of this recipe.",
    ]


def test_only_what_lies_ahead_has_a_line_in_the_brewer_s_unit(foreseen: Foreseen) -> None:
    left = (LeftAt(5.0, foreseen.span(-9, -5, 0)), LeftAt(2.0, foreseen.span(14, 15, 15)))
    forecast = foreseen.forecast(left=left, sample=None, moved="", repeats=1)
    assert outlook_details(forecast, Units(gravity="plato"), sealed=True) == [
        "0.51 °P left Thu evening (4 in 5 sure).",
        "It draws on 1 earlier batch of this recipe.",
    ]
    nothing = foreseen.forecast(ready=None, end=None, left=(), sample=None, moved="")
    assert outlook_details(nothing, Units(), sealed=False) == []


def test_a_sample_from_a_sealed_vessel_carries_the_caution_for_pressure(foreseen: Foreseen) -> None:
    for sealed in (True, False):
        (line,) = (
            line for line in outlook_details(foreseen.forecast(), BERLIN, sealed=sealed) if "hand sample" in line
        )
        assert line.endswith(PRESSED) is sealed


def test_a_range_tells_its_ends_in_order_and_the_likeliest_before_them(foreseen: Foreseen) -> None:
    left = (LeftAt(3.0, Span(*(foreseen.at_us + h * HOUR_US for h in (0, 50, 100)))),)
    (line,) = outlook_details(foreseen.forecast(left=left, sample=None, moved="", repeats=0), Units(), sealed=False)
    assert line == "3 points left Sat (Thu to Mon, 4 in 5 sure)."


def test_what_has_likely_come_names_no_hour_but_the_latest(foreseen: Foreseen) -> None:
    spans = ((5.0, (0, 0, 7)), (3.0, (0, 0, 20)), (2.0, (4, 13, 27)))
    left = tuple(LeftAt(points, foreseen.span(*hours)) for points, hours in spans)
    (line,) = outlook_details(foreseen.forecast(left=left, sample=None, moved="", repeats=0), BERLIN, sealed=False)
    assert line == (
        "5 points left likely by now (at the latest Thu afternoon, 9 in 10 sure); 3 points likely by now (at the "
        "latest Thu/Fri night); 2 points Thu evening (Thu noon to Fri noon, 4 in 5 sure)."
    )
