"""Many reports of one sensor: which say the same of the same instant, and which contradict each other.

Two reports of an instant agree if they place the sensor in the same vessel and every quantity that both give is equal.
What one of them leaves out does not contradict the other: the instant's reading is put together from both.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.units import FloatArray

__all__ = ["Agreement", "Reports", "agree"]

Flags = NDArray[np.bool_]
Places = NDArray[np.int64]


class Reports(NamedTuple):
    """Reports of one sensor in any order; columns of one length n, at least one.

    Attributes:
        at_us:  [µs] shape (n,).
        vessel: number of the vessel in which each places the sensor, shape (n,).
        values: shape (k, n), one quantity a row, NaN where not given.
        tolerances: shape (k,): values of one quantity that differ by no more are equal.
    """

    at_us: NDArray[np.int64]
    vessel: Places
    values: FloatArray
    tolerances: FloatArray


class Agreement(NamedTuple):
    """Reports instant by instant.

    Attributes:
        reports: what was compared.
        order:   places of the n reports, by time.
        starts:  where in `order` each of the m instants begins.
        contradicted: for each instant whether reports of it differ.
    """

    reports: Reports
    order: Places
    starts: Places
    contradicted: Flags

    def at_us(self) -> NDArray[np.int64]:
        """[µs] of each instant."""
        return self.reports.at_us[self.order[self.starts]]

    def vessel(self) -> Places:
        """Number of the vessel at each instant; where that is contradicted, one of them."""
        return self.reports.vessel[self.order[self.starts]]

    def together(self) -> FloatArray:
        """What all reports of each instant give together, shape (k, m); where they contradict, one of the values."""
        # The lowest of equal values, whichever came first.
        return np.fmin.reduceat(self.reports.values[:, self.order], self.starts, axis=1)

    def with_any(self, chosen: Flags) -> Flags:
        """For each instant whether one of the `chosen` reports (by place as given) is of it."""
        return np.logical_or.reduceat(chosen[self.order], self.starts)

    def enriched_by(self, chosen: Flags) -> Flags:
        """For each instant whether the `chosen` reports give a vessel or a value of it that no other report gives."""
        enriched = self.with_any(chosen)
        told_twice = enriched & self.with_any(~chosen)
        enriched &= ~told_twice
        if told_twice.any():
            instant = self._instants()
            kept = told_twice[instant]
            places, instant = self.order[kept], instant[kept]
            for values, tolerance in self._columns():
                enriched[_alone(instant, values[places], chosen[places], tolerance)] = True
        return enriched

    def told_apart_by(self, chosen: Flags) -> int:
        """How many reports beyond one an instant the `chosen` give of instants that they alone tell, and contradict."""
        alone = self.contradicted & self.with_any(chosen) & ~self.with_any(~chosen)
        if not alone.any():
            return 0
        places = set(self.order[alone[self._instants()]].tolist())
        return sum(1 for place in self.differing().tolist() if place in places) - int(np.count_nonzero(alone))

    def differing(self) -> Places:
        """Places of the reports of contradicted instants by time, exactly equal ones once."""
        places = self.order[self.contradicted[self._instants()]]
        columns = (self.reports.at_us, self.reports.vessel, *self.reports.values)
        places = places[np.lexsort([column[places] for column in reversed(columns)])]
        differs = np.ones(len(places), dtype=bool)
        differs[1:] = False
        for column in columns:
            ordered = column[places]
            differs[1:] |= (ordered[1:] != ordered[:-1]) & ~(np.isnan(ordered[1:]) & np.isnan(ordered[:-1]))
        return places[differs]

    def _instants(self) -> Places:
        """For each report in `order` the number of its instant."""
        return np.repeat(np.arange(len(self.starts)), np.diff(self.starts, append=len(self.order)))

    def _columns(self) -> Iterator[tuple[FloatArray, float]]:
        yield self.reports.vessel.astype(np.float64), 0.0
        yield from zip(self.reports.values, self.reports.tolerances.tolist(), strict=True)


def agree(reports: Reports) -> Agreement:
    """Compare the reports of one sensor.

    An instant is contradicted if its reports name several vessels, or if of some quantity the highest and the lowest
    value given differ: then it does not matter in which order three reports come, of which one is near the two others.
    """
    order = np.argsort(reports.at_us, kind="stable")
    starts = np.flatnonzero(np.concatenate([[True], np.diff(reports.at_us[order]) > 0]))
    contradicted = np.zeros(len(starts), dtype=bool)
    if len(starts) < len(order):
        vessel = reports.vessel[order]
        contradicted = np.maximum.reduceat(vessel, starts) != np.minimum.reduceat(vessel, starts)
        for values, tolerance in zip(reports.values, reports.tolerances.tolist(), strict=True):
            ordered = values[order]
            highest, lowest = np.fmax.reduceat(ordered, starts), np.fmin.reduceat(ordered, starts)
            # Two infinities are equal, though their difference is not zero.
            contradicted |= (highest > lowest) & ~(highest <= lowest + tolerance)
    return Agreement(reports, order, starts, contradicted)


def _alone(instant: Places, values: FloatArray, chosen: Flags, tolerance: float) -> Places:
    """Instants at which a chosen report gives a value that is far from all that others give."""
    given = np.flatnonzero(~np.isnan(values))
    given = given[np.lexsort((values[given], instant[given]))]
    instant, values, chosen = instant[given], values[given], chosen[given]
    here = np.arange(len(given))
    # In order of value the nearest of the others stands just before or just after.
    before = np.maximum.accumulate(np.where(chosen, -1, here))
    after = np.minimum.accumulate(np.where(chosen, len(given), here)[::-1])[::-1]
    alone = chosen
    for other, there in ((before, before >= 0), (after, after < len(given))):
        nearest = other[there]
        near = np.maximum(values[there], values[nearest]) <= np.minimum(values[there], values[nearest]) + tolerance
        said = np.zeros(len(given), dtype=bool)
        said[there] = near & (instant[there] == instant[nearest])
        alone = alone & ~said
    return instant[alone]
