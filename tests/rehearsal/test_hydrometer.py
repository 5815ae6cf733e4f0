"""Invented batches watched with a hydrometer alone: how seldom a ready is false, and how few openings it takes."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

import msgspec
import numpy as np
import pytest

from lullwort.records import HOUR_US
from lullwort.rehearsal import SCORED, Family, invent
from lullwort.rehearsal.handscore import hand_outcome, hand_table
from lullwort.rehearsal.hydrometer import judged_by_hand
from lullwort.rehearsal.score import Case

SAMPLE_SEED = 1500

pytestmark = pytest.mark.no_cover


@pytest.mark.parametrize(("family", "kinds"), [("tail", SCORED[::2]), ("uptake", SCORED[1::2])])
def test_samples_drawn_when_asked_for_are_hardly_ever_falsely_ready(family: Family, kinds: Sequence[str]) -> None:
    came = [hand_outcome(Case(kind, SAMPLE_SEED, family)) for kind in kinds]
    asked, by_rule = (sum(getattr(o, which).false_ready for o in came) for which in ("asked", "rule"))
    # Of nine kinds the two-day rule is wrong about three, as stuck, creeping and resting beers hold still for two days.
    assert asked == 0
    assert by_rule >= 2
    never = [o for o in came if o.asked.never_ready]
    assert len(never) <= 1
    assert np.mean([o.openings for o in came]) <= 4.5


def test_ordinary_ales_take_two_openings() -> None:
    openings = [judged_by_hand(invent("plain ale", seed)).openings for seed in range(1500, 1508)]
    assert sorted(openings)[len(openings) // 2] == 2
    assert max(openings) <= 3


def test_it_is_opened_no_more_once_it_is_ready_and_never_for_nothing() -> None:
    invented = invent("plain ale", 1500)
    came = judged_by_hand(invented)
    samples = [event for event in came.judged.batch.events if event.kind == "sample"]
    assert came.judged.verdict == "ready"
    assert len(samples) == came.openings
    ready_us = next(change.at_us for change in came.judged.history if change.verdict == "ready")
    assert samples[-1].at_us < ready_us
    apart_h = [(b.at_us - a.at_us) / HOUR_US for a, b in itertools.pairwise(samples)]
    assert min(apart_h) >= 24.0


def test_the_same_batch_is_sampled_the_same_and_what_its_owner_sampled_is_left_out() -> None:
    invented = invent("plain ale", 1501)
    again = judged_by_hand(invented)
    assert again.judged.history == judged_by_hand(invented).judged.history
    drawn = [event for event in again.judged.batch.events if event.kind == "sample"]
    sampled = replace(invented, batch=msgspec.structs.replace(invented.batch, events=tuple(drawn[:1])))
    assert judged_by_hand(sampled).openings == again.openings


def test_a_hydrometer_that_nobody_checked_proves_a_stop_too() -> None:
    came = [judged_by_hand(invent("plain ale", seed), error_sd=2.0, unchecked=True) for seed in range(1500, 1504)]
    assert sum(each.judged.verdict == "ready" for each in came) >= 3


def test_the_table_has_a_line_for_each_kind_and_all() -> None:
    table = hand_table([SAMPLE_SEED], "tail", kinds=("plain ale", "stuck warm"), workers=1).splitlines()
    assert [line.split("  ")[0] for line in table[2:]] == ["plain ale", "stuck warm", "all"]
    assert table[-1].split()[:2] == ["all", "2"]
    # The stuck one: not called ready here, and falsely by the rule.
    assert table[3].split()[3:5] == ["0", "0"]
    assert table[3].split()[-4] == "1"
