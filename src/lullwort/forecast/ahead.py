"""When the judge would say `ready` if the log went on as foreseen: it is shown the hours to come."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import msgspec

from lullwort.analysis import GravityCorrection, Hour, SensorNoise
from lullwort.detector import BatchJudge
from lullwort.records import HOUR_US

__all__ = ["hours_to_ready"]

_LONGEST_H = 60 * 24


@dataclass
class _KnownNoise(SensorNoise):
    """Noise that is not learned any further: the hours to come are shown without any."""

    white_red: tuple[float, float] = (0.0, 0.0)

    def update(self, y: float | None, curved: bool) -> None:
        """Learn nothing."""

    def forget(self) -> None:
        """Forget nothing."""

    def variances(self) -> tuple[float, float]:
        """[points²] White and red, as they were known."""
        return self.white_red


def hours_to_ready(judge: BatchJudge, course: Callable[[float], float]) -> int | None:
    """[h] until `ready`, from the hour that `judge` closed last; None where that is over two months away.

    Args:
        judge: left as it is; it must have heard the sensor.
        course: [points] level as the sensor sees it, at [yeast hours since the pitch].
    """
    ahead = _twin(judge)
    watch = ahead.watch
    end_us = ahead.closed_to_us
    for hours in range(1, _LONGEST_H + 1):
        end_us += HOUR_US
        level = course(watch.yeast_age_h + watch.warmth.yeast_h)
        ahead.close_hour(_hour(end_us, level, watch.warmth.temp_c))
        if ahead.is_ready:
            return hours
    return None


def _twin(judge: BatchJudge) -> BatchJudge:
    """A judge that knows the same, and believes what it is shown."""
    twin, noise = judge.twin(), judge.watch.trend.noise
    twin.watch.trend.noise = _KnownNoise(noise.resolution, white_red=noise.variances())
    corrected = msgspec.structs.replace(judge.batch, gravity_reported="corrected", sensors=())
    twin.watch.correction = GravityCorrection(corrected, judge.watch.correction.added_points)
    return twin


def _hour(end_us: int, level: float, temp_c: float | None) -> Hour:
    return Hour(
        end_us=end_us, gravity=1.0 + level / 1000.0, temperature_c=temp_c, used=1, passed_over=(),
        sensor_changed=False, resolution_points=0.0, same_since_us=end_us - 1, last_used_us=end_us - 1,
    )  # fmt: skip
