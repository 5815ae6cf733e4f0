"""The course of one batch as SVG: what is drawn, and that nothing of it is lost or lies outside its frame."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any
from xml.etree import ElementTree

import msgspec
import numpy as np
import pytest

from lullwort.analysis import CourseHour, hourly_course
from lullwort.detector import Units, judge
from lullwort.exporting import BatchCurve, CurveSize, batch_curve, curve_says, curve_svg, runs
from lullwort.packaging_day import SheetFacts, sheet_facts
from lullwort.records import HOUR_US, Batch, Event, VesselReadings
from lullwort.rehearsal import invent

Reader = Callable[[str], list[list[tuple[float, float]]]]
SVG = "{http://www.w3.org/2000/svg}"
SIZE = CurveSize(760, 260)
ALE = invent("plain ale", 6)
READINGS = VesselReadings.of(ALE.readings)


def hours(number: float) -> int:
    return ALE.batch.pitched_us + round(number * HOUR_US)


def facts_and_course(batch: Batch, readings: VesselReadings) -> tuple[SheetFacts, list[CourseHour]]:
    judged = judge(batch, readings)
    course = list(hourly_course(batch, readings, judged.as_of_us))
    return sheet_facts(judged, course), course


def curve_of(*events: Event, units: Units | None = None) -> BatchCurve:
    batch = msgspec.structs.replace(ALE.batch, events=events)
    facts, course = facts_and_course(batch, READINGS)
    curve = batch_curve(facts, {e: str(n) for n, e in enumerate(events, 1)}, course, units or Units())
    assert curve is not None
    return curve


def drawn(
    curve: BatchCurve, size: CurveSize = SIZE, label: str = "x", units: Units | None = None
) -> ElementTree.Element:
    return ElementTree.fromstring(curve_svg(curve, units or Units(), size, label))


def of_class(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    return [part for part in root.iter() if name in (part.get("class") or "").split()]


def texts(root: ElementTree.Element) -> list[str]:
    return ["".join(text.itertext()) for text in root.iter(f"{SVG}text")]


PLAIN = curve_of()


def test_a_lone_spike_of_a_year_is_still_drawn() -> None:
    curve = curve_of()
    lone = curve.hourly.copy()
    lone[400] = lone.max() - 0.001
    spiked = drawn(BatchCurve(**{**vars(curve), "hourly": lone, "to_day": 365.0}))
    strokes = re.findall(r"v([\d.]+)", of_class(spiked, "hourly")[0].get("d") or "")
    assert max(map(float, strokes)) > 100.0


def test_the_smoothed_course_follows_the_hours_and_wanders_less() -> None:
    apart = PLAIN.hourly - PLAIN.smooth
    assert abs(float(np.median(apart))) < 0.0001
    assert float(np.abs(np.diff(PLAIN.smooth)).sum()) < 0.7 * float(np.abs(np.diff(PLAIN.hourly)).sum())


@pytest.mark.parametrize("size", [SIZE, CurveSize(340, 300)])
def test_all_lies_within_the_picture(
    size: CurveSize, drawn_points: Callable[[str], list[list[tuple[float, float]]]], text_spans: Callable[..., Any]
) -> None:
    events = [Event(at_us=hours(20.0 + number), kind="dry hop") for number in range(25)]
    root = drawn(curve_of(*events, Event(at_us=hours(250.0), kind="sample", gravity=1.0143)), size)
    for line in root.iter(f"{SVG}path"):
        for x, y in (point for stroke in drawn_points(line.get("d") or "") for point in stroke):
            assert 0.0 <= x <= size.width
            assert 0.0 <= y <= size.height
    for left, right, words in text_spans(root, 5.9):
        assert left >= -2.0, words
        assert right <= size.width + 12.0, words


def test_labels_of_events_that_crowd_do_not_cover_each_other() -> None:
    events = [Event(at_us=hours(20.0 + 2.0 * number), kind="addition", points=0.1) for number in range(25)]
    root = drawn(curve_of(*events))
    assert len(of_class(root, "tick")) == 26  # the last is that of `ready`
    taken: dict[str, float] = {}
    shown = [text for text in root.iter(f"{SVG}text") if re.match(r"\d+( addition)?$", "".join(text.itertext()))]
    shown = [text for text in shown if text.get("text-anchor") == "start"]
    assert len(shown) > 3
    for text in shown:
        lane, x = text.get("y") or "", float(text.get("x") or 0.0)
        assert x >= taken.get(lane, 0.0)
        taken[lane] = x + 5.0 * len("".join(text.itertext()))


def test_samples_are_known_by_their_shape_and_have_their_range() -> None:
    root = drawn(curve_of(Event(at_us=hours(250.0), kind="sample", gravity=1.0143)))
    (sample,), (whisker,) = of_class(root, "sample"), of_class(root, "whisker")
    assert re.fullmatch(r"M[\d. ]+l[\d. -]+z", sample.get("d") or "")
    assert float(whisker.get("y2") or 0) - float(whisker.get("y1") or 0) > 3.0
    assert not of_class(drawn(PLAIN), "sample")


def test_the_box_of_the_proof_ends_where_it_was_ready_and_lies_about_the_curve() -> None:
    assert PLAIN.held is not None
    (ready,) = [tick for tick in PLAIN.ticks if tick.says == "ready"]
    assert PLAIN.held.to_day == pytest.approx(ready.day)
    assert PLAIN.held.to_day - PLAIN.held.from_day == pytest.approx(2.0)
    within = PLAIN.smooth[(PLAIN.days >= PLAIN.held.from_day) & (PLAIN.days <= PLAIN.held.to_day)]
    assert ((within > PLAIN.held.low) & (within < PLAIN.held.high)).all()
    assert PLAIN.held.high - PLAIN.held.low == pytest.approx(0.002, rel=0.01)
    assert len(of_class(drawn(PLAIN), "held")) == 1


def test_before_it_is_proved_there_is_no_box() -> None:
    judged = judge(ALE.batch, READINGS, as_of_us=hours(72.0))
    course = list(hourly_course(ALE.batch, READINGS, judged.as_of_us))
    curve = batch_curve(sheet_facts(judged, course), {}, course, Units())
    assert curve is not None
    assert (curve.held, curve.ticks) == (None, ())
    assert curve.to_day == pytest.approx(3.0)


def test_samples_alone_are_joined_by_dashes_and_without_any_there_is_nothing_to_draw() -> None:
    samples = tuple(Event(at_us=hours(at), kind="sample", gravity=g) for at, g in ((-1, 1.052), (200, 1.014)))
    none = VesselReadings.of(())
    bare = msgspec.structs.replace(ALE.batch, original_gravity=None, events=samples)
    curve = batch_curve(*_with_marks(*facts_and_course(bare, none)), Units())
    assert curve is not None
    assert curve.from_day < 0.0
    (line,) = drawn(curve).iter(f"{SVG}polyline")
    assert line.get("class") == "smooth guess"
    assert batch_curve(*_with_marks(*facts_and_course(ALE.batch, none)), Units()) is None


def _with_marks(facts: SheetFacts, course: list[CourseHour]) -> tuple[SheetFacts, dict[Event, str], list[CourseHour]]:
    return facts, {}, course


def test_a_silence_is_no_line() -> None:
    both = VesselReadings.of([r for r in ALE.readings if not hours(100.0) <= r.at_us < hours(140.0)])
    facts, course = facts_and_course(ALE.batch, both)
    curve = batch_curve(facts, {}, course, Units())
    assert curve is not None
    assert len(list(runs(curve.days))) == 2
    assert len(of_class(drawn(curve), "smooth")) == 2
    assert len(of_class(drawn(curve), "temp")) == 2


def test_wild_hours_are_counted_and_do_not_stretch_the_picture() -> None:
    facts, course = facts_and_course(ALE.batch, READINGS)
    wild = [hour._replace(points=150.0) if number in (60, 61) else hour for number, hour in enumerate(course)]
    curve = batch_curve(facts, {}, wild, Units())
    assert curve is not None
    assert curve.wild == 2
    assert float(curve.hourly.max()) < 1.060


@pytest.mark.parametrize(
    ("units", "shown"),
    [
        (Units(gravity="plato", temperature="F", decimal="comma"), ["12,0 °P", "70 °F"]),
        (Units(gravity="points"), ["50.0 pt", "20 °C"]),
        (Units(), ["1.050", "20 °C"]),
    ],
)
def test_axes_are_in_the_brewers_units(units: Units, shown: list[str]) -> None:
    words = texts(drawn(curve_of(units=units), units=units))
    assert set(shown) <= set(words), words


def test_it_is_told_in_words_and_the_label_is_escaped() -> None:
    curve = curve_of(Event(at_us=hours(250.0), kind="sample", gravity=1.0143))
    says = curve_says(curve, Units())
    assert re.match(r"Gravity by the sensor from 1\.05\d on \d+ \w{3} to 1\.01\d on", says)
    assert "1 hand sample: 1.014 on" in says
    assert "by which it was proved" in says
    root = drawn(curve, label='<b> & "quotes"')
    assert (root.get("role"), root.get("aria-label")) == ("img", '<b> & "quotes"')
