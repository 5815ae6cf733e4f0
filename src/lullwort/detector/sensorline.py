"""A sensor as a line: what it reads of a beer, by the gravities measured by hand; and which of those is the odd one."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from lullwort.records import HOUR_US
from lullwort.units import FloatArray

__all__ = ["SAME_REST_POINTS", "SCALE_SD", "Line", "Pair", "Settled", "contradicts_from", "settled"]

SCALE_SD = 0.03
"""By which a sensor's scale is off, as a standard deviation: 2 to 5 % of the fall. Common practice, no source."""
_OFFSET_SD = 30.0
# [points] At the gravity of water. Offsets of up to 10 are seen; so nothing is drawn towards none.
_OUTRANKED_SD, _SURE_SD = 30.0, 0.85
# [points] With which the start of the log counts beside a hand sample this sure, where the offset is meant and not the
# scale. One drawn in the main fall, when foam lifts a float, is not: there the two together err less than the sample
# alone (by a quarter on invented batches).
_WANDER_PER_H = 0.04 / 24.0
# [points²] By which a float that floats on drifts and gathers foam.
_WRONG_SD = 10.0
# [points] By which a sample that went wrong (undegassed, misread, of another vessel) lies off, or a float that shifted.
_WRONG_CHANCE = 0.05
_SHIFT_CHANCE, _SHIFT_PER_H, _MOST_CHANCE = 0.03, 0.003 / 24.0, 0.1
# That the start of a log or the original gravity is wrong, and that a float shifts and nobody sees it. Such chances are
# assumptions.
SAME_REST_POINTS = 5.0
"""[points] Over more than that a sample is carried on by the sensor's scale, and says nothing by itself any more."""
_FITS_SDS = 2.0
# Where each lies as near to what the others say, nothing is wrong.
_MATTERS_POINTS, _DOUBT = 2.5, 0.2
# What moves the present gravity by less settles itself; and a chance of one in five is too much to go by.
_CONTENDS = 0.1


class Pair(NamedTuple):
    """A gravity measured by hand, beside what the sensor read of the same beer.

    Attributes:
        at_us:   [µs] when it was drawn.
        gravity: [points] by hand.
        level:   [points] as the sensor would read that beer now, what is known to have moved it since added.
        sd:      [points] of both together, each for itself.
        error_sd: [points] of what is the same in all readings of `instrument`.
        doubt:   [points²] what had gathered by then of shifts that nobody can measure.
        sampled: whether it is a hand sample; else the measured original gravity beside the start of the log.
    """

    at_us: int
    gravity: float
    level: float
    sd: float
    error_sd: float
    instrument: str
    doubt: float
    sampled: bool


class Line(NamedTuple):
    """Level = `offset` + `scale` × gravity, all in points; at gravity `pivot` known within `sd` points.

    A gravity is what the surest of the hand instruments would read; by how much that itself may be wrong is `error_sd`.

    >>> Line(1.0, 1.05, 0.03, 20.0, 0.7).gravity(22.0)
    20.0
    """

    offset: float
    scale: float
    scale_sd: float
    pivot: float
    sd: float
    error_sd: float = 0.0

    def gravity(self, level: float) -> float:
        """[points] of the beer of which the sensor reads `level` [points]."""
        return (level - self.offset) / self.scale


class Settled(NamedTuple):
    """What samples and sensor come to when they are held against each other.

    Attributes:
        line:      that counts now; where it is open who is wrong, the one by which the beer's gravity is highest.
        odd:       places, in the list of pairs, of the samples that are left out as wrong.
        shifted:   whether samples agree against what the sensor said before them, so that it has shifted.
        disputed:  whether it is open who is wrong.
    """

    line: Line
    odd: tuple[int, ...]
    shifted: bool
    disputed: bool


class _Case(NamedTuple):
    """That these are wrong: samples, and the sensor before these pairs, by their places in the list."""

    odd: tuple[int, ...]
    shifts: tuple[int, ...]
    chance: float


def settled(pairs: Sequence[Pair]) -> Settled:
    """Which of `pairs`, in order of time and at least one a sample, hold, and the line through those.

    Each sample may be wrong, and so may the sensor before it: at most two such things are taken to have happened. Where
    what is likely leaves the present gravity in doubt, that stays open; so one sample against a sensor does.
    """
    pairs = _one_instrument(pairs)
    nothing = _Case((), (), 1.0)
    _, score = _fitted(pairs, nothing)
    if len(pairs) == 1 or np.max(np.abs(score.apart)) < _FITS_SDS:
        return Settled(_without(pairs, nothing), (), False, False)
    cases = list(_cases(pairs))
    fits = [_fitted(pairs, case) for case in cases]
    logs = np.array([math.log(case.chance) + fit.log_evidence for case, (_, fit) in zip(cases, fits, strict=True)])
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    best = int(np.argmax(weights))
    level = pairs[-1].level
    gravities = np.array([line.gravity(level) for line, _ in fits])
    doubt = weights[np.abs(gravities - gravities[best]) > _MATTERS_POINTS].sum()
    if doubt > _DOUBT or not _is_carried(cases[best], len(pairs)) or _is_warning(pairs, cases[best], fits[best][0]):
        with_newest = [i for i, case in enumerate(cases) if len(pairs) - 1 not in case.odd]
        contend = {best, max(with_newest, key=weights.__getitem__), *np.flatnonzero(weights >= _CONTENDS).tolist()}
        highest = max(contend, key=gravities.__getitem__)
        return Settled(_without(pairs, cases[highest]), (), False, True)
    case = cases[best]
    return Settled(_without(pairs, case), case.odd, bool(case.shifts), False)


def contradicts_from(sd: float) -> float:
    """[points] By which a sample must differ from what is known within `sd` [points], its own included, to open a
    dispute: about three standard deviations, and at least 3 points.

    >>> round(contradicts_from(1.0), 1), round(contradicts_from(2.3), 1)
    (3.0, 6.1)
    """
    wide = math.hypot(sd, _WRONG_SD)
    likelier = _DOUBT / (_WRONG_CHANCE - _DOUBT * 2.0 * _WRONG_CHANCE)  # than both right, with weight on either wrong
    squares = 2.0 * math.log(likelier * wide / sd) / (1.0 - (sd / wide) ** 2)
    return max(3.0, sd * math.sqrt(max(squares, 0.0)))


def _one_instrument(pairs: Sequence[Pair]) -> Sequence[Pair]:
    """Who owns a hydrometer measured the original gravity with it."""
    first = next(pair for pair in pairs if pair.sampled)
    return [
        pair if pair.sampled else pair._replace(instrument=first.instrument, error_sd=first.error_sd) for pair in pairs
    ]


def _is_carried(case: _Case, count: int) -> bool:
    """Whether two measurements at least stand against each that is left out."""
    since = max(case.shifts, default=0)
    return not (case.odd or case.shifts) or count - since - sum(1 for i in case.odd if i >= since) >= 2


def _is_warning(pairs: Sequence[Pair], case: _Case, line: Line) -> bool:
    """Whether the newest sample, which lies high, would be left out on the word of fewer than two others of this rest.

    A sample that went wrong most often reads high, and so does the only one that finds a sensor that reads low.
    """
    newest = len(pairs) - 1
    if newest not in case.odd or pairs[-1].gravity <= line.gravity(pairs[-1].level):
        return False
    standing = [pair for i, pair in enumerate(pairs) if pair.sampled and i not in case.odd]
    return sum(1 for pair in standing if abs(pair.level - pairs[-1].level) <= SAME_REST_POINTS) < 2


def _cases(pairs: Sequence[Pair]) -> Iterator[_Case]:
    """Nothing wrong, one thing, or two."""
    single: list[_Case] = []
    for i, pair in enumerate(pairs):
        if pair.sampled:
            single.append(_Case((i,), (), _WRONG_CHANCE))
        if i:
            before = pairs[i - 1]
            hours = (pair.at_us - before.at_us) / HOUR_US
            chance = (0.0 if before.sampled else _SHIFT_CHANCE) + _SHIFT_PER_H * max(hours, 1.0)
            single.append(_Case((), (i,), min(chance, _MOST_CHANCE)))
    yield _Case((), (), 1.0)
    for number in (1, 2):
        for wrong in combinations(single, number):
            odd = tuple(i for one in wrong for i in one.odd)
            shifts = tuple(i for one in wrong for i in one.shifts)
            if len(odd) < len(pairs):  # something must be left to go by
                yield _Case(odd, shifts, math.prod([one.chance for one in wrong]))


class _Score(NamedTuple):
    """How well a case explains the pairs; and by how many standard deviations each lies from what the others say."""

    log_evidence: float
    apart: FloatArray


def _without(pairs: Sequence[Pair], case: _Case) -> Line:
    """The line through what is left: what is left out has no pull on it.

    Its scale is what all of them say, but its offset what the hand samples of a beer at rest say: they outrank the
    sensor's start.
    """
    kept = [i for i in range(len(pairs)) if i not in case.odd]
    shifts = tuple(sum(1 for i in kept if i < shift) for shift in case.shifts)
    left, case = [pairs[i] for i in kept], _Case((), shifts, 1.0)
    line = _fitted(left, case)[0]
    if not any(pair.sampled for pair in left):
        return line
    surest = min((pair for pair in left if pair.sampled), key=lambda pair: pair.error_sd)
    left = [pair._replace(error_sd=0.0) if pair.instrument == surest.instrument else pair for pair in left]
    if all(pair.sd > _SURE_SD for pair in left if pair.sampled):
        line = _fitted(left, case)[0]
    else:
        line = _fitted([p if p.sampled else p._replace(sd=_OUTRANKED_SD) for p in left], case, line)[0]
    return line._replace(error_sd=surest.error_sd)


_UNKNOWN = Line(0.0, 1.0, SCALE_SD, 0.0, _OFFSET_SD)


def _fitted(pairs: Sequence[Pair], case: _Case, before: Line = _UNKNOWN) -> tuple[Line, _Score]:
    """Gaussian regression, with a prior, of how much too high the sensor reads on gravity; errors of one cause are one.

    The hand's errors count as if the scale were 1, which is right within a thirtieth of them.

    Args:    before: the scale that is likely, and how likely.
    """
    gravity = np.array([pair.gravity for pair in pairs])
    above = np.array([pair.level for pair in pairs]) - before.scale * gravity
    terms = np.stack([np.ones(len(pairs)), gravity], axis=1)
    prior = np.diag([_OFFSET_SD**2, before.scale_sd**2])
    cross = prior @ terms.T
    joint = terms @ cross + _errors(pairs, case)
    inverse = np.linalg.inv(joint)
    pulled = inverse @ above
    offset, steeper = (cross @ pulled).tolist()
    (var, between), (_, scale_var) = (prior - cross @ inverse @ cross.T).tolist()
    pivot = -between / scale_var
    scale = before.scale + steeper
    line = Line(offset, scale, math.sqrt(scale_var), pivot, math.sqrt(max(var + between * pivot, 0.0)) / scale)
    log_evidence = -0.5 * float(above @ pulled + np.linalg.slogdet(joint)[1])
    return line, _Score(log_evidence, np.asarray(pulled / np.sqrt(np.diag(inverse))))


def _errors(pairs: Sequence[Pair], case: _Case) -> FloatArray:
    """[points²] Covariance of what may be wrong with the pairs, as seen from the last of them."""
    last = pairs[-1]
    wandered = np.array([(last.at_us - pair.at_us) / HOUR_US * _WANDER_PER_H - pair.doubt for pair in pairs])
    for shift in case.shifts:
        wandered[:shift] += _WRONG_SD**2
    joint = np.minimum.outer(wandered, wandered) + last.doubt
    for i, pair in enumerate(pairs):
        for j in range(len(pairs)):
            if pairs[j].instrument == pair.instrument:
                joint[i, j] += pair.error_sd * pairs[j].error_sd
        joint[i, i] += pair.sd**2 + (_WRONG_SD**2 if i in case.odd else 0.0)
    return np.asarray(joint)
