"""Many reports of one sensor: which say the same of the same instant, and which contradict each other."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.units import FloatArray

__all__ = ["Agreement", "agree"]

Flags = NDArray[np.bool_]
Places = NDArray[np.int64]


class Agreement(NamedTuple):
    """Reports in order of time, equal ones side by side.

    Attributes:
        order:  places of the reports in what was given, shape (n,).
        instant: for each of them in that order the number of its instant, from 0 on.
        report: the same for its distinct report: equal ones share a number.
    """

    order: Places
    instant: Places
    report: Places

    def settled(self) -> Places:
        """Place of one report for each instant of which all reports say the same, in order of time."""
        first = np.diff(self.instant, prepend=-1) > 0
        return self.order[first & ~self.contradicted()[self.instant]]

    def contradicted(self) -> Flags:
        """For each instant whether reports of it differ."""
        first = np.diff(self.report, prepend=-1) > 0
        return np.bincount(self.instant[first]) > 1

    def reports_with(self, chosen: Flags) -> Flags:
        """For each distinct report whether one of the `chosen` (by place as given) says it."""
        return np.bincount(self.report, weights=chosen[self.order]) > 0

    def contradicted_with(self, chosen: Flags) -> int:
        """Instants at which reports differ and one of them is `chosen`."""
        return int(np.count_nonzero(self.contradicted() & (np.bincount(self.instant, chosen[self.order]) > 0)))


def agree(at_us: NDArray[np.int64], meaning: NDArray[np.int64], values: FloatArray) -> Agreement:
    """Compare reports of one sensor; not empty.

    Args:    at_us: [µs] shape (n,). meaning: shape (n,), equal where vessel and units are. values: shape (k, n), each
             value in one bit pattern only, so that NaN equals NaN.
    """
    order = np.argsort(at_us, kind="stable")
    new = np.diff(at_us[order]) > 0
    if new.all():
        numbers = np.arange(len(order))
        return Agreement(order, numbers, numbers)
    bits = np.ascontiguousarray(values).view(np.int64)
    order = np.lexsort((*bits, meaning, at_us))
    differs = (np.diff(bits[:, order], axis=1) != 0).any(axis=0) | (np.diff(meaning[order]) != 0)
    return Agreement(order, _numbered(new), _numbered(new | differs))


def _numbered(new: Flags) -> Places:
    return np.concatenate([[0], np.cumsum(new)])
