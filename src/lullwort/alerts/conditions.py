"""Which conditions hold now, of batches, sensors and the service. Pure; what stands already makes them hard to flap."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from lullwort.alerts.settings import AlertSettings
from lullwort.alerts.wording import (
    another_batch,
    battery_low,
    gap,
    not_believable,
    points_left,
    ready,
    silent,
    stalled,
    storage,
    too_cold,
    too_warm,
    unheard,
    wrong_clock,
)
from lullwort.detector import Judged, Units, if_sealed
from lullwort.records import HOUR_US, Alert, Subject

__all__ = ["BatchSeen", "SensorSeen", "ServiceSeen", "conditions"]

_SILENT_INTERVALS = 3
_SILENT_LEAST_US = 2 * HOUR_US
_DOUBTED_US = 3 * HOUR_US
_WARM_LEAVE_K = 0.5
_BATTERY_LEAVE_V, _BATTERY_LEAVE_PERCENT = 0.1, 5.0
_ROOM_BYTES, _ROOM_LEAVE_BYTES = 100 << 20, 200 << 20
_GAP_US = HOUR_US
_GAP_STANDS_US = 24 * HOUR_US
_LATER_THAN_STALLED = ("unclear", "too cold")
"""Verdicts under which a stall that was told is not over."""


class BatchSeen(NamedTuple):
    """A batch as last judged."""

    judged: Judged


class SensorSeen(NamedTuple):
    """How a sensor does.

    Attributes:
        at_us: [µs] what time it is in its vessel.
        newest_us: [µs] of its newest reading, or since when one is awaited where none has come yet.
        interval_us: [µs] from one to the next, None while not known.
        battery_v: [V] battery_percent: [%] None where it tells none.
        clock_fault: what is wrong with its clock, empty where nothing is, None while that is not known.
        heard: whether there is any reading of it; where not, it goes by the name of its vessel.
        unusable: what came since its newest reading without being one, in words.
        awaited: whether by now it should have been heard; where not, a silence that was told goes on.
    """

    sensor: str
    vessel: str
    at_us: int
    newest_us: int
    interval_us: int | None
    battery_v: float | None = None
    battery_percent: float | None = None
    clock_fault: str | None = ""
    heard: bool = True
    unusable: str = ""
    awaited: bool = True


class ServiceSeen(NamedTuple):
    """How the service does.

    Attributes:
        away_us: [µs] for how long it was away before its last start; started_us: [µs] when that was.
        free_bytes: that the disk of the book still takes.
    """

    now_us: int
    started_us: int
    away_us: int
    free_bytes: int


@dataclass
class _Found:
    standing: Collection[Subject]
    settings: AlertSettings
    units: Units
    alerts: list[Alert] = field(default_factory=list)

    def stands(self, kind: str, about: str) -> bool:
        return (kind, about) in self.standing


def conditions(
    batches: Iterable[BatchSeen],
    sensors: Iterable[SensorSeen],
    service: ServiceSeen,
    settings: AlertSettings,
    units: Units,
    standing: Collection[Subject],
) -> list[Alert]:
    """Every alert that is on now.

    Args:    standing: subjects that are on already; leaving takes more than entering.
    """
    found = _Found(standing, settings, units)
    for batch in batches:
        _of_batch(batch.judged, found)
    for sensor in sensors:
        _of_sensor(sensor, found)
    _of_service(service, found)
    return found.alerts


def _of_batch(judged: Judged, found: _Found) -> None:
    batch, now, verdict = judged.batch, judged.now, judged.verdict
    name, units = batch.name, found.units
    if verdict == "packaged":
        return
    if verdict == "ready":
        found.alerts.append(ready(judged, units))
    if verdict == "stalled" or (verdict in _LATER_THAN_STALLED and found.stands("stalled", name)):
        found.alerts.append(stalled(judged, units))
    if verdict == "too cold":
        found.alerts.append(too_cold(judged, units))
    if batch.yeast_max_c is not None and now.temp_c is not None:
        leave = _WARM_LEAVE_K if found.stands("too warm", name) else 0.0
        if now.temp_c > batch.yeast_max_c - leave:
            found.alerts.append(too_warm(judged, batch.yeast_max_c, units))
    if now.split is not None:
        found.alerts.append(another_batch(judged, now.split, units))
    if now.level is not None and not now.passed["believable"]:
        long = now.at_us - now.since_us["believable"] >= _DOUBTED_US and now.split is None
        if long or found.stands("sensor not believable", name):
            found.alerts.append(not_believable(judged, units))
    for points in found.settings.points_left:
        if verdict in ("fermenting", "holding", "ready") and if_sealed(now).about <= points:
            found.alerts.append(points_left(judged, points, units))


def _of_sensor(seen: SensorSeen, found: _Found) -> None:
    quiet_us = seen.at_us - seen.newest_us
    limit_us = max(_SILENT_INTERVALS * (seen.interval_us or 0), _SILENT_LEAST_US)
    if quiet_us > limit_us or (not seen.awaited and found.stands("sensor silent", seen.sensor)):
        says = silent if seen.heard else unheard
        found.alerts.append(says(seen.sensor, seen.vessel, seen.newest_us, quiet_us, seen.unusable, found.units))
    stands = found.stands("battery low", seen.sensor)
    for value, limit, leave, unit in (
        (seen.battery_v, found.settings.battery_v, _BATTERY_LEAVE_V, "V"),
        (seen.battery_percent, found.settings.battery_percent, _BATTERY_LEAVE_PERCENT, "%"),
    ):
        if value is not None and value < limit + (leave if stands else 0.0):
            found.alerts.append(battery_low(seen.sensor, seen.vessel, value, unit, seen.newest_us, found.units))
            break
    # What was told stands, in whatever words, until something is known of the clock again.
    if seen.clock_fault or (seen.clock_fault is None and found.stands("sensor clock", seen.sensor)):
        found.alerts.append(wrong_clock(seen.sensor, seen.vessel, seen.clock_fault or "", seen.newest_us))


def _of_service(seen: ServiceSeen, found: _Found) -> None:
    if seen.away_us > _GAP_US and seen.now_us - seen.started_us < _GAP_STANDS_US:
        found.alerts.append(gap(seen.started_us, seen.away_us, found.units))
    room = _ROOM_LEAVE_BYTES if found.stands("storage nearly full", "") else _ROOM_BYTES
    if seen.free_bytes < room:
        found.alerts.append(storage(seen.now_us, seen.free_bytes))
