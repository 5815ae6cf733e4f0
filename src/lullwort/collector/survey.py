"""What a log holds, vessel by vessel: span, step, gaps, ranges, rows out of order or repeated."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from lullwort.records import Block
from lullwort.units import FloatArray

__all__ = ["LogSurvey", "VesselSurvey"]

_GAP_STEPS = 3.5
"""A pause longer than so many usual steps is a gap: a reading or two lost on the way are none."""


class VesselSurvey(NamedTuple):
    """What a log has of one vessel.

    Attributes:
        readings: how many.
        first_us, last_us: [µs since the epoch].
        step_s:   [s] usual time between readings of one sensor; NaN with fewer than two.
        gaps:     pauses longer than 3.5 steps, as (from, to) [µs], in order of time.
        repeated: readings at an instant at which their sensor has another.
        unsorted: whether some stand before earlier ones.
        gravity, temperature: lowest and highest given, in the log's units; NaN where none is.
    """

    readings: int
    first_us: int
    last_us: int
    step_s: float
    gaps: tuple[tuple[int, int], ...]
    repeated: int
    unsorted: bool
    gravity: tuple[float, float]
    temperature: tuple[float, float]


@dataclass
class LogSurvey:
    """Takes the blocks of a log, keeps their times."""

    _times: dict[tuple[str, str], list[NDArray[np.int64]]] = field(default_factory=dict)
    _ranges: dict[tuple[str, str], tuple[float, float]] = field(default_factory=dict)

    def add(self, block: Block) -> None:
        """All readings of `block`."""
        for code, vessel in enumerate(block.vessels):
            of_vessel = block.vessel_codes == code
            for column in ("gravity", "temperature"):
                self._widen(vessel, column, getattr(block, column)[of_vessel])
            for sensor_code in np.unique(block.sensor_codes[of_vessel]).tolist():
                times = block.at_us[of_vessel & (block.sensor_codes == sensor_code)]
                self._times.setdefault((vessel, block.sensors[sensor_code]), []).append(times)

    def vessels(self) -> dict[str, VesselSurvey]:
        """What was taken, by vessel in order of its id."""
        return {vessel: self._of(vessel) for vessel in sorted({vessel for vessel, _ in self._times})}

    def _widen(self, vessel: str, column: str, values: FloatArray) -> None:
        given = values[np.isfinite(values)]
        if len(given):
            low, high = self._ranges.get((vessel, column), (np.inf, -np.inf))
            self._ranges[vessel, column] = min(low, float(given.min())), max(high, float(given.max()))

    def _of(self, vessel: str) -> VesselSurvey:
        as_found = [np.concatenate(parts) for (of, _), parts in self._times.items() if of == vessel]
        together = np.sort(np.concatenate(as_found))
        steps = np.concatenate([np.diff(np.sort(times)) for times in as_found])
        moving = steps[steps > 0]
        step_us = float(np.median(moving)) if len(moving) else np.nan
        pauses = np.flatnonzero(np.diff(together) > _GAP_STEPS * step_us)
        nothing = (np.nan, np.nan)
        return VesselSurvey(
            len(together),
            int(together[0]),
            int(together[-1]),
            step_us / 1e6,
            tuple((int(together[i]), int(together[i + 1])) for i in pauses.tolist()),
            int(np.count_nonzero(steps == 0)),
            any(bool(np.any(np.diff(times) < 0)) for times in as_found),
            self._ranges.get((vessel, "gravity"), nothing),
            self._ranges.get((vessel, "temperature"), nothing),
        )
