"""The card's picture as SVG: nothing lost, nothing outside, hostile words harmless."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest

from lullwort.card.curve.content import CurveContent, Foreseen, curve_content
from lullwort.card.curve.drawing import SMALL, WIDE, drawing, gravity_span
from lullwort.card.curve.span import WHOLE, CurveSpan
from lullwort.card.known.asiderows import AsideRows
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import Units
from lullwort.exporting import CurveSize, Tick
from lullwort.records import HOUR_US

Known = dict[str, BatchFacts]
Reader = Callable[[str], list[list[tuple[float, float]]]]
SVG = "{http://www.w3.org/2000/svg}"


def content_of(facts: BatchFacts, span: CurveSpan = WHOLE) -> CurveContent:
    content = curve_content(facts, {}, Units(), span)
    assert content is not None
    return content


def drawn(content: CurveContent, size: CurveSize = WIDE, units: Units | None = None) -> ElementTree.Element:
    return ElementTree.fromstring(drawing(content, units or Units(), size, "says"))


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [part for part in root.iter() if name in (part.get("class") or "").split()]


@pytest.mark.parametrize("size", [WIDE, SMALL])
@pytest.mark.parametrize("name", ["north-1", "stairs-1", "east-1", "yard-1", "pantry-1"])
@pytest.mark.parametrize("span", [WHOLE, CurveSpan("24h")])
def test_all_lies_within_the_picture(
    known: Known, name: str, size: CurveSize, span: CurveSpan, drawn_points: Reader, text_spans: Callable[..., Any]
) -> None:
    root = drawn(content_of(known[name], span), size)
    strokes = [stroke for part in root.iter() for stroke in drawn_points(part.get("d") or "")]
    assert len(strokes) > 10
    for x, y in (point for stroke in strokes for point in stroke):
        assert 40.0 <= x <= size.width
        assert 0.0 <= y <= size.height
    for left, right, words in text_spans(root, 6.3):
        assert left >= -2.0, words
        assert right <= size.width + 12.0, words


def test_the_smallest_and_the_largest_reading_of_each_pixel_are_drawn(known: Known, drawn_points: Reader) -> None:
    content = content_of(known["north-1"])
    low, high = gravity_span(content, Units())
    root = drawn(content)
    left, top, right, bottom, _ = map(float, (root.get("data-plot") or "").split())
    (path,) = of_class(root, "hourly")
    strokes = {round(x, 3): (upper, lower) for (x, upper), (_, lower) in drawn_points(path.get("d") or "")}
    curve = content.curve
    at_x = left + (content.days(content.raw_us) - curve.from_day) / (curve.to_day - curve.from_day) * (right - left)
    at_y = bottom - np.clip((content.raw - low) / (high - low), 0.0, 1.0) * (bottom - top)
    assert set(strokes) == {pixel + 0.5 for pixel in np.floor(at_x).tolist()}
    for x, (upper, lower) in strokes.items():
        within = at_y[np.floor(at_x) == x - 0.5]
        assert (upper, lower) == pytest.approx((within.min(), within.max()), abs=0.051)


def test_each_reading_passed_over_has_a_cross_at_its_place_or_at_the_edge(known: Known) -> None:
    content = content_of(known["north-1"])
    root = drawn(content)
    (path,) = of_class(root, "passed")
    crosses = [(float(x) + 3.2, float(y) + 3.2) for x, y in re.findall(r"M([\d.]+) ([\d.]+)l", path.get("d") or "")]
    left, top, right, bottom, _ = map(float, (root.get("data-plot") or "").split())
    curve = content.curve
    at_x = left + (content.days(content.passed_us) - curve.from_day) / (curve.to_day - curve.from_day) * (right - left)
    low, high = gravity_span(content, Units())
    for x, value in zip(at_x.tolist(), content.passed.tolist(), strict=True):
        beside = [y for at, y in crosses if abs(at - x) <= 2.1]
        assert beside
        y = bottom - (value - low) / (high - low) * (bottom - top)
        y = min(max(y, top + 3.2), bottom - 3.2)  # the cross as a whole lies within
        assert min(beside) - 0.5 <= y <= max(beside) + 0.5


def test_a_silence_is_neither_line_nor_band(known: Known) -> None:
    content = content_of(known["north-1"])
    curve = content.curve
    heard, warm = ((days < 4.0) | (days > 6.0) for days in (curve.days, curve.temp_days))
    silent = replace(
        content,
        curve=replace(
            curve, days=curve.days[heard], smooth=curve.smooth[heard], believed=curve.believed[heard],
            temp_days=curve.temp_days[warm],
            temps=curve.temps[warm],
        ),
        low=content.low[heard], high=content.high[heard],
    )  # fmt: skip
    for name in ("smooth", "band", "temp"):
        assert (len(of_class(drawn(content), name)), len(of_class(drawn(silent), name))) == (1, 2)


@pytest.mark.parametrize("size", [WIDE, SMALL])
def test_temperature_stands_below_on_the_same_axis_between_the_bounds_of_its_yeast(
    known: Known, size: CurveSize, drawn_points: Reader
) -> None:
    content = replace(content_of(known["north-1"]), yeast=(15.0, 24.0))
    root, curve = drawn(content, size), content.curve
    left, _, right, bottom, foot = map(float, (root.get("data-plot") or "").split())
    (path,) = of_class(root, "temp")
    (stroke,) = drawn_points(path.get("d") or "")
    at_x = left + (curve.temp_days - curve.from_day) / (curve.to_day - curve.from_day) * (right - left)
    assert (stroke[0][0], stroke[-1][0]) == pytest.approx((at_x[0], at_x[-1]), abs=0.51)  # in the middle of a pixel
    ends = [float(each.get("y1") or 0.0) for each in of_class(root, "end")]
    most, least = sorted(at_y for at_y in ends if at_y > bottom)
    at_y = most + (24.0 - curve.temps) / 9.0 * (least - most)
    heights = [y for _, y in stroke]
    assert (min(heights), max(heights)) == pytest.approx((at_y.min(), at_y.max()), abs=0.11)
    assert all(bottom < each < foot for each in (most, least, *heights))
    unknown = of_class(drawn(replace(content, yeast=(None, None)), size), "end")
    assert len(unknown) == len(ends) - 2


def test_rows_set_aside_stand_on_the_axis_where_they_tell_their_time(known: Known) -> None:
    facts = known["north-1"]
    at_us = tuple(facts.batch.pitched_us + h * HOUR_US for h in (30, 31, 200))
    with_rows = facts._replace(aside=AsideRows(at_us, 1, 2, (("gravity: expected a number", 6),), 0))
    (path,) = of_class(drawn(content_of(with_rows)), "aside")
    assert (path.get("d") or "").count("z") in (2, 3)
    part = CurveSpan("", facts.batch.pitched_us + 40 * HOUR_US, facts.batch.pitched_us + 90 * HOUR_US)
    assert not of_class(drawn(content_of(with_rows, part)), "aside")


def test_what_is_foreseen_is_a_bar_to_the_right_of_now_and_an_arrow_where_it_lies_beyond(
    known: Known, drawn_points: Reader
) -> None:
    content = content_of(known["east-1"])
    root = drawn(content)
    (bar,), (now,) = of_class(root, "foreseen"), of_class(root, "now")
    bar_x, now_x = (drawn_points(each.get("d") or "")[0][0][0] for each in (bar, now))
    assert bar_x >= now_x
    beyond = drawn(replace(content, foreseen=Foreseen(90.0, 95.0, 99.0)))
    assert not of_class(beyond, "foreseen")
    assert any("h12" in (part.get("d") or "") for part in of_class(beyond, "later"))
    assert not of_class(drawn(content_of(known["east-1"], CurveSpan("24h"))), "now")


def test_each_change_of_the_verdict_is_on_the_axis_and_words_stand_only_where_they_have_room(known: Known) -> None:
    content = content_of(known["north-1"])
    root = drawn(content)
    assert len(of_class(root, "change")) == len(content.changes) > 2
    words = ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert words.count("ready") == 1
    crowd = (*(Tick(3.0 + 0.05 * n, "", "fermenting") for n in range(20)), Tick(8.0, "", "holding"))
    crowded = drawn(replace(content, changes=crowd, stood=""))
    words = ["".join(text.itertext()) for text in crowded.iter(f"{SVG}text")]
    assert words.count("fermenting") == 1  # the last, which has a stretch of its own
    assert "holding" in words


def test_short_spans_are_told_by_the_brewers_clock(known: Known) -> None:
    content = content_of(known["north-1"], CurveSpan("24h"))
    for zone, minutes in (("UTC", "00"), ("Asia/Kolkata", "00")):
        root = drawn(content, units=Units(zone=zone))
        clocks = [text for text in ("".join(t.itertext()) for t in root.iter(f"{SVG}text")) if ":" in text]
        assert 3 <= len(clocks) <= 13
        assert {clock[-2:] for clock in clocks} == {minutes}


def test_words_of_people_are_text_and_nothing_else(known: Known) -> None:
    content = content_of(known["north-1"])
    hostile = (Tick(2.0, "1", "<script>alert(1)</script>"), Tick(3.0, "2", '" onload="x'))
    root = drawn(replace(content, curve=replace(content.curve, ticks=hostile)))
    assert not list(root.iter(f"{SVG}script"))
    assert "1 <script>alert(1)</script>" in ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]
    assert all("onload" not in part.attrib for part in root.iter())
