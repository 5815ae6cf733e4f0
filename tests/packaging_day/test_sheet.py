"""The words of one page: every verdict, and nothing said of what is not known."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from typing import Any, Literal

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lullwort.detector import MAY_BE_PACKAGED, VERDICTS, Judged, Units, Verdict
from lullwort.packaging_day import (
    SHEET_EXPLAINED,
    Row,
    Sheet,
    SheetFacts,
    ToldThen,
    danger_of,
    event_says,
    held_stated,
    limit_of,
    sealing_of,
    sheet_explained,
    sheet_of,
)
from lullwort.packaging_day.sheetsealing import closed_of
from lullwort.records import (
    CONTAINER_NAMES,
    HOUR_US,
    SUGAR_NAMES,
    Batch,
    BottleLot,
    ContainerName,
    Event,
    PackagingDay,
    SugarName,
)

FactsOf = Callable[..., SheetFacts]
CHOSEN = PackagingDay(
    target_g_l=4.745, container="brown-glass", sugar="sucrose", bottles=(BottleLot(0.33, 0),), losses_l=1.0
)


def rows(sheet: Sheet) -> dict[str, Row]:
    return {row.label: row for section in sheet.sections for row in section.rows}


def words(sheet: Sheet) -> str:
    return repr(sheet._replace(events=()))


def test_a_ready_batch_in_full(facts_of: FactsOf) -> None:
    sheet = sheet_of(facts_of(packaging_day=CHOSEN), Units(zone="UTC"))
    said = rows(sheet)
    assert (sheet.answer, sheet.danger) == ("Yes", "")
    assert sheet.verdict.startswith("ready since ")
    assert [section.heading for section in sheet.sections] == [
        "Dates", "Gravity", "Strength", "Temperature", "Volumes and bottles", "Carbonation"
    ]  # fmt: skip
    assert re.fullmatch(r"day \d+", said["ready"].beside)
    assert re.fullmatch(r"5\.\d % \(\d\.\d to \d\.\d\)", said["alcohol by volume"].says)
    assert said["target"].says == "2.4 volumes"
    assert said["closed in"] == Row("closed in", "brown glass", "taken to bear 2.4 bar")
    assert said["to be moved"].beside == "less what stays behind, as entered"
    assert re.fullmatch(r"5\d of 330 mL", said["to fill"].says)
    assert re.fullmatch(r"[45]\d to [56]\d in all", said["to fill"].beside)
    assert sheet.ranges
    assert len(sheet.checks) == 7


@pytest.mark.parametrize("after_h", [0.0, 1.0, 20.0, 72.0, 130.0, 160.0, 300.0])
def test_before_it_is_ready_no_priming_amount_stands_there(facts_of: FactsOf, after_h: float) -> None:
    facts = facts_of(after_h, packaging_day=CHOSEN)
    said = rows(sheet_of(facts, Units()))
    if facts.proved is None:
        assert said["priming"].says == "not told before the verdict is ready"
    assert any(re.search(r"\d g\b|oz", row.says) for row in said.values()) == (facts.proved is not None)


def test_what_was_put_in_is_a_fact_and_before_the_proof_a_danger(facts_of: FactsOf) -> None:
    day = PackagingDay(primed_g=110.0, sugar="dry-malt-extract", container="keg", limit_bar=4.0)
    early, late = (sheet_of(facts_of(after_h, packaging_day=day), Units()) for after_h in (72.0, None))
    for sheet in (early, late):
        assert rows(sheet)["primed with"] == Row("primed with", "110 g of dry malt extract", "put in")
        assert rows(sheet)["closed in"].beside == "bears 4.0 bar, as stated"
    assert early.danger.startswith("Priming went in before it was proved")
    assert not late.danger


@pytest.mark.parametrize(
    ("primed_g", "container", "danger"),
    [
        (105.0, "brown-glass", ""),
        (300.0, "brown-glass", "more than the 2.4 bar that ordinary brown bottles bear"),
        (9000.0, "brown-glass", "far more than any bottle holds"),
        (105.0, "growler", "Nothing may ferment in growlers"),
    ],
)
def test_too_much_priming_for_its_bottles_is_a_danger_even_when_proved(
    facts_of: FactsOf, primed_g: float, container: ContainerName, danger: str
) -> None:
    day = PackagingDay(primed_g=primed_g, container=container, sugar="sucrose", moved_l=17.4)
    sheet = sheet_of(facts_of(packaging_day=day), Units())
    said = sheet.danger
    assert bool(sheet.next) is not bool(danger)
    assert danger in said
    assert bool(danger) == ("eyes and hands covered" in said)


@pytest.mark.parametrize(
    ("primed_g", "known", "danger"),
    [
        # 700 g of sucrose in 17 L: 700 x 0.5143 / 17 = 21.2 g/L, which is 10.7 volumes, by hand.
        (700.0, {"filled": (BottleLot(0.5, 34),)}, "far more than any bottle holds"),
        (700.0, {"moved_l": 17.0}, "far more than any bottle holds"),
        (110.0, {"filled": (BottleLot(0.5, 34),)}, ""),
    ],
)
def test_where_no_volume_is_entered_the_bottles_filled_tell_it(
    facts_of: FactsOf, primed_g: float, known: dict[str, Any], danger: str
) -> None:
    day = PackagingDay(primed_g=primed_g, sugar="sucrose", container="brown-glass", **known)
    facts = facts_of(volume_l=None, packaging_day=day)
    said = sheet_of(facts, Units())
    assert danger in said.danger
    assert facts.danger.any == bool(danger)
    assert rows(said)["moved"].says == "17.0 L"


def test_what_was_primed_in_its_sealed_vessel_is_a_danger_in_itself(facts_of: FactsOf, ale: Batch) -> None:
    sealed = (Event(at_us=ale.pitched_us + 60 * HOUR_US, kind="seal"),)
    for primed_g, danger in ((110.0, True), (0.0, False), (None, False)):
        day = PackagingDay(primed_g=primed_g, sugar="sucrose", container="brown-glass", moved_l=17.0)
        facts = facts_of(events=sealed, packaging_day=day)
        assert facts.proved is not None
        assert facts.danger.any is facts.danger.pressed is danger
        assert ("primed on top of what it had made in its sealed vessel" in sheet_of(facts, Units()).danger) is danger


@pytest.mark.parametrize(
    ("primed_g", "says"),
    [
        # Alone in 17 L, by hand: 110 g come to 3.3 g/L (1.7 volumes), 250 g to 7.6 (3.8), which is more than 3 volumes.
        (110.0, ""),
        (250.0, "What was put in may alone come to 3."),
        (700.0, "far more than any bottle holds"),
    ],
)
def test_where_it_is_not_known_what_the_beer_holds_the_priming_is_weighed_alone(
    facts_of: FactsOf, primed_g: float, says: str
) -> None:
    day = PackagingDay(primed_g=primed_g, sugar="sucrose", container="brown-glass", moved_l=17.0)
    facts = facts_of(packaging_day=day)
    judged = nothing_known_of_its_gas(facts)
    closed = closed_of(facts.batch, judged, proved=True)
    assert (closed.held, closed.sealing) == (None, None)
    danger = danger_of(facts.batch, judged, closed, proved=True)
    assert danger.any is danger.overfilled is bool(says)
    assert says in danger.says(Units())
    assert bool(says) == ("eyes and hands covered" in danger.says(Units()))


def nothing_known_of_its_gas(facts: SheetFacts) -> Judged:
    """As where no temperature was ever read."""
    assert facts.proved is not None
    seen = msgspec.structs.replace(facts.seen, temp_c=None, at_rest=None)
    return Judged(facts.batch, facts.as_of_us, [facts.proved], seen, 0, Counter(), 0)


def test_the_margin_of_pressure_stands_with_what_is_in_the_bottle(facts_of: FactsOf) -> None:
    day = PackagingDay(primed_g=105.0, container="brown-glass", sugar="sucrose", moved_l=17.4)
    said = rows(sheet_of(facts_of(packaging_day=day), Units()))
    assert re.fullmatch(r"2\.\d volumes, at most 2\.\d volumes", said["in the bottle"].says)
    assert re.fullmatch(r"0\.\d bar below the limit, which it meets at \d\d °C", said["pressure at 20 °C"].beside)
    limit_bar = facts_of(packaging_day=day).closed.sealing.at_room.at_most_bar  # type: ignore[union-attr]
    tight = msgspec.structs.replace(day, limit_bar=round(limit_bar + 1.0, 2))
    at_most = facts_of(packaging_day=tight).closed.sealing.at_room.at_most_bar  # type: ignore[union-attr]
    for apart, words in ((-0.01, "over the limit"), (0.01, "below the limit")):
        near = msgspec.structs.replace(day, limit_bar=at_most + apart)
        beside = rows(sheet_of(facts_of(packaging_day=near), Units()))["pressure at 20 °C"].beside
        assert re.match(f"(just|0.1 bar) {words}", beside)
    target = rows(sheet_of(facts_of(packaging_day=CHOSEN), Units()))
    assert target["in the bottle"].beside == "by the target"
    assert "in the bottle" not in rows(sheet_of(facts_of(72.0, packaging_day=CHOSEN), Units()))


def test_of_a_beer_that_was_proved_the_priming_is_told_and_fits_what_the_formula_says(facts_of: FactsOf) -> None:
    facts = facts_of(packaging_day=CHOSEN)
    held = facts.closed.held
    assert held is not None
    assert facts.moved is not None
    # By hand, stoichiometry of sucrose: 4 x 44.0095 / 342.2965 = 0.5143 g/g, the sugar's own volume left out (0.3 %).
    expected_g = facts.moved.volume_l * (4.745 - held.about) / 0.5143
    assert facts.closed.to_prime is not None
    assert facts.closed.to_prime.grams == pytest.approx(expected_g, rel=0.02)
    assert rows(sheet_of(facts, Units()))["priming"].beside == "for the target"


def test_no_priming_is_told_that_the_container_does_not_bear(facts_of: FactsOf) -> None:
    for container, target in (("growler", 4.745), ("reused-glass", 7.5)):
        day = PackagingDay(target_g_l=target, container=container, sugar="sucrose")  # type: ignore[arg-type]
        said = rows(sheet_of(facts_of(packaging_day=day), Units()))
        assert said["priming"].says == "not told, for the target is more than that container bears"


def test_where_only_the_upper_end_exceeds_the_weight_stands_with_a_caution(facts_of: FactsOf) -> None:
    day = PackagingDay(target_g_l=2.8 * 1.977, container="brown-glass", sugar="sucrose")
    said = rows(sheet_of(facts_of(packaging_day=day), Units()))["priming"]
    assert re.fullmatch(r"1\d\d g of sucrose", said.says)
    assert said.beside == "for the target; at the upper end more than that container bears"


def test_packaged_unproved_says_the_danger_and_nothing_that_soothes(facts_of: FactsOf, ale: Batch) -> None:
    sheet = sheet_of(facts_of(100.0, packaged_us=ale.pitched_us + 90 * HOUR_US), Units())
    assert (sheet.answer, sheet.next) == ("Done", "")
    assert "eyes and hands covered" in sheet.danger
    assert sheet.reasons[0].startswith("Until then it was fermenting")
    assert "final" not in rows(sheet)
    assert "when packaged" in rows(sheet)


def test_packaged_when_it_was_ready_says_so_years_later(facts_of: FactsOf, ale: Batch) -> None:
    sheet = sheet_of(facts_of(20_000.0, packaged_us=ale.pitched_us + 300 * HOUR_US), Units(zone="UTC"))
    assert sheet.checks_head == "Evidence when it was packaged"
    assert sheet.reasons[0].startswith("Until then it was ready, since ")
    assert {"pitched", "activity ended", "ready", "packaged"} <= set(rows(sheet))
    assert not sheet.danger


def test_with_nothing_yet_there_is_little_and_no_dash(facts_of: FactsOf) -> None:
    sheet = sheet_of(facts_of(0.0, volume_l=None, original_gravity=None, expected_final_gravity=None), Units())
    assert set(rows(sheet)) == {"pitched"}
    assert (sheet.checks, sheet.events, sheet.ranges) == ((), (), "")
    assert not re.search(r"[–-] ?['\"]|None|nan|unknown", words(sheet))


def test_without_an_original_gravity_the_sensors_own_stands_and_says_so(facts_of: FactsOf) -> None:
    said = rows(sheet_of(facts_of(original_gravity=None), Units()))
    assert said["original"].beside == "read by the sensor itself"
    assert said["final"].beside == "the sensor alone"


def test_what_was_told_stands_with_how_often(facts_of: FactsOf) -> None:
    facts = facts_of()
    told = (ToldThen(0, "ready", 0), ToldThen(HOUR_US, "holding", HOUR_US))
    said = rows(sheet_of(facts._replace(told=told[:1]), Units(zone="UTC")))["told"]
    assert said == Row("told", "Thu 1 Jan 1970 00:00 UTC", "ready to package")
    assert rows(sheet_of(facts._replace(told=told), Units()))["told"].beside == (
        "that ready is withdrawn, the last of 2 times"
    )


def test_samples_have_the_mark_of_the_curve_and_all_else_a_number(facts_of: FactsOf, ale: Batch) -> None:
    hours = ale.pitched_us + 200 * HOUR_US
    events = (
        Event(at_us=hours, kind="dry hop", note="60 g"),
        Event(at_us=hours + 1, kind="sample", gravity=1.0145, temperature_c=20.0),
        Event(at_us=hours + 2, kind="remark", note="smells of pears"),
    )
    sheet = sheet_of(facts_of(events=events), Units(zone="UTC"))
    assert [(row.mark, row.what, row.note) for row in sheet.events] == [
        ("1", "dry hop", "60 g"), ("◇", "sample: 1.0145, read at 20.0 °C", ""), ("2", "remark", "smells of pears"),
    ]  # fmt: skip
    assert rows(sheet)["final"].beside == "the sensor, mended by 1 hand sample"


def test_in_the_units_of_a_land_no_other_appears(facts_of: FactsOf) -> None:
    units = Units(
        gravity="plato", temperature="F", zone="America/Chicago", volume="us gal", decimal="comma",
        carbonation="volumes", pressure="psi", weight_unit="oz",
    )  # fmt: skip
    day = PackagingDay(target_g_l=4.745, container="brown-glass", sugar="sucrose", primed_g=110.0)
    said = words(sheet_of(facts_of(packaging_day=day), units))
    assert not re.search(r"[0-9]\.[0-9]|°C|[0-9] bar|[0-9] g\b|[0-9] L\b", said)
    assert "3,88 oz of sucrose" in said


@pytest.mark.parametrize("container", CONTAINER_NAMES)
def test_every_container_says_what_it_bears(facts_of: FactsOf, container: ContainerName) -> None:
    said = rows(sheet_of(facts_of(packaging_day=PackagingDay(container=container)), Units()))["closed in"]
    assert said.beside == "nothing may ferment in it" if container == "growler" else said.beside.endswith(" bar")


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(VERDICTS), st.sampled_from(SUGAR_NAMES))
def test_every_verdict_has_a_page(facts_of: FactsOf, verdict: Verdict, sugar: SugarName) -> None:
    facts = facts_of(packaging_day=PackagingDay(primed_g=100.0, sugar=sugar))._replace(verdict=verdict)
    sheet = sheet_of(facts, Units())
    assert sheet.answer == MAY_BE_PACKAGED[facts.verdict]
    assert sheet.reasons
    assert sugar.replace("-", " ") in rows(sheet)["primed with"].says


def test_only_what_is_shown_is_explained(facts_of: FactsOf) -> None:
    assert sheet_explained(facts_of(0.0, volume_l=None, original_gravity=None)) == []
    whole = [figure.figure for figure in sheet_explained(facts_of(packaging_day=CHOSEN))]
    assert {"alcohol by volume", "each range", "carbon dioxide in the beer now", "pressure", "volume moved"} <= set(
        whole
    )
    assert len(whole) == len(set(whole))
    assert {"what the beer holds", "weight of priming"} <= set(whole)
    early = facts_of(100.0)._replace(told=(ToldThen(0, "ready", 0),))
    assert "told" in {figure.figure for figure in sheet_explained(early)}
    assert "weight of priming" not in {figure.figure for figure in sheet_explained(early)}
    assert set(SHEET_EXPLAINED) - {"now", "when packaged", "moved", "foreseen", "next sample", "told"} <= set(
        rows(sheet_of(facts_of(packaging_day=CHOSEN), Units()))
    )


def test_a_deed_without_figures_is_said_by_its_kind_alone() -> None:
    assert event_says(Event(at_us=0, kind="rouse", note="gently"), None, Units()) == []
    put = Event(at_us=0, kind="addition", points=-1.5, original_points=0.5)
    assert event_says(put, None, Units()) == ["-1.5 points", "0.5 on the original gravity"]


@pytest.mark.no_cover
@pytest.mark.parametrize("temperature", ["C", "F"])
@given(below=st.floats(-0.3, 1.0), pressure=st.sampled_from(["bar", "psi", "kPa"]))
@settings(max_examples=60, deadline=None)
def test_the_three_pressures_add_up_and_the_limit_is_never_met_where_it_is_said_to_be_kept(
    facts_of: FactsOf, temperature: Literal["C", "F"], below: float, pressure: Literal["bar", "psi", "kPa"]
) -> None:
    units = Units(temperature=temperature, pressure=pressure)
    facts = facts_of(packaging_day=PackagingDay(primed_g=105.0, container="brown-glass", sugar="sucrose", moved_l=17.4))
    sealing = facts.closed.sealing
    assert sealing is not None
    limit = limit_of("brown-glass", sealing.at_room.at_most_bar + below)
    closed = sealing_of(held_stated(sealing.at_most_g_l), (0.0, 0.0), (0.0, 0.0), limit)
    assert closed is not None
    said = rows(sheet_of(facts._replace(closed=facts.closed._replace(sealing=closed, limit=limit)), units))
    room = units.temp(20.0, 0)
    row = said[f"pressure at {room}"]
    bounds = [float(re.findall(r"-?\d+\.?\d*", text)[0]) for text in (said["closed in"].beside, row.says)]
    told = re.match(r"(just|\d+\.?\d*)(?: \w+)? (over|below) the limit", row.beside)
    assert told is not None
    apart = 0.0 if told[1] == "just" else float(told[1])
    assert bounds[0] - bounds[1] == pytest.approx(apart if told[2] == "below" else -apart, abs=1e-9)
    assert (told[2] == "over") == closed.at_room.exceeds
    assert not row.beside.endswith(f"at {room}")


def test_what_a_sealed_vessel_holds_is_told_while_it_ferments_and_where_only_its_gauge_can_tell(
    ale: Batch, facts_of: FactsOf
) -> None:
    def held(sealed_h: float, after_h: float) -> Row | None:
        seal = Event(at_us=ale.pitched_us + round(sealed_h * HOUR_US), kind="seal")
        facts = facts_of(after_h, events=(seal,))
        assert facts.seen.fallen_sealed is not None
        return rows(sheet_of(facts, Units())).get("held before priming")

    late, early = held(120.0, 150.0), held(50.0, 150.0)
    assert late is not None
    assert late.beside == "shut in since it was sealed"
    assert re.fullmatch(r"\d\.\d volumes, at most \d\.\d volumes", late.says)
    assert early == Row("held before priming", "the gauge of its sealed vessel must tell")
    assert "held before priming" not in rows(sheet_of(facts_of(72.0), Units()))


def test_what_it_holds_is_told_of_an_unclear_beer_at_its_end_by_its_temperature(facts_of: FactsOf) -> None:
    facts = facts_of(300.0)
    open_ = facts._replace(verdict="unclear", proved=None, rest_us=None)
    assert rows(sheet_of(open_, Units()))["held before priming"].beside.startswith("by ")
    falling = facts._replace(verdict="fermenting", proved=None, rest_us=None)
    assert "held before priming" not in rows(sheet_of(falling, Units()))
