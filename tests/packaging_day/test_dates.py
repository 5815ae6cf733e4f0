"""On which days it is chilled and packaged: never before the proof, and a wish is kept or refused, never moved."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lullwort.detector import PRESSED, Change, Judged, Units, Verdict, judge
from lullwort.forecast import Forecast, LeftAt, Span
from lullwort.packaging_day import (
    Dates,
    DaySpan,
    calendar_days,
    crash_says,
    packaging_dates,
    packaging_says,
    rest_says,
    wish_says,
)
from lullwort.records import HOUR_US, Batch, Event, VesselReadings, parse_instant, to_datetime

AS_OF = parse_instant("2026-08-06T06:00:00Z")  # a Thursday morning
THURSDAY = date(2026, 8, 6)
BERLIN = Units(zone="Europe/Berlin")


def at(hours: float) -> int:
    return AS_OF + round(hours * HOUR_US)


def span(low_h: float, about_h: float, high_h: float) -> Span:
    return Span(at(low_h), at(about_h), at(high_h))


SATURDAY_EVENING = span(40, 61, 78)


def forecast(ready: Span | None = SATURDAY_EVENING, *left: LeftAt, unsaid: str = "") -> Forecast:
    return Forecast(AS_OF, ready, None, left, None, unsaid, "", 0)


def judged(verdict: Verdict | None = None, *events: Event, **seen: Any) -> Judged:
    batch = Batch(vessel="north", name="north-12", pitched_us=at(-200), events=events)
    told = judge(batch, VesselReadings.of(()), as_of_us=AS_OF)
    passed = told.now.passed | {"warm enough": True} | seen.pop("passed", {})
    now = msgspec.structs.replace(told.now, first_sample=None, passed=passed, **seen)
    return told._replace(now=now, history=[] if verdict is None else [Change(at(-30), verdict, now)])


HOLDING = judged("holding")
LIKELY_READY = forecast()


def planned(of: Judged = HOLDING, foreseen: Forecast | None = LIKELY_READY, **wish: Any) -> Dates:
    return packaging_dates(of, foreseen, "Europe/Berlin", **wish)


def one(day: date) -> DaySpan:
    return DaySpan(day, day, day)


def day(text: str) -> date:
    return date.fromisoformat(f"2026-08-{text}")


def test_it_is_chilled_once_it_is_ready_and_packaged_two_days_later() -> None:
    # Ready on Saturday at 21:00 in Berlin, between Friday at midnight and Sunday at 14:00.
    dates = planned()
    assert dates.crash == DaySpan(day("08"), day("09"), day("09"))
    assert dates.packaging == DaySpan(day("10"), day("11"), day("11"))
    assert (dates.proved, dates.unsaid, dates.wish, dates.cold_since_us) == (False, "", None, None)
    assert planned(crash_days=5).packaging == DaySpan(day("13"), day("14"), day("14"))


def test_without_a_crash_it_is_packaged_on_the_day_of_ready() -> None:
    dates = planned(crash_days=0)
    assert dates.crash is None
    assert dates.packaging == DaySpan(day("08"), day("09"), day("09"))
    assert crash_says(dates, BERLIN) == "None: it is packaged warm."


@given(
    st.tuples(*[st.floats(0.0, 400.0)] * 3).map(sorted), st.integers(0, 14),
    st.sampled_from([None, "Europe/Berlin", "America/Chicago", "Pacific/Auckland"]), st.integers(-5, 40),
)  # fmt: skip
def test_nothing_is_chilled_or_packaged_before_it_is_ready(
    hours: list[float], crash_days: int, zone: str | None, wish_in: int
) -> None:
    ready = span(*hours)
    on = THURSDAY + timedelta(days=wish_in)
    dates = packaging_dates(HOLDING, forecast(ready), zone, crash_days=crash_days)
    assert dates.packaging is not None
    for first, ready_us, packaged in zip(dates.crash or dates.packaging, ready, dates.packaging, strict=True):
        # By the evening of that day, in any zone: the day as UTC counts it may be one other.
        assert first >= to_datetime(ready_us).date() - timedelta(days=1)
        assert (packaged - first).days == (crash_days if dates.crash else 0)
    assert list(dates.packaging) == sorted(dates.packaging)
    wished = packaging_dates(HOLDING, forecast(ready), zone, crash_days=crash_days, on=on)
    assert wished.wish is not None
    if wished.wish.refused:
        # Never moved silently: all else is as without the wish.
        assert wished._replace(wish=None) == dates
    else:
        assert wished.packaging == one(on)
        assert on >= dates.packaging.about
        assert wished.crash == (one(on - timedelta(days=crash_days)) if crash_days else None)
        assert (wished.wish.stands == "safe") == (on >= dates.packaging.high)


def test_a_wish_is_kept_as_far_as_the_proof_is_likely() -> None:
    stands = {n: planned(on=THURSDAY + timedelta(days=n)).wish for n in range(-1, 7)}
    assert [wish.stands for wish in stands.values() if wish is not None] == [
        "past", "too soon", "too soon", "too soon", "too soon", "too soon", "safe", "safe",
    ]  # fmt: skip
    wide = forecast(span(40, 61, 200))
    assert [
        planned(foreseen=wide, on=day(text)).wish.stands  # type: ignore[union-attr]
        for text in ("10", "11", "15", "16", "17")
    ] == ["too soon", "likely", "likely", "safe", "safe"]


def test_a_wish_is_told_with_its_reason() -> None:
    wide = forecast(span(40, 61, 200))
    says = {text: wish_says(planned(foreseen=wide, on=day(text))) for text in ("01", "10", "11", "16")}
    assert says == {
        "01": "Sat 1 Aug is refused as packaging day: it is past, as of Thu 6 Aug 2026.",
        "10": (
            "Mon 10 Aug is refused as packaging day: it must be chilled on Sat 8 Aug, and the proof is hardly there by "
            "then. Likely from Tue 11 Aug on."
        ),
        "11": (
            "Tue 11 Aug can be planned for, but keep another day free: it must be chilled on Sun 9 Aug, and the proof "
            "is likelier than not there by then, not surely."
        ),
        "16": "Sun 16 Aug can be planned for: the proof is there before the crash start in 9 of 10 cases.",
    }
    assert wish_says(planned()) == ""
    # A mistyped year is asked after, at either end of what a calendar knows.
    assert wish_says(planned(on=date.min)).endswith("it is past, as of Thu 6 Aug 2026.")
    assert wish_says(planned(on=date(2206, 8, 16))) == (
        "Sat 16 Aug 2206 is refused as packaging day: it is more than a year ahead, as of Thu 6 Aug 2026: is its year "
        "right?"
    )
    assert planned(judged("ready"), None, on=date.max).packaging == planned(judged("ready"), None).packaging
    none = forecast(None, unsaid="It stands still where it should not, and may stay there.")
    assert wish_says(planned(judged("stalled"), none, on=day("16"))) == (
        "Sun 16 Aug is refused as packaging day: it cannot be told when it will be ready. It stands still where it "
        "should not, and may stay there."
    )


def test_of_a_ready_beer_the_days_begin_today() -> None:
    ready = planned(judged("ready"), None)
    assert (ready.crash, ready.packaging, ready.proved) == (one(THURSDAY), one(day("08")), True)
    soon = planned(judged("ready"), None, on=day("07"))
    assert soon.wish is not None
    assert soon.wish.stands == "cold too short"
    assert wish_says(soon) == (
        "Fri 7 Aug is refused as packaging day: 2 days in the cold end on Sat 8 Aug; that day goes with --crash-days 1."
    )
    kept = planned(judged("ready"), None, on=day("07"), crash_days=1)
    assert (kept.crash, kept.packaging) == (one(THURSDAY), one(day("07")))
    assert wish_says(kept) == "Fri 7 Aug can be planned for: the verdict is ready."
    assert packaging_says(kept) == "Fri 7 Aug. Ask the verdict again that day; it may still turn."


def test_a_crash_that_has_begun_counts() -> None:
    noted = judged("ready", Event(at_us=at(-20), kind="crash"))
    dates = planned(noted, None)
    assert (dates.crash, dates.packaging) == (None, one(day("07")))  # since Wednesday, 12:00 in Berlin
    assert crash_says(dates, BERLIN) == "It has been cold since Wed 5 Aug 2026 12:00 CEST."
    assert planned(noted, None, crash_days=0).packaging == one(THURSDAY)
    early = planned(noted, None, on=THURSDAY)
    assert wish_says(early) == "Thu 6 Aug is refused as packaging day: 2 days in the cold end on Fri 7 Aug."
    warmed = judged("ready", Event(at_us=at(-20), kind="crash"), Event(at_us=at(-10), kind="warm"))
    assert planned(warmed, None).crash == one(THURSDAY)
    # By its log, without a note.
    felt = judged("ready", passed={"warm enough": False}, since_us=judged().now.since_us | {"warm enough": at(-50)})
    assert planned(felt, None).packaging == one(THURSDAY)
    # Cold that came before the proof is no crash to count by.
    assert planned(judged("too cold", Event(at_us=at(-20), kind="crash")), forecast(None)).cold_since_us is None


@pytest.mark.parametrize(
    ("verdict", "foreseen", "says"),
    [
        ("too cold", forecast(None, unsaid="The yeast sleeps."), "The yeast sleeps."),
        ("unclear", forecast(None, unsaid="It cannot be told how the beer stands."), "It cannot be told how"),
        ("lag", None, "Nothing is foreseen of it."),
        ("packaged", None, "It is packaged."),
        ("packaged", forecast(), "It is packaged."),
    ],
)
def test_where_no_day_can_be_told_that_is_said(verdict: Verdict, foreseen: Forecast | None, says: str) -> None:
    dates = planned(judged(verdict), foreseen)
    assert (dates.crash, dates.packaging) == (None, None)
    assert packaging_says(dates).startswith(f"No day can be told. {says}")
    assert crash_says(dates, BERLIN) == ""


def test_a_batch_without_readings_is_told_of_by_hand() -> None:
    batch = Batch(vessel="tub", name="ale-7", pitched_us=at(-100), original_gravity=1.050)
    by_hand = judge(batch, VesselReadings.of(()), as_of_us=AS_OF)
    assert by_hand.now.first_sample is not None
    assert "Hand samples alone tell of it" in packaging_says(packaging_dates(by_hand, None, None))


def test_a_rest_begins_when_about_three_points_are_left_and_not_later() -> None:
    three = LeftAt(3.0, span(-2, 13, 27))
    dates = planned(HOLDING, forecast(span(40, 61, 78), three, LeftAt(2.0, span(14, 25, 40))))
    assert dates.rest == DaySpan(THURSDAY, THURSDAY, day("07"))
    assert rest_says(dates, BERLIN, sealed=False) == (
        "Thu 6 Aug (Thu 6 Aug to Fri 7 Aug, 4 in 5 sure), when about 3 points are left. If it wants one, raise it by "
        "2 to 4 °C for 2 days (1 to 7 is usual); later, warming begins the proof anew."
    )
    assert "relief valve" in rest_says(dates, BERLIN, sealed=True)
    assert "4 to 7 °F" in rest_says(dates, Units(temperature="F"), sealed=False)
    assert planned(HOLDING, forecast(span(40, 61, 78), LeftAt(3.0, span(-9, 0, 3)))).rest is None
    assert rest_says(planned(), BERLIN, sealed=False) == ""
    # Of one that stands too high a rest may still be foreseen, and no packaging.
    assert planned(judged("packaged"), forecast(span(1, 2, 3), three)).rest is None


def test_the_calendar_never_says_that_it_may_be_packaged() -> None:
    for of, foreseen in ((HOLDING, forecast()), (judged("ready"), None)):
        days = calendar_days(of, planned(of, foreseen), BERLIN)
        assert [(d.key, d.title, d.status) for d in days] == [
            ("crash", "north-12: ask the verdict first (crash start)", "tentative"),
            ("packaging", "north-12: ask the verdict first (packaging day)", "tentative"),
        ]
        for each in days:
            assert "Ask `lullwort verdict` first" in each.says
            assert each.says.endswith("\nAs of Thu 6 Aug 2026 08:00 CEST; a later export takes its place.")
        assert "Bottles can burst" in days[1].says
        assert "cold hides" in days[0].says or of.verdict == "ready"
        assert PRESSED not in days[0].says


def test_the_calendar_takes_out_what_is_not_planned_any_more() -> None:
    stalled = judged("stalled")
    gone = calendar_days(stalled, planned(stalled, forecast(None, unsaid="It stands still.")), BERLIN)
    assert [(d.key, d.status) for d in gone] == [("crash", "cancelled"), ("packaging", "cancelled")]
    assert all("Do not chill or package on what stood here before" in d.says for d in gone)
    warm = calendar_days(HOLDING, planned(crash_days=0), BERLIN)
    assert [(d.key, d.status) for d in warm] == [("crash", "cancelled"), ("packaging", "tentative")]
    cold = judged("ready", Event(at_us=at(-20), kind="crash"))
    assert [d.key for d in calendar_days(cold, planned(cold, None), BERLIN)] == ["packaging"]
    assert calendar_days(judged("packaged"), planned(judged("packaged"), None), BERLIN) == ()


def test_a_day_of_the_calendar_is_that_day_in_its_zone() -> None:
    # Ready on Saturday at 21:00 in Berlin is Sunday morning in Auckland.
    for zone, expected in (("Europe/Berlin", "2026-08-09"), ("Pacific/Auckland", "2026-08-09"), (None, "2026-08-09")):
        dates = packaging_dates(HOLDING, forecast(), zone)
        assert dates.crash is not None
        assert dates.crash.about.isoformat() == expected
        (crash, _) = calendar_days(HOLDING, dates, Units(zone=zone))
        assert abs(crash.at_us - parse_instant(f"{expected}T12:00:00Z")) <= 12 * HOUR_US
