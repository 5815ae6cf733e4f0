"""The shape of a forecast: numbers only, from which words are made later."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Forecast", "LeftAt", "Level", "SampleTime", "Span"]


class Span(NamedTuple):
    """Instants [µs] between which something falls with a chance of 80 %, and the likeliest."""

    low_us: int
    about_us: int
    high_us: int


class Level(NamedTuple):
    """Gravity [points, 0.001 SG above 1] within its 80 % range."""

    low: float
    about: float
    high: float


class LeftAt(NamedTuple):
    """When no more than `points` will be left to ferment."""

    points: float
    when: Span


class SampleTime(NamedTuple):
    """When a hand sample would tell most."""

    at_us: int
    why: str  # half a sentence in plain words, as "it then settles the sensor's offset and the end at once"


class Forecast(NamedTuple):
    """What is foreseen of one batch at `as_of_us` [µs]."""

    as_of_us: int
    ready: Span | None  # when the verdict will be `ready`; None where that cannot be said, or it is ready
    end: Level | None  # final gravity; None where not known
    left: tuple[LeftAt, ...]  # for points 5, 3, 2, 1: those that lie ahead
    sample: SampleTime | None
    unsaid: str  # why there is no `ready`: a sentence; empty where there is one or none is needed
    moved: str  # why it is another than the day before: half a sentence as "the dry hop of Sun 26 Jul 12:00 began the
    # proof anew"; empty where it is not
    repeats: int  # earlier batches of the recipe that it draws on
