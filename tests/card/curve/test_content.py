"""What the card's curve shows: of the whole and of a part, each reading with its fate, and what is foreseen."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from lullwort.analysis import WHY_PASSED_BY, course_readings, hourly_course
from lullwort.card.curve.content import CurveContent, Foreseen, curve_content
from lullwort.card.curve.moments import moments_of
from lullwort.card.curve.span import WHOLE, CurveSpan
from lullwort.card.curve.words import content_says, key_lines
from lullwort.card.known.asiderows import AsideRows
from lullwort.card.known.curveband import level_sds
from lullwort.card.known.facts import BatchFacts
from lullwort.detector import Units, check_figures, judge
from lullwort.exporting import curve_ground, runs
from lullwort.packaging_day import SPREAD, sheet_facts
from lullwort.records import HOUR_US, Batch, Event, VesselReadings
from lullwort.rehearsal import Invented, invent
from lullwort.rehearsal.hydrometer import judged_by_hand

Known = dict[str, BatchFacts]
FactsOf = Callable[[Invented, Batch, float], BatchFacts]
NO_ROWS = AsideRows((), 0, 0, (), 0)


def content_of(facts: BatchFacts, span: CurveSpan = WHOLE, units: Units | None = None) -> CurveContent:
    content = curve_content(facts, {}, units or Units(), span)
    assert content is not None
    return content


@pytest.fixture
def facts_of(known: Known) -> FactsOf:
    """What is known of an invented batch some hours after its pitch, without a book of its own."""

    def made(of: Invented, batch: Batch, hours: float) -> BatchFacts:
        readings = VesselReadings.of(of.readings)
        judged = judge(batch, readings, as_of_us=batch.pitched_us + round(hours * HOUR_US))
        course = tuple(hourly_course(batch, readings, judged.as_of_us))
        each = course_readings(batch, readings, judged.as_of_us)
        sheet = sheet_facts(judged, course)
        return known["east-1"]._replace(
            judged=judged, forecast=None, course=course, sheet=sheet, each=each, aside=NO_ROWS
        )

    return made


@pytest.mark.parametrize("name", ["north-1", "stairs-1", "east-1"])
def test_each_reading_is_drawn_or_counted_with_the_reason_for_which_it_was_passed_over(known: Known, name: str) -> None:
    facts = known[name]
    content = content_of(facts)
    assert len(content.raw) == facts.judged.used
    judged = Counter({why: count for why, count in facts.judged.passed_over.items() if count})
    assert Counter(WHY_PASSED_BY[why] for why in content.passed_why.tolist()) == judged
    assert sum(count for _, count in content.passed_over) == len(content.passed) == judged.total()


def test_reasons_are_told_in_the_brewers_units(known: Known) -> None:
    content = content_of(known["north-1"], units=Units(gravity="plato", decimal="comma"))
    assert {words for words, _ in content.passed_over} == {"gravity outside -6,6 to 44,1 °P", "lone spike"}


def test_what_lies_outside_the_span_is_not_in_it(known: Known) -> None:
    facts = known["north-1"]
    whole = content_of(facts)
    span = CurveSpan("", *(facts.batch.pitched_us + h * HOUR_US for h in (100, 150)))
    part = content_of(facts, span)
    assert part.ends_us == (span.from_us, span.to_us)
    for at_us in (part.raw_us, part.passed_us):
        assert len(at_us)
        assert at_us.min() >= part.ends_us[0]
        assert at_us.max() <= part.ends_us[1]
    for days in (part.curve.days, part.curve.temp_days):
        assert (days[0], days[-1]) == pytest.approx((100 / 24, 150 / 24))  # where the line goes on, up to the edge
    assert len(part.low) == len(part.high) == len(part.curve.days) == len(part.curve.smooth) < len(whole.curve.days)
    assert all(100 / 24 <= tick.day <= 150 / 24 for tick in part.changes)
    assert part.stood == "fermenting"
    assert np.interp(5.0, part.curve.days, part.curve.smooth) == pytest.approx(
        np.interp(5.0, whole.curve.days, whole.curve.smooth)
    )


def test_while_it_is_holding_the_window_so_far_and_what_is_needed_are_told_apart(
    known: Known, facts_of: FactsOf
) -> None:
    of = invent("plain ale", 6)
    facts = facts_of(of, of.batch, 132)
    assert facts.judged.verdict == "holding"
    hold, seen = content_of(facts).hold, facts.judged.now
    assert hold is not None
    assert not hold.proof
    assert (hold.counted_h, hold.needed_h) == (min(seen.counted_h - 1, seen.needed_h), seen.needed_h)
    assert hold.until_day - content_of(facts).now_day == pytest.approx((hold.needed_h - hold.counted_h) / 24.0)
    assert hold.held.high - hold.held.low == pytest.approx(2.0 * of.batch.tolerance)
    assert content_of(known["south-1"]).hold is None


def test_once_it_is_ready_the_window_is_the_proof(known: Known) -> None:
    hold = content_of(known["north-1"]).hold
    assert hold is not None
    assert hold.proof
    assert hold.until_day == hold.held.to_day
    assert (hold.held.to_day - hold.held.from_day) * 24.0 == pytest.approx(hold.needed_h)


def test_the_whole_leaves_room_for_what_is_foreseen_but_less_than_for_what_was_seen(known: Known) -> None:
    facts = known["east-1"]
    content = content_of(facts)
    assert content.foreseen is not None
    seen, ahead = content.now_day - content.curve.from_day, content.curve.to_day - content.now_day
    assert 0.0 < ahead < seen
    assert content.foreseen.low_day < content.curve.to_day
    young = content_of(known["pantry-1"])  # what lies far beyond is no reason for an empty field
    assert young.curve.to_day == pytest.approx(1.0)
    assert young.foreseen is not None
    assert young.foreseen.low_day > young.curve.to_day
    last_day = content_of(facts, CurveSpan("24h"))
    assert last_day.curve.to_day == pytest.approx(content.now_day)


def test_the_yeasts_range_is_drawn_where_it_was_entered(facts_of: FactsOf) -> None:
    of = invent("plain ale", 6)
    batch = msgspec.structs.replace(of.batch, yeast_min_c=15.0, yeast_max_c=24.0)
    assert content_of(facts_of(of, batch, 60), units=Units(temperature="F")).yeast == pytest.approx((59.0, 75.2))
    batch = msgspec.structs.replace(of.batch, yeast_min_c=None)
    assert content_of(facts_of(of, batch, 60)).yeast == (None, None)


def test_hand_samples_alone_make_a_curve_and_nothing_makes_none(facts_of: FactsOf) -> None:
    of = invent("plain ale", 6)
    samples = tuple(
        Event(at_us=of.batch.pitched_us + h * HOUR_US, kind="sample", gravity=g) for h, g in ((90, 1.016), (200, 1.014))
    )
    none = Invented(**{**vars(of), "readings": []})
    content = content_of(facts_of(none, msgspec.structs.replace(of.batch, events=samples), 210))
    assert (len(content.curve.samples), len(content.raw), len(content.low)) == (2, 0, 0)
    assert curve_content(facts_of(none, of.batch, 30), {}, Units(), WHOLE) is None


@pytest.mark.no_cover
@pytest.mark.parametrize("kind", ["plain ale", "gaps", "cold lager", "hop creep", "noisy sensor", "creep while cold"])
def test_the_band_holds_the_true_gravity_nine_times_in_ten(kind: str, facts_of: FactsOf) -> None:
    """Of invented beers, whose truth is known; each seed is a sensor with errors of its own."""
    inside: list[float] = []
    for seed in range(1, 9):
        of = invent(kind, seed)
        facts = facts_of(of, of.batch, 240 if kind != "creep while cold" else 340)
        ground = curve_ground(facts.sheet, facts.course)
        sds = level_sds(ground, facts.sheet.seen)
        assert np.isnan(sds).any() == (kind == "creep while cold")
        true = np.array([1000.0 * (of.truth.gravity_at(24.0 * day - 0.5) - 1.0) for day in ground.days])
        known = ground.believed
        inside.append(float((np.abs(true - ground.smooth) <= SPREAD * sds)[known].mean()))
    assert np.mean(inside) > 0.9, inside


def test_the_band_is_wider_where_hours_scatter_more(facts_of: FactsOf) -> None:
    of = invent("plain ale", 6)
    facts = facts_of(of, of.batch, 240)
    ground = curve_ground(facts.sheet, facts.course)
    apart = ground.points - ground.smooth
    once, thrice = (
        level_sds(replace(ground, points=ground.smooth + by * apart), facts.sheet.seen) for by in (1.0, 3.0)
    )
    assert (thrice >= once).all()
    assert (thrice > once).any()
    assert (once >= facts.sheet.seen.offset_sd).all()
    assert len(list(runs(ground.days))) == 1


def test_the_newest_that_is_believed_and_its_range_are_those_of_the_words(facts_of: FactsOf) -> None:
    for kind, seed, hours, chilled in (("creep while cold", 2, 340, True), ("hop creep", 3, 300, False)):
        of = invent(kind, seed)
        facts = facts_of(of, of.batch, hours)
        content, told = content_of(facts, units=Units(gravity="points")), facts.sheet.gravity
        assert told is not None
        assert (facts.sheet.seen.chilled is not None) == chilled
        last = np.flatnonzero(content.curve.believed)[-1]
        shown = (content.curve.smooth[last], content.low[last], content.high[last])
        assert shown == pytest.approx(tuple(told))
        assert np.isnan(content.low[last + 1 :]).all()
        assert (last + 1 < len(content.low)) == chilled
        says = content_says(content_of(facts), facts, Units())
        low, high = (Units().level(value) for value in (told.low, told.high))
        assert f"lies within {low} to {high} in 9 of 10 cases" in says
        assert ("before the cold" in says) == ("not believed" in says) == chilled


def test_the_box_holds_the_hours_that_counted_and_is_broken_where_nobody_saw_anything(facts_of: FactsOf) -> None:
    of = invent("long silence", 2)
    facts = facts_of(of, of.batch, 431)
    content = content_of(facts)
    hold, days = content.hold, content.curve.days
    assert hold is not None
    assert len(hold.held.parts) == 2
    for begin, end in hold.held.parts:
        within = (days >= begin - 1e-6) & (days <= end + 1e-6)
        assert np.diff(days[within]).max() < 0.25
        smooth = content.curve.smooth[within]
        assert hold.held.low < smooth.min()
        assert smooth.max() < hold.held.high
    assert hold.held.to_day == pytest.approx((facts.judged.history[-1].at_us - of.batch.pitched_us) / 8.64e10)
    says = content_says(content, facts, Units(zone="UTC"))
    assert "Held still for 48 h, from 2 Jun to 2 Jun and from 3 Jun to 4 Jun" in says


def test_a_batch_proved_by_hand_has_the_length_that_was_held(facts_of: FactsOf) -> None:
    judged = judged_by_hand(invent("plain ale", 6)).judged
    none = VesselReadings.of(())
    course = tuple(hourly_course(judged.batch, none, judged.as_of_us))
    facts = facts_of(invent("plain ale", 6), invent("plain ale", 6).batch, 30)._replace(
        judged=judged, course=course, sheet=sheet_facts(judged, course),
        each=course_readings(judged.batch, none, judged.as_of_us),
    )  # fmt: skip
    hand, content = judged.now.hand, content_of(facts)
    assert hand is not None
    assert round(hand.apart_h) != judged.now.needed_h
    words = {line.shape: line.words for line in key_lines(content, facts, Units())}
    assert words["held"] == f"held still for {hand.apart_h:.0f} h within the tolerance: the proof"
    happened = moments_of(content, [], Units()).happened.values()
    assert any(f"held still from here on, {hand.apart_h:.0f} h in all" in words for words in happened)


def test_a_window_that_is_long_enough_but_not_still_enough_says_so_of_the_box_that_is_drawn(facts_of: FactsOf) -> None:
    of = invent("hop creep", 3)
    facts = facts_of(of, of.batch, 300)
    content, seen = content_of(facts), facts.sheet.seen
    hold = content.hold
    assert hold is not None
    assert (hold.counted_h, hold.needed_h) == (81, 81)
    assert (hold.held.to_day - hold.held.from_day) * 24.0 == pytest.approx(seen.window_h) == 48
    says = content_says(content, facts, Units())
    assert "Hold window: long enough with its 81 h, but not still enough yet: gravity fell 1.2 points in its" in says
    still = replace(content, hold=hold._replace(still=True, too_far=False))
    assert "what else is missing stands in the evidence" in content_says(still, facts, Units())


def test_a_short_span_is_told_by_the_clock_and_with_all_decimals(facts_of: FactsOf) -> None:
    of = invent("plain ale", 6)
    facts = facts_of(of, of.batch, 150)
    part = content_says(content_of(facts, CurveSpan("24h"), Units(zone="UTC")), facts, Units(zone="UTC"))
    assert re.search(r"from 1\.\d{4} on \d+ \w{3} \d\d:\d\d to 1\.\d{4} on \d+ \w{3} \d\d:\d\d\.", part), part
    whole = content_says(content_of(facts, WHOLE, Units(zone="UTC")), facts, Units(zone="UTC"))
    assert re.search(r"from 1\.\d{3} on \d+ \w{3} to 1\.\d{3} on \d+ \w{3}\.", whole), whole


def test_the_yeasts_range_is_told_as_the_evidence_tells_it(facts_of: FactsOf) -> None:
    of = invent("creep while cold", 2)
    facts = facts_of(of, of.batch, 340)
    for units in (Units(), Units(temperature="F", decimal="comma")):
        words = {line.shape: line.words for line in key_lines(content_of(facts, units=units), facts, units)}
        assert words["temp"].endswith(check_figures("warm enough", facts.sheet.seen, units)[0].limit)


def test_each_shape_of_the_legend_is_one_of_its_own_and_an_arrow_is_told_as_one(known: Known) -> None:
    facts = known["east-1"]
    content = content_of(facts)
    lines = list(key_lines(content, facts, Units()))
    shapes = [(line.shape, line.path) for line in lines if line.shape in ("held", "needed", "foreseen", "later")]
    assert len({path for _, path in shapes}) == len(shapes) >= 2
    assert "later" not in dict(shapes)
    beyond = replace(content, foreseen=Foreseen(90.0, 95.0, 99.0))
    said = {line.shape: line.words for line in key_lines(beyond, facts, Units())}
    assert said["later"].endswith("beyond this edge")
    assert "foreseen" not in said


def test_the_basis_is_that_of_its_own_facts(known: Known) -> None:
    facts = known["north-1"]
    assert facts.basis is not None
    assert facts.basis.made_of[0] is facts.sheet
    fewer = facts._replace(course=facts.course[:100])
    assert len(content_of(fewer).curve.days) <= 100 < len(content_of(facts).curve.days)
