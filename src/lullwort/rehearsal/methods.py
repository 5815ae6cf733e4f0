"""Ways to judge an invented batch, in one shape: the changes of verdict over its whole log."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import NamedTuple, Protocol

from lullwort.detector import judge
from lullwort.records import Batch, Reading, VesselReadings
from lullwort.rehearsal.invented import Invented
from lullwort.rehearsal.simple_methods import (
    medians_apart,
    restarts_us,
    robust_slope,
    spread_of_medians,
    take_samples,
)

__all__ = ["SIMPLE_METHODS", "Call", "Method", "by_detector"]


class Call(NamedTuple):
    """From `at_us` [µs since the epoch] on the verdict is `verdict`; "ready" is the one that counts."""

    at_us: int
    verdict: str


class Method(Protocol):
    """Anything that judges a batch. It must not look at the truth, unless it opens the vessel to do so.

    To be run over several processes it must be a function at the top of a module.
    """

    def __call__(self, invented: Invented, /) -> Sequence[Call]:
        """The changes of verdict, in time order."""
        ...


def by_hydrometer(invented: Invented, /) -> list[Call]:
    """A sample every 48 h from day 4; ready when two in a row are the same."""
    return _with_restarts(invented.batch, lambda after_us: take_samples(invented, after_us).ready_us)


def by_spread_of_medians(invented: Invented, /) -> list[Call]:
    """Ready when the 6 h medians of 48 h lie within the tolerance."""
    return _from_readings(invented, spread_of_medians)


def by_medians_apart(invented: Invented, /) -> list[Call]:
    """Ready when the 6 h median is what it was 48 h before."""
    return _from_readings(invented, medians_apart)


def by_robust_slope(invented: Invented, /) -> list[Call]:
    """Ready when the robust slope of 48 h proves stillness and the level is plausible."""
    return _from_readings(invented, robust_slope)


def by_detector(invented: Invented, /) -> list[Call]:
    """The detector itself, up to the last reading."""
    return [
        Call(change.at_us, change.verdict)
        for change in judge(invented.batch, VesselReadings.of(invented.readings)).history
    ]


def by_change_detection(invented: Invented, /) -> list[Call]:
    """Ready when an adaptive window finds no more change over the hold window; needs a library that only tests need."""
    from lullwort.rehearsal.adaptive_window import no_more_change

    return _from_readings(invented, no_more_change)


SIMPLE_METHODS: dict[str, Method] = {
    "hydrometer every 48 h": by_hydrometer,
    "spread of 6 h medians": by_spread_of_medians,
    "6 h medians 48 h apart": by_medians_apart,
    "robust slope with gates": by_robust_slope,
}


def _from_readings(
    invented: Invented, first_ready: Callable[[Sequence[Reading], Batch, int | None], int | None]
) -> list[Call]:
    return _with_restarts(invented.batch, lambda after_us: first_ready(invented.readings, invented.batch, after_us))


def _with_restarts(batch: Batch, first_ready_us: Callable[[int], int | None]) -> list[Call]:
    """Ready where the method says so, taken back at each event after which a brewer starts over."""
    restarts = restarts_us(batch)
    calls: list[Call] = []
    for after_us, next_us in pairwise(restarts):
        ready_us = first_ready_us(after_us)
        if ready_us is not None and ready_us < next_us:
            calls += [Call(ready_us, "ready"), Call(next_us, "holding")]
    ready_us = first_ready_us(restarts[-1])
    if ready_us is not None:
        calls.append(Call(ready_us, "ready"))
    return calls
