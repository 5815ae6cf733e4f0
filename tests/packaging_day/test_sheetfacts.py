"""What one page knows of a batch, at any moment of its life."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from lullwort.packaging_day import SheetFacts
from lullwort.records import HOUR_US, Batch, BottleLot, Event, PackagingDay

FactsOf = Callable[..., SheetFacts]
PRIMED = PackagingDay(primed_g=110.0, sugar="sucrose", target_g_l=4.7, filled=(BottleLot(0.33, 48),))


def test_a_ready_batch_has_its_dates_in_order_and_its_figures(facts_of: FactsOf, ale: Batch) -> None:
    facts = facts_of()
    assert facts.verdict == "ready"
    assert facts.proved is not None
    assert facts.rest_us is not None
    assert ale.pitched_us < facts.rest_us < facts.proved.at_us < facts.as_of_us
    assert facts.verdict_us == facts.proved.at_us
    assert {"abv", "apparent_attenuation", "real_attenuation"} <= set(facts.figures)
    assert facts.coldest is not None
    assert facts.warmest is not None
    assert facts.fermented_c is not None
    assert facts.coldest.temp_c < facts.fermented_c < facts.warmest.temp_c
    assert not facts.danger.unproved


def test_while_it_ferments_nothing_is_said_to_have_ended(facts_of: FactsOf) -> None:
    facts = facts_of(72.0)
    assert facts.verdict == "fermenting"
    assert (facts.rest_us, facts.proved, facts.before) == (None, None, None)


def test_a_packaged_batch_keeps_what_was_known_when_it_was_packaged_however_late_one_asks(
    facts_of: FactsOf, ale: Batch
) -> None:
    packaged_us = ale.pitched_us + 300 * HOUR_US
    soon, years_later = facts_of(310.0, packaged_us=packaged_us), facts_of(20_000.0, packaged_us=packaged_us)
    for facts in (soon, years_later):
        assert facts.packaged
        assert facts.before is not None
        assert facts.before.verdict == "ready"
        assert facts.proved == facts.before
    assert years_later.seen == soon.seen
    assert years_later.figures == soon.figures
    assert years_later.seen.unseen_h is not None
    assert years_later.seen.unseen_h < 3.0


@pytest.mark.parametrize(
    ("after_h", "day", "unproved"),
    [
        (72.0, PackagingDay(), False),
        (72.0, PackagingDay(target_g_l=4.7, sugar="sucrose"), False),
        (72.0, PRIMED, True),
        (72.0, PackagingDay(filled=(BottleLot(0.33, 10),)), True),
        (None, PRIMED, False),
    ],
)
def test_what_was_primed_or_filled_before_it_was_proved_is_a_danger(
    facts_of: FactsOf, after_h: float | None, day: PackagingDay, unproved: bool
) -> None:
    assert facts_of(after_h, packaging_day=day).danger.unproved is unproved


def test_packaged_before_it_was_proved_is_a_danger_too(facts_of: FactsOf, ale: Batch) -> None:
    facts = facts_of(100.0, packaged_us=ale.pitched_us + 90 * HOUR_US)
    assert facts.packaged
    assert facts.danger.unproved


def test_what_was_noted_or_done_later_is_not_known_yet(facts_of: FactsOf, ale: Batch) -> None:
    events = tuple(Event(at_us=ale.pitched_us + hours * HOUR_US, kind="remark") for hours in (50, 250))
    facts = facts_of(200.0, events=events, packaging_day=PRIMED, packaged_us=ale.pitched_us + 300 * HOUR_US)
    assert facts.batch.events == events[:1]
    assert facts.batch.packaged_us is None
    assert facts.batch.packaging_day == PackagingDay(target_g_l=4.7, sugar="sucrose")


def test_of_a_batch_with_nothing_yet_nothing_is_known(facts_of: FactsOf) -> None:
    facts = facts_of(0.0)
    assert (facts.coldest, facts.warmest, facts.fermented_c) == (None, None, None)
    assert (facts.gravity, facts.figures, facts.closed.held, facts.told) == (None, {}, None, ())
