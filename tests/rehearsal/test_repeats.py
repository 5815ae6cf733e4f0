"""Invented repeats of one recipe: alike, never the same, one after the other in one vessel."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from lullwort.records import HOUR_US
from lullwort.rehearsal import FAMILIES, Family, Invented, invent, invent_repeats


def fell(of: Invented, share: float) -> float:
    """[h since pitch] At which this share of what it loses in the end is gone."""
    gravity = of.truth.gravity
    return float(np.argmax(gravity <= gravity[0] - share * (gravity[0] - gravity[-1])))


@pytest.mark.no_cover
@pytest.mark.parametrize("family", FAMILIES)
def test_they_lie_one_after_the_other_and_only_the_last_is_still_there(family: Family) -> None:
    repeats = invent_repeats("plain ale", 3, 4, family=family)
    assert [of.batch.name for of in repeats] == [f"plain-ale-{number}" for number in (1, 2, 3, 4)]
    assert {(of.batch.recipe, of.batch.vessel) for of in repeats} == {("plain ale", "plain-ale")}
    for before, after in pairwise(repeats):
        assert before.batch.packaged_us is not None
        assert before.newest_us <= before.batch.packaged_us < after.batch.pitched_us - 24 * HOUR_US
    assert repeats[-1].batch.packaged_us is None
    # alike, as those of other seeds are not, and never the same
    hours = [fell(of, 0.75) for of in repeats]
    assert len(set(hours)) > 1
    assert max(hours) / min(hours) < 1.6
    ends = [1000.0 * (of.truth.gravity[-1] - 1.0) for of in repeats]
    assert 0.1 < max(ends) - min(ends) < 5.0


def test_the_same_arguments_give_the_same_repeats_and_the_first_seeds_are_what_they_were() -> None:
    first, again = (invent_repeats("fast ale", 2, 2) for _ in range(2))
    assert [of.batch for of in first] == [of.batch for of in again]
    assert first[1].readings == again[1].readings
    # A snapshot: batches that are scored must not change by how repeats are drawn.
    ale = invent("plain ale", 1)
    assert (ale.batch.original_gravity, ale.batch.expected_final_gravity) == (1.0455, (1.0137, 1.0157))


@pytest.mark.no_cover
@pytest.mark.parametrize("family", FAMILIES)
def test_the_last_may_be_late_slow_stuck_or_cool_while_the_others_stay(family: Family) -> None:
    honest = invent_repeats("plain ale", 3, 2, family=family)
    odd = {
        last: invent_repeats("plain ale", 3, 2, family=family, last=last) for last in ("late", "slow", "stuck", "cool")
    }
    assert all(repeats[0].readings == honest[0].readings for repeats in odd.values())
    late, slow, stuck, cool = (repeats[1] for repeats in odd.values())
    assert fell(late, 0.1) > fell(honest[1], 0.1) + 20.0
    assert fell(slow, 0.75) - fell(slow, 0.1) > 1.3 * (fell(honest[1], 0.75) - fell(honest[1], 0.1))
    assert stuck.truth.gravity[-1] > honest[1].truth.gravity[-1] + 0.007
    assert np.mean(cool.truth.temperature_c) == pytest.approx(np.mean(honest[1].truth.temperature_c) - 3.0, abs=0.7)
