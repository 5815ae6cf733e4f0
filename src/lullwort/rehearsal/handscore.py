"""Hand samples alone on invented batches, drawn when Lullwort asks for them, beside the trade's two-day rule."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import NamedTuple

import numpy as np

from lullwort.detector import Units
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.hydrometer import judged_by_hand
from lullwort.rehearsal.invented import invent
from lullwort.rehearsal.kinds import SCORED
from lullwort.rehearsal.methods import Call, by_hydrometer
from lullwort.rehearsal.outcome import Outcome, outcome_of
from lullwort.rehearsal.score import CASES_AT_ONCE, Case, cases, row_of
from lullwort.rehearsal.simple_methods import take_samples

__all__ = ["HandOutcome", "hand_outcome", "hand_table"]

_HEAD = (
    "                        samples when asked for                     the same twice, two days apart\n"
    "kind                    batches  false  never  median  90 %  openings  false  never  median  openings"
)


class HandOutcome(NamedTuple):
    """What came of one batch: by samples when they were asked for, and by the rule; openings for samples of each."""

    kind: str
    asked: Outcome
    openings: int
    rule: Outcome
    rule_openings: int


def hand_outcome(case: Case) -> HandOutcome:
    """One batch sampled in both ways; the hydrometer was held against plain water."""
    invented = invent(case.kind, case.seed, family=case.family)
    by_hand = judged_by_hand(invented)
    calls = [Call(change.at_us, change.verdict) for change in by_hand.judged.history]
    return HandOutcome(
        case.kind,
        outcome_of(invented, calls, invented.batch.events),
        by_hand.openings,
        outcome_of(invented, by_hydrometer(invented), invented.batch.events),
        take_samples(invented).openings,
    )


def hand_table(
    seeds: Iterable[int],
    family: Family,
    *,
    kinds: Sequence[str] = SCORED,
    workers: int = 2,
    units: Units | None = None,
) -> str:
    """The table over these kinds of invented batch with each of `seeds`, as plain text."""
    of = cases(seeds, kinds, family)
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(max_workers=workers, mp_context=context) as pool:
        came = list(pool.map(hand_outcome, of, chunksize=CASES_AT_ONCE))
    lines = [_line(kind, [o for o in came if o.kind == kind], units or Units()) for kind in kinds]
    return "\n".join([_HEAD, *lines, _line("all", came, units or Units())]) + "\n"


def _line(name: str, came: Sequence[HandOutcome], units: Units) -> str:
    asked, rule = row_of(name, [o.asked for o in came]), row_of(name, [o.rule for o in came])
    opened, by_rule = (float(np.mean([getattr(o, which) for o in came])) for which in ("openings", "rule_openings"))
    return (
        f"{name:24}{len(came):>7}{asked.false_ready:>7}{asked.never_ready:>7}"
        f"{_hours(asked.median_delay_h, units):>8}{_hours(asked.p90_delay_h, units):>6}{units.number(opened, 1):>10}"
        f"{rule.false_ready:>7}{rule.never_ready:>7}{_hours(rule.median_delay_h, units):>8}"
        f"{units.number(by_rule, 1):>10}"
    )


def _hours(value: float | None, units: Units) -> str:
    return "-" if value is None else units.number(value, 0)
