from __future__ import annotations

from lullwort.detector.rest import RestWatch
from lullwort.detector.snapshot import AtRest, Verdict


def watched(*hours: tuple[Verdict, float | None]) -> AtRest | None:
    watch = RestWatch()
    for end_us, (verdict, temp_c) in enumerate(hours, start=1):
        watch.hour(end_us, verdict, temp_c, 12.0 - end_us)
    return watch.at_rest


def test_the_warmest_hour_counts_since_the_fall_ended() -> None:
    rest = watched(("fermenting", 24.0), ("holding", 18.0), ("holding", 21.0), ("ready", 4.0))
    assert rest == AtRest(2, 21.0, 3, 9.0)


def test_a_new_fall_begins_anew_and_packaging_ends_it() -> None:
    assert watched(("ready", 22.0), ("moving again", 20.0)) is None
    rest = watched(("ready", 22.0), ("moving again", 20.0), ("holding", 19.0), ("packaged", 30.0))
    assert rest == AtRest(3, 19.0, 3, 9.0)


def test_an_unclear_hour_goes_on_as_the_one_before() -> None:
    assert watched(("fermenting", 20.0), ("unclear", 25.0)) is None
    assert watched(("holding", 20.0), ("unclear", 25.0)) == AtRest(1, 25.0, 2, 10.0)


def test_hours_without_a_temperature_tell_nothing() -> None:
    assert watched(("holding", None), ("holding", 20.0), ("holding", None)) == AtRest(1, 20.0, 2, 10.0)
