"""What is foreseen of one batch. Instants in µs since 1970-01-01 UTC, gravities in points (0.001 SG above 1)."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Forecast", "LeftAt", "Level", "SampleTime", "Span"]


class Span(NamedTuple):
    """Instants [µs] between which something falls with a chance of 80 %, and the likeliest."""

    low_us: int
    about_us: int
    high_us: int


class Level(NamedTuple):
    """Gravity [points] within its 80 % range."""

    low: float
    about: float
    high: float


class LeftAt(NamedTuple):
    """When no more than `points` will be left to ferment."""

    points: float
    when: Span


class SampleTime(NamedTuple):
    """When [µs] a hand sample would tell most, and half a sentence that says why."""

    at_us: int
    why: str


class Forecast(NamedTuple):
    """What is foreseen at `as_of_us` [µs].

    Attributes:
        ready: when the verdict will be `ready`; None where that cannot be said, or it is ready.
        end: final gravity; None where not known.
        left: for some points, from many to few, when no more will be left: those that lie ahead.
        sample: the next moment for a hand sample; None where none is worth an opening.
        unsaid: a sentence that says why there is no `ready`; empty where there is one or none is needed.
        moved: half a sentence that says why it is another than the day before; empty where it is not.
        repeats: earlier batches of the recipe that it draws on.
    """

    as_of_us: int
    ready: Span | None
    end: Level | None
    left: tuple[LeftAt, ...]
    sample: SampleTime | None
    unsaid: str
    moved: str
    repeats: int
