"""When a hand sample would tell most: what opening the vessel is worth, and when one opening serves for two."""

from __future__ import annotations

from lullwort.detector import BatchJudge, Verdict
from lullwort.detector.watch import VesselWatch
from lullwort.forecast.shapes import SampleTime, Span
from lullwort.forecast.usual import sensor_sd

__all__ = ["best_sample"]

_STALLED = "it tells a beer that has stopped from a sensor that reads high"
_CONTRADICTED = "a second one tells whether the sensor or the first is wrong"
_PRESSED = "it tells what the pressure lifts the reading by"
_START = "while nothing has fallen it still gives the original gravity, and what the sensor reads too high"
_DECIDES = "the sensor cannot tell whether this is low enough, and a sample can"
_ONE_OPENING = "one opening then gives the final gravity and confirms the sensor"


def best_sample(judge: BatchJudge, verdict: Verdict, ready: Span | None) -> SampleTime | None:
    """The next moment at which a hand sample would tell most; None where none is worth an opening.

    Args:
        ready: when the verdict will be `ready`; None where not known.
    """
    watch, now_us = judge.watch, judge.closed_to_us
    if verdict in ("ready", "packaged") or not watch.trend.started:
        return None
    if watch.contradicted:
        return SampleTime(now_us, _CONTRADICTED)
    # Sealed while it falls it may still come down by itself, and an opening would let the pressure out.
    if watch.under_pressure and verdict == "unclear":
        return SampleTime(now_us, _PRESSED)
    if verdict == "stalled":
        return SampleTime(now_us, _STALLED)
    if watch.offset.original is None and not watch.has_fallen:
        return SampleTime(now_us, _START)
    if ready is None:
        return None
    if not watch.in_main_fall and _is_doubtful(watch):
        return SampleTime(now_us, _DECIDES)
    return SampleTime(ready.about_us, _ONE_OPENING)


def _is_doubtful(watch: VesselWatch) -> bool:
    """Whether the beer seems to end above what was expected, and may for all the sensor knows end too high."""
    if watch.expected is None or watch.offset.sampled_us is not None:
        return False
    falls_to = watch.gravity - watch.trend.bank.left()
    return falls_to > watch.expected.high and falls_to + sensor_sd(watch) > watch.expected.ceiling
