"""What the hand samples of a beer say as they stand: those that count, how much they moved, and what may be left."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from lullwort.detector.expected import ExpectedEnd
from lullwort.detector.handfalls import WeighedFalls
from lullwort.detector.handline import Compared, Drawn, compared

__all__ = ["FELL_SDS", "HandEntries", "HandLook", "Stillness", "look_at", "may_rise"]

_FLAT_SDS = 1.0
# Standard deviations of reading the samples. More change little where the bound on what is left holds, too.
_LEFT_OUT, _DOUBTED = 0.5, 0.2
# Chance of being wrong from which on a sample is left out, and from which on the newest is not built upon.
FELL_SDS = 1.645
"""Standard deviations of reading from which on one sample truly lies below another: 19 in 20 sure."""


def may_rise(tolerance: float, fell_sd: float) -> float:
    """[points] by which samples of a beer at rest may seem to rise.

    Beer does not rise: a newer sample that reads a little higher shows how well they are read, `fell_sd` [points].
    """
    return tolerance + FELL_SDS * fell_sd


class HandEntries(NamedTuple):
    """What must be known beside the samples.

    Attributes:
        original: [points] with additions; None where not measured.
        begun_fall: [points] by which a beer must have fallen to have begun.
        expected, must_reach: where it should end, and [points] at or below which it is there; None where not known.
        left_chance, left_limit: of more than so many points [points] only that chance may remain.
    """

    original: float | None
    begun_fall: float
    expected: ExpectedEnd | None
    must_reach: float | None
    left_chance: float
    left_limit: float


class Stillness(NamedTuple):
    """How long a batch must stand still, and how still.

    Attributes: window_h: [h] tolerance: [points] within that.
    """

    window_h: int
    tolerance: float


@dataclass(frozen=True)
class HandLook:
    """The samples as they stand: those that count, those that do not, and the falls that they leave likely.

    Attributes:
        good, odd: at least one of the former as soon as any was drawn.
        doubted: whether the newest is not built upon.
        falls: None where nobody knows where it should end.
        line: through those that count, as far as they stand; None where they do not make one.
        age_h: [yeast h] of the beer at the newest that counts, since it was woken last.
    """

    still: Stillness
    good: Sequence[Drawn] = ()
    odd: Sequence[Drawn] = ()
    doubted: bool = False
    falls: WeighedFalls | None = None
    line: Compared | None = None
    age_h: float = 0.0
    _left: dict[float, float] = field(default_factory=dict)
    """[points] by the chance that was asked for."""

    @property
    def is_flat(self) -> bool:
        """Whether they lie on a level line."""
        line, tolerance = self.line, self.still.tolerance
        if line is None or line.apart_h < self.still.window_h:
            return False
        return self.moved_upper <= tolerance and -line.fell <= may_rise(tolerance, line.fell_sd)

    @property
    def moved_upper(self) -> float:
        """[points] by which they fall within the window, reading them taken into account; infinite without a line."""
        return math.inf if self.line is None else self.line.moved(self.still.window_h, _FLAT_SDS)

    @property
    def is_falling(self) -> bool:
        """Whether the newest two, not long apart, show a fall that reading them does not explain."""
        window_h = float(self.still.window_h)
        line = compared(self.good[-2:], 0.0)
        if line is None or line.apart_h > 2.0 * window_h:
            return False
        allowed = self.still.tolerance * max(1.0, line.apart_h / window_h)
        return line.fell - _FLAT_SDS * line.fell_sd > allowed

    @property
    def gravity(self) -> float:
        """[points] By the newest sample, or by all that lie on a level line."""
        if self.line is not None and self.is_flat:
            return self.line.mean
        return self.good[-1].reading.points

    def left(self, chance: float) -> float:
        """[points] that are left beyond which only that chance remains; infinite where no end is known."""
        if self.falls is None:
            return math.inf
        if chance not in self._left:  # asked every hour, and the same until the samples are looked at anew
            self._left[chance] = self.falls.exceeded(self.falls.left(self.age_h), chance)
        return self._left[chance]


def look_at(
    since: Sequence[Drawn], weighable: Sequence[Drawn], falls: WeighedFalls | None, known: HandEntries,
    still: Stillness, woken_age_h: float,
) -> HandLook:  # fmt: skip
    """The samples `since` the proof began anew, of which there is one at least.

    Args: falls: as all that are `weighable` leave them; woken_age_h: [yeast h] of the beer when it was woken last.
    """
    wrong = {} if falls is None else {d.reading.at_us: p for d, p in zip(weighable, falls.wrong, strict=True)}
    odd = [d for d in since if wrong.get(d.reading.at_us, 0.0) > _LEFT_OUT]
    doubted = wrong.get(since[-1].reading.at_us, 0.0) > _DOUBTED
    good = [d for d in since if d not in odd] or since[-1:]
    line = compared(_comparable(good, known), float(still.window_h))
    return HandLook(still, good, odd, doubted, falls, line, good[-1].age_h - woken_age_h)


def _comparable(good: Sequence[Drawn], known: HandEntries) -> Sequence[Drawn]:
    """Of a beer that stands where it should be, those samples that did: what it fell before tells nothing of that."""
    reach = known.must_reach
    if reach is None or good[-1].reading.points > reach:
        return good
    return [d for d in good if d.reading.points <= reach]
