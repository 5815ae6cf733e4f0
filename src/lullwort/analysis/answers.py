"""A sensor's answer to temperature: what the log of one batch teaches of it, and what several batches come to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Literal, NamedTuple

import msgspec
import numpy as np

from lullwort.analysis.answerfit import PieceAnswer, fit_answer
from lullwort.analysis.course import CourseHour, hourly_course
from lullwort.analysis.resting import Piece, resting_pieces
from lullwort.explained import COMMON_PRACTICE, OURS, Explained
from lullwort.records import AnswerInBatch, Batch, TemperatureAnswer, VesselReadings

__all__ = ["ANSWER_EXPLAINED", "Lesson", "Unusable", "WhyNot", "answer_of", "answers_in"]

WhyNot = Literal["steady", "moving", "odd"]
"""Why a batch teaches nothing of a sensor: temperature hardly moved while gravity rested; gravity itself moved
meanwhile; its hours fit nothing."""

Unusable = Literal["vague", "disagree"]
"""Why what was learned is not to go by: not known well enough, or the batches contradict each other."""

_FALLS_MOST = 0.25
# [points/day] With more, what the yeast makes of the temperature would be taken for the sensor's answer.
_LEAST_SD = 0.02
# [points/K] However long the log: the liquid's own correction rests on an original gravity that was entered.
_BENDS_K, _BEND_SDS, _BEND_LEAST = 8.0, 3.0, 0.1
_LEAST_H = 12
_KNOWN_SDS, _SMALL = 2.0, 0.25
_WORST_SD = 0.3
_DISAGREE, _DISAGREE_LEAST = 2.5, 0.15

ANSWER_EXPLAINED = (
    Explained(
        "answer to temperature",
        "generalized least squares of gravity, once it rests, on the temperature that the sensor feels 0 to 4 h late, "
        "beside a free level, slope and pace of the yeast, averaged over how the noise may be made up",
        OURS,
    ),
    Explained(
        "answer from several batches",
        "their mean, each weighed by 1/sd², its sd widened by the root of chi²/(n - 1) where they differ by more than "
        "theirs",
        "[Birge1932]",
    ),
    Explained(
        "what is taken off",
        "answer · (temperature - reference), no further than 2 °C beyond where it was learned",
        OURS,
    ),
    Explained("size of such answers", "up to 0.6 points/°C either way", COMMON_PRACTICE),
)


class Lesson(NamedTuple):
    """What a batch teaches of one of its sensors: an answer, or why there is none."""

    sensor: str
    answer: AnswerInBatch | None
    why_not: WhyNot | None


class _Part(NamedTuple):
    found: PieceAnswer
    low_c: float
    high_c: float
    hours: int


def answers_in(batch: Batch, readings: VesselReadings, as_of_us: int) -> tuple[Lesson, ...]:
    """What a batch teaches of each sensor that spoke for its vessel, by name.

    Args:    readings: those that the batch owns. as_of_us: [µs] up to when its log goes.
    """
    # What was learned before is not taken off, or it would be learned that there is nothing to learn.
    plain = tuple(msgspec.structs.replace(traits, answer=None) for traits in batch.sensors)
    course = list(hourly_course(msgspec.structs.replace(batch, sensors=plain), readings, as_of_us))
    pieces = list(resting_pieces(course, batch.events))
    return tuple(
        _lesson(batch, sensor, [piece for piece in pieces if piece.sensor == sensor]) for sensor in _speakers(course)
    )


def answer_of(
    answers: Sequence[AnswerInBatch], reference_c: float, learned_us: int
) -> TemperatureAnswer | Unusable | None:
    """What several batches come to; why they come to nothing that one may go by; None where there are none.

    Those that were corrected otherwise than the last of them count nothing.
    Args:    reference_c: [°C] at which nothing is to be taken off. learned_us: [µs].
    """
    if not answers:
        return None
    last = answers[-1]
    alike = [a for a in answers if (a.corrected, a.expansion_per_k) == (last.corrected, last.expansion_per_k)]
    mean, sd, birge = _pooled([a.points_per_k for a in alike], [a.sd for a in alike])
    apart = max(a.points_per_k for a in alike) - min(a.points_per_k for a in alike)
    if birge > _DISAGREE and apart > _DISAGREE_LEAST:
        return "disagree"
    known = abs(mean) >= _KNOWN_SDS * sd and sd <= _WORST_SD
    if not known and abs(mean) + _KNOWN_SDS * sd > _SMALL:
        return "vague"
    return TemperatureAnswer(
        points_per_k=round(mean, 4), sd=round(sd, 4), reference_c=reference_c, hours=sum(a.hours for a in alike),
        learned_us=learned_us, low_c=min(a.low_c for a in alike), high_c=max(a.high_c for a in alike),
        batches=len(alike), corrected=last.corrected, expansion_per_k=last.expansion_per_k,
    )  # fmt: skip


def _speakers(course: Sequence[CourseHour]) -> list[str]:
    return sorted({hour.sensor for hour in course if hour.sensor is not None and hour.points is not None})


def _lesson(batch: Batch, sensor: str, pieces: Sequence[Piece]) -> Lesson:
    if not pieces:
        return Lesson(sensor, None, "steady")
    fits = [_parts(piece) for piece in pieces]
    parts = [part for some in fits for part in some]
    if not parts:
        return Lesson(sensor, None, "odd")
    resting = [part for part in parts if abs(part.found.falls_per_day) <= _FALLS_MOST]
    if not resting:
        return Lesson(sensor, None, "moving")
    mean, sd, _ = _pooled([p.found.points_per_k for p in resting], [p.found.sd for p in resting])
    return Lesson(
        sensor,
        AnswerInBatch(
            batch=batch.name, points_per_k=round(mean, 4), sd=round(math.hypot(sd, _LEAST_SD), 4),
            low_c=round(min(p.low_c for p in resting), 2), high_c=round(max(p.high_c for p in resting), 2),
            hours=sum(p.hours for p in resting), corrected=batch.gravity_reported == "corrected",
            expansion_per_k=batch.sensor_expansion_per_k,
        ),
        None,
    )  # fmt: skip


def _parts(piece: Piece) -> Iterator[_Part]:
    """What a piece shows; of one that bends, only its warm half, in which beer ferments."""
    whole = _part(piece)
    if whole is None:
        return
    if whole.high_c - whole.low_c > _BENDS_K:
        middle_c = 0.5 * (whole.low_c + whole.high_c)
        warm, cold = (_part(_where(piece, of)) for of in (piece.temp_c >= middle_c, piece.temp_c <= middle_c))
        if warm is not None and cold is not None and _bends(warm.found, cold.found):
            yield warm
            return
    yield whole


def _part(piece: Piece) -> _Part | None:
    if len(piece.hours) < _LEAST_H:
        return None
    found = fit_answer(piece.hours, piece.points, piece.temp_c, piece.resolution)
    if found is None:
        return None
    return _Part(found, float(piece.temp_c.min()), float(piece.temp_c.max()), len(piece.hours))


def _where(piece: Piece, of: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> Piece:
    return Piece(piece.sensor, piece.hours[of], piece.points[of], piece.temp_c[of], piece.resolution)


def _bends(one: PieceAnswer, other: PieceAnswer) -> bool:
    apart = abs(one.points_per_k - other.points_per_k)
    return apart > _BEND_LEAST and apart > _BEND_SDS * math.hypot(one.sd, other.sd)


def _pooled(values: Sequence[float], sds: Sequence[float]) -> tuple[float, float, float]:
    """Weighted mean, its standard deviation, and Birge's ratio, by which that is widened where it exceeds 1.

    Source: [Birge1932].

    >>> [round(x, 3) for x in _pooled([0.2, 0.4], [0.1, 0.1])]
    [0.3, 0.1, 1.414]
    """
    weights = [1.0 / (sd * sd) for sd in sds]
    total = sum(weights)
    mean = sum(w * v for w, v in zip(weights, values, strict=True)) / total
    chi2 = sum(w * (v - mean) ** 2 for w, v in zip(weights, values, strict=True))
    ratio = math.sqrt(chi2 / (len(values) - 1)) if len(values) > 1 else 0.0
    return mean, math.sqrt(1.0 / total) * max(1.0, ratio), ratio
