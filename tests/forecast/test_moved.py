"""Why a forecast is another than the day before: always said where it jumps, and never where it does not."""

from __future__ import annotations

from typing import Any

import pytest

from lullwort.forecast.moved import Standing, why_moved
from lullwort.forecast.shapes import Level, Span
from lullwort.records import HOUR_US

FASTER = "sooner, for what may be left has shrunk faster than was foreseen"


def standing(as_of_h: int, ready_h: int | None, **other: Any) -> Standing:
    span = None if ready_h is None else Span(*(h * HOUR_US for h in (ready_h - 20, ready_h, ready_h + 40)))
    usual = Standing(
        as_of_h * HOUR_US, span, Level(10.0, 11.5, 13.0), "fermenting", False, True, 0, "pitched", None, 20.0
    )
    return usual._replace(**other)


@pytest.mark.parametrize(
    ("other", "says"),
    [
        ({"restarted_us": 5, "restarted_by": "dry hop"}, "later, for the proof began anew (dry hop)"),
        ({"interrupted_us": 5}, "later, for a gap in the log asks for more proof"),
        ({"sampled_us": 7}, "later, for a hand sample was taken"),
        ({"temp_c": 17.0}, "later, for it has become colder"),
        ({"temp_c": 22.0}, "later, for what may be left has shrunk more slowly than was foreseen"),
        ({}, "later, for what may be left has shrunk more slowly than was foreseen"),
        ({"in_main_fall": True}, "later, for gravity falls more slowly than was foreseen"),
    ],
)
def test_it_names_what_happened_since(other: dict[str, Any], says: str) -> None:
    assert why_moved(standing(100, 200), standing(124, 240, **other)) == says


@pytest.mark.parametrize(
    ("other", "says"),
    [
        ({"temp_c": 22.0}, "sooner, for it has become warmer"),
        ({"temp_c": 22.0, "restarted_us": 5, "restarted_by": "warm"}, "sooner, for it has become warmer"),
        ({"temp_c": 17.0}, FASTER),
        ({"restarted_us": 5, "restarted_by": "rouse"}, FASTER),
    ],
)
def test_nothing_is_sooner_for_what_can_only_hold_it_up(other: dict[str, Any], says: str) -> None:
    assert why_moved(standing(100, 260), standing(124, 180, **other)) == says


def test_what_the_beer_itself_does_is_named_too() -> None:
    lag = standing(20, 200, in_main_fall=True, has_fallen=False)
    falling, tail = standing(44, 150, in_main_fall=True), standing(44, 150)
    assert why_moved(lag, falling) == "sooner, for it has begun to ferment"
    assert (
        why_moved(lag._replace(has_fallen=True), tail)
        == "sooner, for the main fall is over, and the tail itself tells now"
    )
    cooled = tail._replace(temp_c=17.0, ready=standing(44, 260).ready)
    assert why_moved(lag._replace(has_fallen=True), cooled) == "later, for it has become colder"
    assert why_moved(standing(20, 200), tail).startswith("sooner, for what may be left has shrunk faster")


def test_a_little_and_what_cannot_be_compared_say_nothing() -> None:
    assert why_moved(standing(100, 200), standing(124, 212)) == ""
    assert why_moved(standing(0, 200), standing(24, 249)) == ""  # a quarter of what was left: too far off
    assert why_moved(None, standing(124, 240)) == ""
    assert why_moved(standing(100, None), standing(124, 240)) == ""
    assert why_moved(standing(100, 200), standing(124, None)) == ""


def test_another_final_gravity_is_told_where_the_day_stays() -> None:
    before, higher = standing(100, 200), standing(124, 204, end=Level(12.0, 13.5, 15.0))
    assert why_moved(before, higher) == "its final gravity higher, for the beer itself tells more of it now"
    sampled = standing(124, 204, end=Level(8.0, 9.0, 10.0), sampled_us=7)
    assert why_moved(before, sampled) == "its final gravity lower, for a hand sample was taken"
    assert why_moved(before, standing(124, 204, end=Level(10.0, 12.5, 14.0))) == ""
