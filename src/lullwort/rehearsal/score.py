"""The score of a method over many invented batches, per kind and in all."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from typing import NamedTuple

import msgspec
import numpy as np
from scipy.stats import beta

from lullwort.records import Caution
from lullwort.rehearsal.entries import ENTRIES
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.invented import invent
from lullwort.rehearsal.kinds import SCORED
from lullwort.rehearsal.methods import Method
from lullwort.rehearsal.outcome import Outcome, outcome_of

__all__ = ["Case", "Row", "Score", "cases", "false_rate_bound", "row_of", "score", "score_of"]

BOUND_CONFIDENCE = 0.95
CASES_AT_ONCE = 8


class Case(NamedTuple):
    """What an invented batch is drawn from."""

    kind: str
    seed: int
    family: Family = "tail"
    entries: str = "sound"
    """One of ENTRIES."""
    caution: Caution = "usual"


@dataclass(frozen=True, kw_only=True)
class Row:
    """A line of the table: one kind, or all of them. Counts are batches, delays hours after the oracle.

    Attributes:
        false_ready, over_one_point: with more than 2, and more than 1, point left at some `ready`.
        false_bound: upper 95 % bound on the share of false readies (Clopper-Pearson, one-sided).
        worst_points_left: [points] the most that was left at any `ready`; None if there was none.
        never_ready: finished, but never called so.
        declared:    batches in the delays: a true `ready`, no false one, and an oracle hour.
        median_delay_h, p90_delay_h: [h] of these; None where there are none.
    """

    name: str
    batches: int
    false_ready: int
    false_bound: float
    over_one_point: int
    worst_points_left: float | None
    never_ready: int
    declared: int
    median_delay_h: float | None
    p90_delay_h: float | None
    withdrawals: int
    unclear_h: float


@dataclass(frozen=True)
class Score:
    """The table, the line for all, and what they were made from."""

    rows: tuple[Row, ...]
    total: Row
    outcomes: tuple[Outcome, ...]


def cases(
    seeds: Iterable[int],
    kinds: Sequence[str] = SCORED,
    family: Family = "tail",
    entries: str = "sound",
    caution: Caution = "usual",
) -> list[Case]:
    """Each kind with each seed, so that kinds are equally many.

    >>> len(cases(range(10)))
    180
    """
    return [Case(kind, seed, family, entries, caution) for seed in seeds for kind in kinds]


def score(method: Method, of: Sequence[Case], *, workers: int = 2) -> Score:
    """Invent each case, judge it by `method`, hold it against the truth.

    Args: method: at the top of a module if `workers` is more than 1.
          workers: processes; 1 works in this one.
    """
    judge_case = partial(_judge_case, method)
    if workers == 1:
        return score_of([judge_case(case) for case in of])
    # a forked child of a process with threads may hang, so children start afresh
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(max_workers=workers, mp_context=context) as pool:
        return score_of(list(pool.map(judge_case, of, chunksize=CASES_AT_ONCE)))


def score_of(outcomes: Sequence[Outcome]) -> Score:
    """The table of outcomes; kinds in the order in which they first appear."""
    names = dict.fromkeys(outcome.kind for outcome in outcomes)
    rows = tuple(row_of(name, [o for o in outcomes if o.kind == name]) for name in names)
    return Score(rows, row_of("all", outcomes), tuple(outcomes))


def row_of(name: str, outcomes: Sequence[Outcome]) -> Row:
    """One line from these outcomes."""
    delays = [o.delay_h for o in outcomes if o.delay_h is not None]
    worst = [o.worst_points_left for o in outcomes if o.worst_points_left is not None]
    false_ready = sum(o.false_ready for o in outcomes)
    return Row(
        name=name,
        batches=len(outcomes),
        false_ready=false_ready,
        false_bound=false_rate_bound(false_ready, len(outcomes)),
        over_one_point=sum(o.over_one_point for o in outcomes),
        worst_points_left=max(worst, default=None),
        never_ready=sum(o.never_ready for o in outcomes),
        declared=len(delays),
        median_delay_h=float(np.median(delays)) if delays else None,
        p90_delay_h=float(np.quantile(delays, 0.9)) if delays else None,
        withdrawals=sum(o.withdrawals for o in outcomes),
        unclear_h=sum(o.unclear_h for o in outcomes),
    )


def false_rate_bound(false_ready: int, batches: int) -> float:
    """Upper 95 % bound on the share of false readies: none in n is not zero.

    Source: [ClopperPearson1934], one-sided.

    >>> round(false_rate_bound(0, 180), 4)
    0.0165
    """
    if false_ready >= batches:
        return 1.0
    return float(beta.ppf(BOUND_CONFIDENCE, false_ready + 1, batches - false_ready))


def _judge_case(method: Method, case: Case) -> Outcome:
    invented = invent(case.kind, case.seed, family=case.family)
    batch = msgspec.structs.replace(invented.batch, caution=case.caution)
    entered = ENTRIES[case.entries](replace(invented, batch=batch))
    return outcome_of(invented, method(entered), entered.batch.events)
