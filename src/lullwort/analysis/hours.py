"""Readings gathered by clock hour: one gravity and one temperature an hour, whatever the sensor's interval."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

import msgspec

from lullwort.analysis.screen import reason_to_pass_over
from lullwort.errors import OutOfOrderError
from lullwort.records import HOUR_US, Reading, format_utc

__all__ = ["Hour", "HourGatherer", "hour_end"]

_SPIKE_POINTS = 8.0
_LEAD_KEPT_US = 6 * HOUR_US


def hour_end(at_us: int) -> int:
    """End [µs] of the clock hour (UTC) in which `at_us` lies; a full hour opens the next one.

    >>> hour_end(0) == HOUR_US, hour_end(HOUR_US) == 2 * HOUR_US
    (True, True)
    """
    return (at_us // HOUR_US + 1) * HOUR_US


class Hour(msgspec.Struct, frozen=True, gc=False):
    """What one clock hour said.

    Attributes:
        end_us:  [µs] end of the hour; everything here is dated before it.
        gravity: [SG] median as reported, not corrected for temperature; None if no usable reading came.
        temperature_c: [°C] median; None if none came.
        used:    readings behind `gravity`.
        sensor_changed: another sensor than in the last hour with readings speaks for the vessel from now on.
    """

    end_us: int
    gravity: float | None
    temperature_c: float | None
    used: int
    sensor_changed: bool


def _median(values: list[float]) -> float:
    values.sort()
    middle = len(values) // 2
    return values[middle] if len(values) % 2 else 0.5 * (values[middle - 1] + values[middle])


@dataclass
class HourGatherer:
    """Collects the readings of one vessel in time order and closes them hour by hour.

    Where several sensors float in one vessel, the one that spoke first leads until it has been silent for six hours:
    their offsets differ, so mixing them would look like movement. Holds the readings of one hour at most.
    """

    used: int = 0
    passed_over: Counter[str] = field(default_factory=Counter)
    resolution_points: float = 0.0
    """The smallest step between different gravities that this sensor has shown; 0 until enough were seen."""
    same_since_us: int | None = None
    """Since when gravity and temperature have both been exactly as reported last."""
    last_used_us: int | None = None
    _readings: list[Reading] = field(default_factory=list)
    _open_end_us: int | None = None
    _lead: str | None = None
    _lead_heard_us: int = 0
    _last_pair: tuple[float | None, float | None] | None = None
    _steps_seen: int = 0
    _smallest_step: float = 1000.0

    def add(self, reading: Reading) -> None:
        """Take a reading of the open hour. Raises OutOfOrderError for one of an hour already closed."""
        if self._open_end_us is not None and reading.at_us < self._open_end_us - HOUR_US:
            raise OutOfOrderError(
                f"reading at {format_utc(reading.at_us)} lies before the open hour, which ends "
                f"{format_utc(self._open_end_us)}"
            )
        self._readings.append(reading)

    def close(self, end_us: int) -> Hour:
        """Close the hour that ends at `end_us` [µs] and say what it held."""
        self._open_end_us = end_us + HOUR_US
        readings, self._readings = self._readings, []
        if not readings:
            return Hour(end_us, None, None, 0, sensor_changed=False)
        usable = []
        temps = []
        for reading in readings:
            reason = reason_to_pass_over(reading)
            if reason is None:
                usable.append(reading)
            else:
                self.passed_over[reason] += 1
                if reason == "no gravity" and reading.temperature_c is not None:
                    temps.append(reading.temperature_c)
        changed = self._choose_lead(usable, end_us)
        gravities: list[float] = []
        for reading in usable:
            if reading.sensor != self._lead:
                self.passed_over["another sensor leads in this vessel"] += 1
                continue
            if reading.temperature_c is not None:
                temps.append(reading.temperature_c)
            gravity = reading.gravity
            assert gravity is not None
            gravities.append(gravity)
            self._note_pair(gravity, reading)
        gravity_median = self._median_without_spikes(gravities)
        self.used += len(gravities)
        return Hour(end_us, gravity_median, _median(temps) if temps else None, len(gravities), changed)

    def _choose_lead(self, usable: list[Reading], end_us: int) -> bool:
        if any(r.sensor == self._lead for r in usable):
            self._lead_heard_us = end_us
            return False
        if not usable or (self._lead is not None and end_us - self._lead_heard_us < _LEAD_KEPT_US):
            return False
        changed = self._lead is not None
        self._lead, self._lead_heard_us = usable[0].sensor, end_us
        self._last_pair = None
        return changed

    def _note_pair(self, gravity: float, reading: Reading) -> None:
        pair = (gravity, reading.temperature_c)
        if self._last_pair is None or pair != self._last_pair:
            self.same_since_us = reading.at_us
        if self._last_pair is not None and self._last_pair[0] is not None:
            step = round(abs(gravity - self._last_pair[0]) * 1000.0, 3)
            if step > 0.0:
                self._steps_seen += 1
                self._smallest_step = min(self._smallest_step, step)
                if self._steps_seen >= 8:
                    self.resolution_points = self._smallest_step
        self._last_pair = pair
        self.last_used_us = reading.at_us

    def _median_without_spikes(self, gravities: list[float]) -> float | None:
        """Median; readings far from it are counted as passed over (it hardly moves without them)."""
        if not gravities:
            return None
        middle = _median(gravities)
        near = [g for g in gravities if abs(g - middle) * 1000.0 <= _SPIKE_POINTS]
        spikes = len(gravities) - len(near)
        if 0 < spikes < len(gravities) / 2:
            self.passed_over["lone spike"] += spikes
            self.used -= spikes
            return _median(near)
        return middle
