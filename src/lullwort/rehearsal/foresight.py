"""What was foreseen of invented batches, held against what came: how far off, and how often within its range."""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from typing import Literal, NamedTuple, get_args

import numpy as np

from lullwort.analysis import settle
from lullwort.detector import Units, judging
from lullwort.forecast import NOTHING_LEARNED, Forecast, Lessons
from lullwort.forecast.foresee import foresee
from lullwort.records import HOUR_US, VesselReadings
from lullwort.rehearsal.family import Family
from lullwort.rehearsal.invented import Invented, invent
from lullwort.rehearsal.kinds import SCORED
from lullwort.rehearsal.score import CASES_AT_ONCE, Case, cases

__all__ = ["AHEAD_H", "WHAT", "Foresight", "Hit", "What", "foreseen_and_came", "foresight_table", "foresights", "hits"]

_HEAD = "foreseen          ahead  batches  none  within  before  after     off    90 %"
AHEAD_H = (24, 48, 72, 120, 168)
"""[h] before something came at which what was foreseen of it is looked at."""
_SAID_WITHIN = 0.1
# By which share what was said may differ from that to count as said.
_EVERY_H = 12
# Twice a day, so that each batch is looked at once about so many hours before.

What = Literal["ready", "ready, as said", "final gravity", "5 points left", "2 points left"]
WHAT: tuple[What, ...] = get_args(What)
"""In the order of the table."""
_POINTS_OF: dict[What, float] = {"5 points left": 5.0, "2 points left": 2.0}
_FAR_H = 72
# Of points left: so much further ahead only slow beers have them, so that the line would be one of kinds.


class Foresight(NamedTuple):
    """Something foreseen at one moment of one batch, and what came.

    Attributes:
        batch: kind, seed and family of the batch.
        ahead_h: [h] from that moment until it came; of the final gravity until `ready`.
        came: [h] the same, or [points] the true final gravity.
        low, about, high: what was foreseen, in the same unit; None where nothing was.
    """

    batch: tuple[str, int, Family]
    what: What
    ahead_h: float
    came: float
    low: float | None
    about: float | None
    high: float | None


class Hit(NamedTuple):
    """A line of the table.

    Attributes:
        batches: in which it came; none: of these without a forecast then.
        within, early, late: shares within the range, before and after it.
        median_off, p90_off: [h], or [points].
    """

    what: What
    ahead_h: int
    batches: int
    none: int
    within: float
    early: float
    late: float
    median_off: float
    p90_off: float


def foresights(case: Case) -> list[Foresight]:
    """As `foreseen_and_came`, of the batch of this case."""
    return foreseen_and_came(invent(case.kind, case.seed, family=case.family), NOTHING_LEARNED)


def foreseen_and_came(invented: Invented, learned: Lessons, looks: Sequence[int] | None = None) -> list[Foresight]:
    """All that was foreseen of an invented batch, and came before the brewer did something to it.

    Args:    looks: [h since pitch] when to look, in order; None: twice a day.
    """
    batch = invented.batch
    looks = range(_EVERY_H, int(invented.truth.hours[-1]) + 1, _EVERY_H) if looks is None else looks
    settled = settle(VesselReadings.of(invented.readings)).readings
    stops_us = [*(batch.pitched_us + hours * HOUR_US for hours in looks), invented.newest_us]
    seen: list[tuple[int, Forecast]] = []
    for at_h, judge in zip([*looks, None], judging(batch, settled, stops_us), strict=True):
        if at_h is not None and judge.history and not judge.is_ready:
            seen.append((at_h, foresee(judge, learned, None)[0]))
    readies = [invented.hour_of(change.at_us) for change in judge.history if change.verdict == "ready"]
    return [each for at_h, forecast in seen for each in _held_against(invented, at_h, forecast, readies)]


def _held_against(invented: Invented, at_h: float, forecast: Forecast, readies: Sequence[float]) -> Iterator[Foresight]:
    name, truth = (invented.kind, invented.seed, invented.family), invented.truth
    done = [*truth.action_hours, *(invented.hour_of(event.at_us) for event in invented.batch.events)]
    until_h = min((hour for hour in done if hour > at_h), default=float(truth.hours[-1]))
    ready_h = next((hour - at_h for hour in readies if hour > at_h), None)
    if ready_h is not None and at_h + ready_h <= until_h:
        yield Foresight(name, "ready", ready_h, ready_h, *_hours(forecast, forecast.ready))
        end = (truth.gravity_at(at_h) - 1.0) * 1000.0 - truth.points_left_at(at_h)
        yield Foresight(name, "final gravity", ready_h, end, *(forecast.end or (None, None, None)))
    left = {each.points: each.when for each in forecast.left}
    for what, points in _POINTS_OF.items():
        reached = np.flatnonzero(truth.points_left[round(at_h) :] <= points)
        if len(reached) and reached[0] > 0 and at_h + reached[0] <= until_h:
            # Where some is foreseen, but not of these points, they have been reached as far as the forecast knows.
            nothing = (None, None, None) if forecast.end is None else (0.0, 0.0, 0.0)
            when = _hours(forecast, left[points]) if points in left else nothing
            yield Foresight(name, what, float(reached[0]), float(reached[0]), *when)


def _hours(forecast: Forecast, span: tuple[int, int, int] | None) -> tuple[float | None, ...]:
    if span is None:
        return (None, None, None)
    return tuple((us - forecast.as_of_us) / HOUR_US for us in span)


def hits(seen: Iterable[Foresight], ahead_h: Sequence[int] = AHEAD_H) -> list[Hit]:
    """The table: each thing as it was foreseen about so long before it came, each batch once.

    "ready, as said" is held against when it was said to be so far off, however far it was: the first such moment of
    each batch.
    """
    seen = list(seen)
    table = []
    for what in WHAT:
        for ahead in ahead_h if what not in _POINTS_OF else (h for h in ahead_h if h <= _FAR_H):
            near = _said(seen, ahead) if what == "ready, as said" else _before(seen, what, ahead)
            if told := [s for s in near if s.about is not None]:
                table.append(_hit(what, ahead, len(near), told))
    return table


def _before(seen: Sequence[Foresight], what: What, ahead_h: int) -> list[Foresight]:
    half = _EVERY_H / 2
    return [s for s in seen if s.what == what and ahead_h - half < s.ahead_h <= ahead_h + half]


def _said(seen: Sequence[Foresight], ahead_h: int) -> list[Foresight]:
    first: dict[tuple[str, int, Family], Foresight] = {}
    for s in seen:
        if s.what == "ready" and s.about is not None and abs(s.about - ahead_h) <= _SAID_WITHIN * ahead_h:
            first.setdefault(s.batch, s)
    return list(first.values())


def _hit(what: What, ahead_h: int, batches: int, told: Sequence[Foresight]) -> Hit:
    low, about, high, came = np.array([(s.low, s.about, s.high, s.came) for s in told], dtype=float).T
    early, late = came < low, came > high
    off = np.abs(about - came)
    within = 1.0 - float(np.mean(early | late))
    median, p90 = (float(q) for q in np.quantile(off, (0.5, 0.9)))
    none = batches - len(told)
    return Hit(what, ahead_h, batches, none, within, float(np.mean(early)), float(np.mean(late)), median, p90)


def foresight_table(seeds: Iterable[int], family: Family, *, workers: int = 2, units: Units | None = None) -> str:
    """The table over every scored kind of invented batch with each of `seeds`, as plain text."""
    of = cases(seeds, SCORED, family)
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(max_workers=workers, mp_context=context) as pool:
        table = hits(s for found in pool.map(foresights, of, chunksize=CASES_AT_ONCE) for s in found)
    return "\n".join([_HEAD, *(_line(hit, units or Units()) for hit in table)]) + "\n"


def _line(hit: Hit, units: Units) -> str:
    unit, digits = (" pt", 2) if hit.what == "final gravity" else (" h", 0)
    offs = "".join(f"{f'{units.number(off, digits)}{unit}':>8}" for off in (hit.median_off, hit.p90_off))
    shares = f"{hit.within:>7.0%} {hit.early:>7.0%} {hit.late:>6.0%} "
    return f"{hit.what:16}{hit.ahead_h:>5} h{hit.batches:>9}{hit.none:>6}{shares}{offs}"
