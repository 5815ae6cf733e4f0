"""What earlier batches of the same recipe teach of the next one, before it has shown anything itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from lullwort.forecast.guess import Guess
from lullwort.forecast.traits import Traits

__all__ = ["NOTHING_LEARNED", "Lessons", "lessons"]

_HOURS_A_DAY = 24.0
_LEAST_END_SD, _LEAST_MIDDLE_SHARE = 1.2, 0.15
_LEAST_STEEPNESS_SD, _LEAST_TAU_SD = 0.25, 0.4
# By how much repeats of one recipe differ all the same: what was weighed, pitched, and how warm it stood.
_TAIL_POINTS = 4.5
# Of a tail from the middle of the fall on, half-way between an ordinary one and a long one: where it has more, its time
# constant is shorter.
_FEW = 1.0
# Of as many batches more the least spread is taken to be known.


class Lessons(NamedTuple):
    """From `batches` earlier ones; None where none of them shows it.

    Attributes:
        end: [points] final gravity.
        middle: [h since pitch] of the main fall; log_steepness: of its steepness [1/h].
        log_tau: of the time constant [h] of their tails.
    """

    batches: int = 0
    end: Guess | None = None
    middle: Guess | None = None
    log_steepness: Guess | None = None
    log_tau: Guess | None = None


NOTHING_LEARNED = Lessons()


def lessons(earlier: Sequence[tuple[Traits, float | None]]) -> Lessons:
    """What those of them teach that became `ready`.

    Where one got stuck, was chilled too soon or was packaged unproven says nothing of where the next one ends.

    Args: earlier: of each batch its traits and its original gravity [points], None where not known.
    """
    came = [(known, original) for known, original in earlier if known.ready_h is not None]
    ends = [known.end.value for known, _ in came if known.end is not None]
    middles, steepnesses, taus = [], [], []
    for known, original in came:
        if known.steepest is None or known.gone_h is None or known.end is None or original is None:
            continue
        # A logistic falls by k·D/4 where it is steepest, and three quarters are gone ln 3/k after its middle.
        fell = max(original - known.end.value, 1.0)
        steepness = 4.0 * max(known.steepest.value, 1.0) / _HOURS_A_DAY / fell
        steepnesses.append(math.log(steepness))
        since_middle_h = math.log(3.0) / steepness
        middles.append(max(1.0, known.gone_h.value - since_middle_h))
        if known.tail_h is not None:
            taus.append(math.log((known.tail_h.value + since_middle_h) / math.log(_TAIL_POINTS)))
    middle = None
    if middles:
        middle = _next_one(middles, _LEAST_MIDDLE_SHARE * sum(middles) / len(middles))
    return Lessons(
        batches=len(came) if ends or middles else 0,
        end=_next_one(ends, _LEAST_END_SD) if ends else None,
        middle=middle,
        log_steepness=_next_one(steepnesses, _LEAST_STEEPNESS_SD) if steepnesses else None,
        log_tau=_next_one(taus, _LEAST_TAU_SD) if taus else None,
    )


def _next_one(values: Sequence[float], least_sd: float) -> Guess:
    """What the next of them may be, if they differ by `least_sd` or by what they have shown so far."""
    mean = sum(values) / len(values)
    squares = sum((value - mean) ** 2 for value in values)
    variance = (squares + _FEW * least_sd**2) / (len(values) - 1 + _FEW)
    return Guess(mean, math.sqrt(max(variance, least_sd**2) * (1.0 + 1.0 / len(values))))
