"""Readings gathered by clock hour: one gravity and one temperature an hour, whatever the sensor's interval."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple

import msgspec
import numpy as np
from numpy.typing import NDArray

from lullwort.analysis.screen import WHY_PASSED_OVER, reasons_to_pass_over, without_gravity
from lullwort.errors import OutOfOrderError
from lullwort.records import HOUR_US, VesselReadings, format_utc
from lullwort.units import FloatArray

__all__ = ["WHY_LEFT_OUT", "Gathered", "Hour", "HourGatherer", "hour_end"]

_SPIKE_POINTS = 8.0
_LEAD_KEPT_US = 6 * HOUR_US
_STEPS_TO_TELL = 8
_NEVER = -(2**63)
LONE_SPIKE = "lone spike"
WHY_LEFT_OUT = (*WHY_PASSED_OVER, "another sensor leads in this vessel", LONE_SPIKE)
"""Reasons by number, 0 for none: those for which a reading says nothing, and those for which its hour leaves it out."""
_NOT_LEADING, _SPIKE = len(WHY_LEFT_OUT) - 2, len(WHY_LEFT_OUT) - 1

Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


def hour_end(at_us: int) -> int:
    """End [µs] of the clock hour (UTC) in which `at_us` lies; a full hour opens the next one.

    >>> hour_end(0) == HOUR_US, hour_end(HOUR_US) == 2 * HOUR_US
    (True, True)
    """
    return (at_us // HOUR_US + 1) * HOUR_US


class Hour(msgspec.Struct, frozen=True, gc=False):
    """What one clock hour with readings said.

    Attributes:
        end_us:  [µs] end of the hour; everything here is dated before it.
        gravity: [SG] median as reported, not corrected for temperature; None if no usable reading came.
        temperature_c: [°C] median; None if none came.
        used:    readings behind `gravity`.
        passed_over: (reason, how many) of the others.
        sensor_changed: another sensor than in the last hour with readings speaks for the vessel from now on.
        resolution_points: the smallest step between different gravities that this sensor has shown; 0 until
                 enough were seen.
        same_since_us: [µs] since when gravity and temperature have both been exactly as in the last usable reading,
        last_used_us:  [µs] and when that was; None before the first.
        sensor:  id of the one that speaks for the vessel; None before any has.
    """

    end_us: int
    gravity: float | None
    temperature_c: float | None
    used: int
    passed_over: tuple[tuple[str, int], ...]
    sensor_changed: bool
    resolution_points: float
    same_since_us: int | None
    last_used_us: int | None
    sensor: str | None = None


class Gathered(NamedTuple):
    """Hours that are closed, and the readings of which they were made.

    Attributes:
        hours: those that held a reading, in order.
        readings: all that lie in them, in order of time.
        why:   of each of these its place in WHY_LEFT_OUT; 0 where it speaks for its hour.
    """

    hours: list[Hour]
    readings: VesselReadings
    why: NDArray[np.int8]


class _Leads(NamedTuple):
    """For each hour the code of the sensor that speaks (-1: none here), and whether it began or took over then."""

    code: Ints
    begins: Flags
    takes_over: Flags


class _Follow(NamedTuple):
    """What the leading sensor has shown up to the end of each hour; see `Hour`. _NEVER stands for None."""

    resolution_points: FloatArray
    same_since_us: Ints
    last_used_us: Ints


@dataclass
class HourGatherer:
    """Collects the readings of one vessel in time order and closes them hour by hour, or many hours at once.

    Where several sensors float in one vessel, the one that spoke first leads until it has been silent for six hours:
    their offsets differ, so mixing them would look like movement. Holds what was added since it last closed; how
    the readings are cut changes nothing.
    """

    _waiting: list[VesselReadings] = field(default_factory=list)
    _newest_us: int | None = None
    _lead: str | None = None
    _lead_heard_us: int = 0
    _last_gravity: float = math.nan
    _last_temp_c: float = math.nan
    _last_used_us: int = _NEVER
    _same_since_us: int = _NEVER
    _steps_seen: int = 0
    _smallest_step: float = math.inf

    def add(self, readings: VesselReadings) -> None:
        """Take readings in time order. Raises OutOfOrderError for one before what was added or closed already."""
        if not len(readings):
            return
        first_us = int(readings.at_us[0])
        if self._newest_us is not None and first_us < self._newest_us:
            raise OutOfOrderError(
                f"reading at {format_utc(first_us)} lies before what was gathered, up to {format_utc(self._newest_us)}"
            )
        if np.any(np.diff(readings.at_us) < 0):
            raise OutOfOrderError(f"readings from {format_utc(first_us)} on are not in order of time")
        self._newest_us = int(readings.at_us[-1])
        self._waiting.append(readings)

    def close(self, to_us: int) -> list[Hour]:
        """Close all hours that end at or before `to_us` [µs]; gives those that held a reading, in order."""
        return self.close_telling(to_us).hours

    def close_telling(self, to_us: int) -> Gathered:
        """As `close`, and tells what became of each reading in these hours."""
        boundary_us = to_us // HOUR_US * HOUR_US
        self._newest_us = boundary_us if self._newest_us is None else max(self._newest_us, boundary_us)
        if not self._waiting:
            return _NOTHING
        waiting = VesselReadings.joined(self._waiting)
        cut = int(np.searchsorted(waiting.at_us, boundary_us))
        self._waiting = [waiting[cut:]] if cut < len(waiting) else []
        return self._gather(waiting[:cut]) if cut else _NOTHING

    def _gather(self, readings: VesselReadings) -> Gathered:
        number = readings.at_us // HOUR_US
        opens = np.diff(number, prepend=number[0] - 1) > 0
        hour = np.cumsum(opens) - 1
        ends_us = (number[opens] + 1) * HOUR_US
        count = len(ends_us)
        why = reasons_to_pass_over(readings.gravity, readings.temperature_c, readings.unusable)
        # The code -1 finds the last of these: whoever spoke before, for hours in which none of `readings` did.
        names = (*readings.sensors, self._lead)
        leads = self._choose_leads(readings, hour, why == 0, ends_us)
        led = (why == 0) & (readings.sensor_codes == leads.code[hour])
        why[(why == 0) & ~led] = _NOT_LEADING
        of_temp = (led | without_gravity(why)) & ~np.isnan(readings.temperature_c)
        gravity, lone = _medians_without_spikes(readings.gravity[led], hour[led], count)
        temp_c = _medians(readings.temperature_c[of_temp], hour[of_temp], count)
        used = np.bincount(hour[led], minlength=count)
        why[np.flatnonzero(led)[lone]] = _SPIKE
        reasons = len(WHY_LEFT_OUT)
        passed_over = np.bincount(hour * reasons + why, minlength=count * reasons).reshape(count, reasons)
        shown = self._follow(readings[led], hour[led], leads.begins, used)
        hours = [
            Hour(end_us, g, t, n, p, changed, step, since_us, last_us, names[code])
            for end_us, g, t, n, p, changed, step, since_us, last_us, code in zip(
                ends_us.tolist(),
                _none_for_nan(gravity),
                _none_for_nan(temp_c),
                (used - passed_over[:, _SPIKE]).tolist(),
                _named(passed_over),
                leads.takes_over.tolist(),
                shown.resolution_points.tolist(),
                _none_for_never(shown.same_since_us),
                _none_for_never(shown.last_used_us),
                leads.code.tolist(),
                strict=True,
            )
        ]
        return Gathered(hours, readings, why)

    def _choose_leads(self, readings: VesselReadings, hour: Ints, usable: Flags, ends_us: Ints) -> _Leads:
        """Which sensor speaks for the vessel in each hour."""
        count = len(ends_us)
        heard = np.zeros((count, len(readings.sensors)), dtype=np.bool_)
        heard[hour[usable], readings.sensor_codes[usable]] = True
        first = np.full(count, -1)
        first[hour[usable][::-1]] = readings.sensor_codes[usable][::-1]  # the earliest is written last
        leads = _Leads(np.empty(count, dtype=np.int64), np.zeros(count, np.bool_), np.zeros(count, np.bool_))
        names, led, heard_us = readings.sensors, self._lead is not None, self._lead_heard_us
        code = names.index(self._lead) if self._lead in names else -1
        for i, (end_us, speaks, sensors) in enumerate(
            zip(ends_us.tolist(), first.tolist(), heard.tolist(), strict=True)
        ):
            if code >= 0 and sensors[code]:
                heard_us = end_us
            elif speaks >= 0 and (not led or end_us - heard_us >= _LEAD_KEPT_US):
                leads.begins[i], leads.takes_over[i] = True, led
                code, led, heard_us = speaks, True, end_us
            leads.code[i] = code
        self._lead, self._lead_heard_us = names[code] if code >= 0 else self._lead, heard_us
        return leads

    def _follow(self, led: VesselReadings, hour: Ints, begins: Flags, used: Ints) -> _Follow:
        """Compare each reading of the leading sensor with the one before it; `used` counts them hour by hour."""
        before = np.concatenate([[self._last_gravity], led.gravity])[:-1]
        temp_before = np.concatenate([[self._last_temp_c], led.temperature_c])[:-1]
        # The first reading of a sensor has none before it; NaN differs from all and makes no step.
        before[(np.diff(hour, prepend=-1) > 0) & begins[hour]] = np.nan
        same_temp = (led.temperature_c == temp_before) | (np.isnan(led.temperature_c) & np.isnan(temp_before))
        changed_us = np.where((led.gravity == before) & same_temp, _NEVER, led.at_us)
        step = np.round(np.abs(led.gravity - before) * 1000.0, 3)
        stepped = step > 0.0
        # With what was known before in front, so that an hour without such a reading finds the last value there was.
        steps_seen = np.cumsum(np.concatenate([[self._steps_seen], stepped]))
        smallest = np.minimum.accumulate(np.concatenate([[self._smallest_step], np.where(stepped, step, np.inf)]))
        same_since_us = np.maximum.accumulate(np.concatenate([[self._same_since_us], changed_us]))
        last_used_us = np.concatenate([[self._last_used_us], led.at_us])
        if len(led):
            self._last_gravity, self._last_temp_c = float(led.gravity[-1]), float(led.temperature_c[-1])
            self._last_used_us, self._same_since_us = int(last_used_us[-1]), int(same_since_us[-1])
            self._steps_seen, self._smallest_step = int(steps_seen[-1]), float(smallest[-1])
        at_end = np.cumsum(used)
        resolution = np.where(steps_seen >= _STEPS_TO_TELL, smallest, 0.0)
        return _Follow(resolution[at_end], same_since_us[at_end], last_used_us[at_end])


def _medians(values: FloatArray, hour: Ints, count: int) -> FloatArray:
    """Median of the values of each of `count` hours, shape (count,); NaN for an hour that has none."""
    medians = np.full(count, np.nan)
    many = np.bincount(hour, minlength=count)
    some = many > 0
    first, many = (np.cumsum(many) - many)[some], many[some]
    by_size = values[np.lexsort((values, hour))]
    medians[some] = 0.5 * (by_size[first + (many - 1) // 2] + by_size[first + many // 2])
    return medians


def _medians_without_spikes(gravity: FloatArray, hour: Ints, count: int) -> tuple[FloatArray, Flags]:
    """Medians [SG], and which lone readings lay far from that of their hour and were left out of it."""
    medians = _medians(gravity, hour, count)
    far = np.abs(gravity - medians[hour]) * 1000.0 > _SPIKE_POINTS
    spikes = np.bincount(hour[far], minlength=count)
    spikes[2 * spikes >= np.bincount(hour, minlength=count)] = 0
    lone = far & (spikes > 0)[hour]
    if lone.any():
        medians = _medians(gravity[~lone], hour[~lone], count)
    return medians, lone


def _none_for_nan(values: FloatArray) -> list[float | None]:
    return [None if value != value else value for value in values.tolist()]


def _none_for_never(times_us: Ints) -> list[int | None]:
    return [None if at_us == _NEVER else at_us for at_us in times_us.tolist()]


def _named(counts: Ints) -> list[tuple[tuple[str, int], ...]]:
    """Counts by reason, shape (hours, reasons), as pairs of name and number."""
    named: list[tuple[tuple[str, int], ...]] = [()] * len(counts)
    for i in np.flatnonzero(counts[:, 1:].any(axis=1)).tolist():
        named[i] = tuple((why, n) for why, n in zip(WHY_LEFT_OUT[1:], counts[i, 1:].tolist(), strict=True) if n)
    return named


_NOTHING = Gathered([], VesselReadings.of(()), np.zeros(0, dtype=np.int8))
