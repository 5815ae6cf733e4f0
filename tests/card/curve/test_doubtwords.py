"""The legend says where the band is wider, by how much and why, and what was mended; of beers with one fault each."""

from __future__ import annotations

from dataclasses import replace

import msgspec

from lullwort.analysis import course_readings, hourly_course
from lullwort.card.curve.content import CurveContent, curve_content
from lullwort.card.curve.span import WHOLE, CurveSpan
from lullwort.card.curve.words import content_says, key_lines
from lullwort.card.known.asiderows import AsideRows
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import Units, judge
from lullwort.packaging_day import next_of, sheet_facts
from lullwort.packaging_day.sheetrows import sections_of
from lullwort.records import HOUR_US, Batch, Event, VesselReadings
from lullwort.rehearsal import Invented
from lullwort.rehearsal.invented import brewed, drawn
from lullwort.rehearsal.sensor import Bump, Hold, Sensor

UNITS = Units(zone="UTC")


def ale(sensor: Sensor) -> Invented:
    plan, rng = drawn("plain ale", 6, "tail")
    return brewed(replace(plan, sensor=sensor), "v", "v-1", rng, kind="plain ale", seed=6, family="tail")


def own() -> Sensor:
    return replace(drawn("plain ale", 6, "tail")[0].sensor, drift_points_per_day=0.0)


def facts_of(of: Invented, hours: float, batch: Batch | None = None) -> BatchFacts:
    batch, readings = batch or of.batch, VesselReadings.of(of.readings)
    judged = judge(batch, readings, as_of_us=batch.pitched_us + round(hours * HOUR_US))
    course = tuple(hourly_course(batch, readings, judged.as_of_us))
    each, aside = course_readings(batch, readings, judged.as_of_us), AsideRows((), 0, 0, (), 0)
    return BatchFacts(judged, None, course, sheet_facts(judged, course), 0, False, None, each, aside)


def legend(facts: BatchFacts, span: CurveSpan = WHOLE) -> tuple[list[str], CurveContent]:
    content = curve_content(facts, {}, UNITS, span)
    assert content is not None
    return [line.words for line in key_lines(content, facts, UNITS)], content


def test_an_ordinary_sensor_has_nothing_of_it() -> None:
    words, _ = legend(facts_of(ale(own()), 240))
    assert not [each for each in words if "wider" in each or "stepped" in each or "again and again" in each]


def test_a_knock_down_is_told_with_both_that_it_may_be_and_what_would_tell() -> None:
    of = ale(replace(own(), bumps=(Bump(200.0, -5.0),)))
    facts = facts_of(of, 260)
    (step,) = facts.sheet.doubts.steps
    words, _ = legend(facts)
    (said,) = (each for each in words if "wider" in each)
    assert said.startswith(
        f"this range is wider above from {UNITS.day_and_time(facts.sheet.doubts.steps_us[0])} on, by "
    )
    assert UNITS.difference(step) in said
    assert "knocked" in said
    assert "came free" in said
    assert "hand sample" in said
    rows = (row for section in sections_of(facts.sheet, UNITS) for row in section.rows)
    assert "after a step down" in next(row.beside for row in rows if row.label in ("now", "final"))
    sample = Event(at_us=of.batch.pitched_us + 250 * HOUR_US, kind="sample", gravity=of.truth.gravity_at(250.0))
    settled, _ = legend(facts_of(of, 260, msgspec.structs.replace(of.batch, events=(sample,))))
    assert [each.split(" until ")[0] for each in settled if "wider" in each] == ["this range is wider below"]
    early = CurveSpan("", of.batch.pitched_us, of.batch.pitched_us + 100 * HOUR_US)
    assert not [each for each in legend(facts, early)[0] if "wider" in each]


def test_a_yes_after_a_step_down_says_at_which_gravity_the_beer_may_stand() -> None:
    of = ale(replace(own(), bumps=(Bump(200.0, -5.0),)))
    facts = facts_of(of, 400)
    assert facts.judged.verdict == "ready"
    (step_us,), higher = facts.sheet.doubts.steps_us, facts.sheet.seen.gravity
    assert higher is not None
    says = next_of(facts.sheet, UNITS)
    assert says.startswith(f"The sensor stepped down by {UNITS.difference(facts.sheet.doubts.more)}, last on ")
    assert UNITS.day_and_time(step_us) in says
    assert f"at {UNITS.level(higher + facts.sheet.doubts.more)}. Before sealing" in says
    sample = Event(at_us=of.batch.pitched_us + 390 * HOUR_US, kind="sample", gravity=of.truth.gravity_at(390.0))
    settled = facts_of(of, 400, msgspec.structs.replace(of.batch, events=(sample,)))
    assert "stepped" not in next_of(settled.sheet, UNITS)
    assert "stepped" not in next_of(facts_of(ale(own()), 400).sheet, UNITS)


def test_a_knock_up_is_told_as_mended() -> None:
    words, _ = legend(facts_of(ale(replace(own(), bumps=(Bump(200.0, 6.0),))), 260))
    (said,) = (each for each in words if "stepped up" in each)
    assert "drawn as it would be read now" in said


def test_a_sensor_that_stands_still_is_told_in_legend_text_and_figures() -> None:
    facts = facts_of(ale(replace(own(), holds=(Hold(60.0, 120.0, frozen=True),))), 110)
    words, content = legend(facts)
    assert [each for each in words if each.startswith("the same number again and again")]
    assert not [each for each in words if "in the cold" in each]
    says = content_says(content, facts, UNITS)
    assert "The last gravity before the sensor stood still lies within" in says
    assert "Where the sensor gave the same again and again it is not believed, and is dashed." in says
    rows = {row.label: row for section in sections_of(facts.sheet, UNITS) for row in section.rows}
    assert rows["now"].says == "not known"
    assert "since" in rows["now"].beside


def test_pressure_a_rise_and_long_ago_are_told() -> None:
    sealed = ale(replace(own(), sealed_h=150.0, sealed_points=5.0))
    noted = (Event(at_us=sealed.batch.pitched_us + 150 * HOUR_US, kind="seal"),)
    words, _ = legend(facts_of(sealed, 200, msgspec.structs.replace(sealed.batch, events=noted)))
    assert [each for each in words if "from the sealing on, for pressure lifts a float" in each]
    words, _ = legend(facts_of(ale(replace(own(), drift_points_per_day=0.3)), 430))
    assert [each for each in words if "beer does not rise" in each]
    assert [each for each in words if "the longer ago gravity was measured by hand" in each]


def test_another_sensor_is_told_as_one_and_no_step() -> None:
    of, from_us = ale(own()), ale(own()).batch.pitched_us + 40 * HOUR_US
    other = ale(replace(own(), offset_points=8.0))
    then = [msgspec.structs.replace(each, sensor="other") for each in other.readings if each.at_us >= from_us]
    of = replace(of, readings=[*(each for each in of.readings if each.at_us < from_us), *then])
    words, _ = legend(facts_of(of, 260))
    assert len([each for each in words if each.startswith("another sensor since ")]) == 1
    assert not [each for each in words if "stepped" in each]


def test_what_was_read_before_a_sealing_is_told_as_open_where_the_sample_was_drawn_after_it() -> None:
    of = ale(replace(own(), sealed_h=150.0, sealed_points=5.0))
    sealing = Event(at_us=of.batch.pitched_us + 150 * HOUR_US, kind="seal")
    sample = Event(at_us=of.batch.pitched_us + 180 * HOUR_US, kind="sample", gravity=of.truth.gravity_at(180.0))
    words, _ = legend(facts_of(of, 240, msgspec.structs.replace(of.batch, events=(sealing, sample))))
    (said,) = (each for each in words if each.startswith("this range is wider above"))
    assert "until the sealing" in said
    assert not [each for each in words if "from the sealing on" in each]


def test_the_sheet_names_all_that_its_range_is_open_for() -> None:
    of = ale(replace(own(), drift_points_per_day=0.3))
    facts = facts_of(of, 430)
    rows = (row for section in sections_of(facts.sheet, UNITS) for row in section.rows)
    assert next(row.beside for row in rows if row.label in ("now", "final")).endswith(", after a rise")
    of = ale(replace(own(), bumps=(Bump(200.0, -5.0),)))
    sealed = msgspec.structs.replace(of.batch, events=(Event(at_us=of.batch.pitched_us + 210 * HOUR_US, kind="seal"),))
    rows = (row for section in sections_of(facts_of(of, 260, sealed).sheet, UNITS) for row in section.rows)
    beside = next(row.beside for row in rows if row.label in ("now", "final"))
    assert beside.endswith(", after a step down, under pressure")
