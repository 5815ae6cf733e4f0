"""Values of the curve in words, its legend and its part of the page."""

from __future__ import annotations

import json
import re
from html.parser import HTMLParser

import msgspec
import numpy as np
import pytest

from lullwort.card.curve.content import curve_content
from lullwort.card.curve.drawing import gravity_span
from lullwort.card.curve.moments import Moments, moments_of
from lullwort.card.curve.part import curve_part
from lullwort.card.curve.shown import Shown
from lullwort.card.curve.span import WHOLE, CurveSpan
from lullwort.card.curve.values import days_table, moments_json
from lullwort.card.curve.words import content_says, key_lines
from lullwort.card.known.asiderows import AsideRows
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import Units
from lullwort.packaging_day import EventRow, event_rows
from lullwort.records import HOUR_US, Event

Known = dict[str, BatchFacts]
UTC = Units(zone="UTC")
COMMA = Units(gravity="plato", temperature="F", decimal="comma", zone="Europe/Berlin")
HOSTILE = "</td><script>alert('1')</script>\" onfocus=\"x' data-x='"


def moments(facts: BatchFacts, span: CurveSpan = WHOLE, events: list[EventRow] | None = None) -> Moments:
    content = curve_content(facts, {}, UTC, span)
    assert content is not None
    return moments_of(content, events or [], UTC)


class Read:
    """The columns of a picture's moments, as its script reads them."""

    def __init__(self, facts: BatchFacts, units: Units, span: CurveSpan = WHOLE, *events: EventRow) -> None:
        content = curve_content(facts, {}, units, span)
        assert content is not None
        self.content = content
        self.moments = moments_of(content, [*event_rows(facts.sheet, units), *events], units)
        self.data = json.loads(moments_json(content, self.moments, units, gravity_span(content, units)))

    def column(self, name: str) -> list[int | None]:
        total, found = 0, list[int | None]()
        for step in self.data[name]:
            total += step or 0
            found.append(None if step is None else total)
        return found


def row(facts: BatchFacts, hours: float, what: str, mark: str = "1") -> EventRow:
    event = Event(at_us=facts.batch.pitched_us + round(hours * HOUR_US), kind="dry hop")
    return EventRow(event, mark, "then", what, "")


def test_every_hour_can_be_read_off_in_the_brewers_units(known: Known) -> None:
    read = Read(known["north-1"], COMMA)
    right, down = read.column("right"), read.column("down")
    assert 330 <= len(right) <= 480
    assert right == sorted(right, key=lambda place: place or 0)
    assert all(place is not None and 0 <= place <= 10_000 for place in right)
    assert all(place is None or 0 <= place <= 10_000 for place in down)
    assert (read.data["level"], read.data["degrees"]) == ("0,00 °P", "0,0 °F")
    assert sum(count for _, count in read.data["days"]) == len(right)
    assert all(clock is not None and clock % 60 == 0 and 0 <= clock < 1440 for clock in read.column("clock"))
    shown = (("gravity", read.moments.gravity), ("least", read.moments.raw_low), ("temp", 0.1 * read.moments.temp))
    for name, values in shown:
        told = np.array([np.nan if each is None else 0.01 * each for each in read.column(name)])
        assert np.array_equal(np.isnan(told), np.isnan(values))
        assert np.nanmax(np.abs(told - values)) < 0.0051
    spans = zip(read.column("gravity"), read.column("under"), read.column("over"), strict=True)
    for at, (level, under, over) in enumerate(spans):
        if level is not None and under is not None and over is not None:
            low, high = float(read.moments.low[at]), float(read.moments.high[at])
            assert (0.01 * (level - under), 0.01 * (level + over)) == pytest.approx((low, high), abs=0.0051)


def test_a_short_span_is_read_off_reading_by_reading(known: Known) -> None:
    read = Read(known["north-1"], UTC, CurveSpan("24h"))
    content, many = read.content, len(read.data["right"])
    assert len(content.raw_us) <= many <= len(content.raw_us) + len(content.passed_us) + len(content.changes)
    assert {(clock or 0) % 60 for clock in read.column("clock")} != {0}


def test_what_the_cold_read_has_no_range(known: Known) -> None:
    facts = known["yard-1"]
    read = Read(facts, UTC)
    assert facts.sheet.seen.chilled is not None
    pairs = zip(read.column("gravity"), read.column("under"), strict=True)
    assert any(level is not None and under is None for level, under in pairs)
    assert read.data["cold"] == "read in the cold, not believed"
    assert "<small>(read in the cold, not believed)</small>" in days_table(read.moments, facts.batch.pitched_us, UTC)


def test_each_reading_passed_over_and_each_event_stands_at_one_moment(known: Known) -> None:
    facts = known["north-1"]
    found = moments(facts, events=[row(facts, 100.5, "dry hop"), row(facts, 101.0, "rouse", "2")])
    assert sum(each.total() for each in found.passed.values()) == facts.judged.passed_over.total()
    began = facts.batch.pitched_us
    # An hour's moment is its end: that at which the event's hour is over, or is just over.
    first, second = (
        next(int(found.at_us[at]) for at, happened in found.happened.items() if words in happened)
        for words in ("1 dry hop", "2 rouse")
    )
    assert 0 <= first - (began + 100.5 * HOUR_US) < HOUR_US
    assert 0 <= second - (began + 101.0 * HOUR_US) < HOUR_US
    told = [words for _, happened in sorted(found.happened.items()) for words in happened if "verdict" in words]
    assert told == [f"verdict: {change.verdict}" for change in facts.judged.history]


def test_moments_are_thinned_but_none_at_which_something_happened(known: Known) -> None:
    facts = known["stairs-1"]
    read = Read(facts, UTC, WHOLE, row(facts, 301.0, "dry hop"))
    assert len(read.moments.at_us) > 500
    assert len(read.data["right"]) < 400
    said = read.data["said"].values()
    assert any("1 dry hop" in words for words in said)
    assert sum(words.count("verdict: ") for words in said) == len(facts.judged.history)


def test_the_table_has_each_day_once_with_what_happened(known: Known) -> None:
    facts = known["north-1"]
    table = days_table(moments(facts, events=[row(facts, 100.0, "dry hop")]), facts.batch.pitched_us, UTC)
    days = re.findall(r'<th scope="row">(\d+ \w{3}) <small>day (\d+)</small>', table)
    assert len(days) == len({day for day, _ in days}) in (14, 15)
    assert len(re.findall(r"<td>1\.\d{4} <small>\(1\.\d{4} to 1\.\d{4}\)</small></td>", table)) == len(days)
    assert "1 dry hop" in table
    assert "verdict: ready" in table
    spikes = map(int, re.findall(r"(\d+) × lone spike", table))
    assert sum(spikes) == facts.judged.passed_over["lone spike"]


def test_the_legend_explains_all_that_was_passed_over_and_set_aside(known: Known) -> None:
    facts = known["north-1"]
    rows = AsideRows((facts.batch.pitched_us + HOUR_US,), 2, 3, tuple((f"c{n}: expected x", 1) for n in range(9)), 5)
    facts = facts._replace(aside=rows, judged=facts.judged._replace(conflicts=1))
    content = curve_content(facts, {}, UTC, WHOLE)
    assert content is not None
    said = {line.shape: line.words for line in key_lines(content, facts, UTC)}
    passed = facts.judged.passed_over
    assert said["passed"].startswith(f"{passed.total()} readings passed over: ")
    for why, count in passed.items():
        assert f"{count} × {why}" in said["passed"]
    assert said["aside"] == (
        "11 rows set aside as no readings (1 with its time on the axis, 8 whose time is not known, 2 of another time): "
        "1 × c0: expected x; 1 × c1: expected x; 1 × c2: expected x; 1 × c3: expected x; 1 × c4: expected x; "
        "1 × c5: expected x; 8 for other reasons"
    )
    assert said[""].startswith("1 moment in all left out")


def test_the_curve_is_told_in_sentences(known: Known) -> None:
    for name, span, wanted in (
        ("north-1", WHOLE, ["Gravity by the sensor from 1.0", "it was proved", "in 9 of 10 cases", "ready from"]),
        ("east-1", WHOLE, ["Hold window:", "Likely ready between"]),
        ("north-1", CurveSpan("24h"), ["From "]),
    ):  # fmt: skip
        content = curve_content(known[name], {}, UTC, span)
        assert content is not None
        says = content_says(content, known[name], UTC)
        assert [words for words in wanted if words not in says] == []


class Tags(HTMLParser):
    """Collects elements with their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def test_hostile_words_are_words_in_every_part(known: Known) -> None:
    facts = known["north-1"]
    aside = AsideRows((), 0, 1, ((f"{HOSTILE}: expected {HOSTILE}", 1),), 0)
    judged = facts.judged._replace(batch=msgspec.structs.replace(facts.batch, name=HOSTILE))
    facts = facts._replace(aside=aside, judged=judged)
    html = curve_part(facts, UTC, Shown(WHOLE), [row(facts, 100.0, HOSTILE)])
    tags = Tags()
    tags.feed(html)
    assert {tag for tag, _ in tags.found}.isdisjoint({"script", "img", "iframe"})
    assert not any(name.startswith("on") or name in ("data-x", "style") for _, attrs in tags.found for name in attrs)
    (figure,) = [attrs for tag, attrs in tags.found if tag == "figure"]
    assert any(f"1 {HOSTILE}" in words for words in json.loads(figure["data-moments"] or "")["said"].values())
    assert html.count("&lt;script&gt;") >= 3


def test_where_nothing_can_be_drawn_it_says_why(known: Known) -> None:
    facts = known["pantry-1"]
    mute = facts._replace(course=(), each=facts.each._replace(why=facts.each.why + 4))
    html = curve_part(mute, UTC)
    assert "No gravity has been read yet" in html
    assert "an inclination of a sensor that is not calibrated" in html
    assert "<svg" not in html


@pytest.mark.parametrize("span", [WHOLE, CurveSpan("7d"), CurveSpan("24h")])
def test_ways_to_other_spans_are_links_that_work_without_script(known: Known, span: CurveSpan) -> None:
    html = curve_part(known["north-1"], UTC, Shown(span))
    links = dict(re.findall(r'<a id="curve-(\w+)" href="(\?[^"#]+)#curve"', html))
    assert {"whole", "7d", "3d", "24h", "closer"} <= links.keys()
    assert ("earlier" in links) == (span != WHOLE)
    assert html.count('aria-current="true"') == 1
    assert re.search(rf'aria-current="true">{ {"": "Whole", "7d": "7 days", "24h": "24 h"}[span.name] }<', html)
