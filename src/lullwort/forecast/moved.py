"""Why a forecast is another than the day before."""

from __future__ import annotations

from typing import NamedTuple

from lullwort.detector import BatchJudge, Verdict
from lullwort.forecast.shapes import Forecast, Level, Span
from lullwort.records import HOUR_US

__all__ = ["Standing", "why_moved"]

_LEAST_US = 12 * HOUR_US
_SHARE = 0.25
# Of the time that is left: further off a day more or less says nothing.
_LEAST_K, _LEAST_POINTS = 1.5, 1.5


class Standing(NamedTuple):
    """What a forecast rested on."""

    as_of_us: int
    ready: Span | None
    end: Level | None
    verdict: Verdict
    in_main_fall: bool
    has_fallen: bool
    restarted_us: int
    restarted_by: str
    sampled_us: int | None
    temp_c: float | None
    interrupted_us: int | None = None

    @classmethod
    def of(cls, judge: BatchJudge, verdict: Verdict, forecast: Forecast) -> Standing:
        """That of this forecast."""
        watch = judge.watch
        return cls(
            forecast.as_of_us, forecast.ready, forecast.end, verdict, watch.in_main_fall, watch.has_fallen,
            watch.clock.restarted_us, watch.clock.restarted_by, watch.offset.sampled_us, watch.warmth.temp_c,
            watch.clock.interrupted_us,
        )  # fmt: skip


def why_moved(before: Standing | None, now: Standing) -> str:
    """Half a sentence; empty where it has not moved by more than such forecasts do, or there is none to compare."""
    if before is None:
        return ""
    if before.ready is not None and now.ready is not None:
        later_us = now.ready.about_us - before.ready.about_us
        if abs(later_us) > max(_LEAST_US, _SHARE * (before.ready.about_us - before.as_of_us)):
            by = "later" if later_us > 0 else "sooner"
            return f"{by}, for {_because(before, now, later=later_us > 0)}"
    if before.end is None or now.end is None or abs(now.end.about - before.end.about) <= _LEAST_POINTS:
        return ""
    sampled = now.sampled_us != before.sampled_us
    because = "a hand sample was taken" if sampled else "the beer itself tells more of it now"
    return f"its final gravity {'higher' if now.end.about > before.end.about else 'lower'}, for {because}"


def _because(before: Standing, now: Standing, *, later: bool) -> str:
    # What can only have held it up is no reason for its being sooner, nor the other way round.
    if later and now.restarted_us > before.restarted_us and now.restarted_by != "pitched":
        return f"the proof began anew ({now.restarted_by})"
    if later and now.interrupted_us is not None and now.interrupted_us != before.interrupted_us:
        return "a gap in the log asks for more proof"
    if now.sampled_us != before.sampled_us:
        return "a hand sample was taken"
    if now.has_fallen and not before.has_fallen:
        return "it has begun to ferment"
    warmer_k = 0.0 if before.temp_c is None or now.temp_c is None else now.temp_c - before.temp_c
    if (-warmer_k if later else warmer_k) >= _LEAST_K:
        return f"it has become {'colder' if later else 'warmer'}"
    if before.in_main_fall and not now.in_main_fall:
        return "the main fall is over, and the tail itself tells now"
    if now.in_main_fall:
        return f"gravity falls {'more slowly' if later else 'faster'} than was foreseen"
    return f"what may be left has shrunk {'more slowly' if later else 'faster'} than was foreseen"
