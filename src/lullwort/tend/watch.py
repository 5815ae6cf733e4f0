"""Looks after batches, sensors and the service itself, and says what of it is news."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from lullwort.alerts import (
    AlertSettings,
    BatchSeen,
    Quiet,
    SensorSeen,
    ServiceSeen,
    clock_set,
    conditions,
    digest,
    news,
)
from lullwort.cellarbook import Book, usual_interval_us
from lullwort.detector import Judged, Units
from lullwort.records import HOUR_US, OF_A_MOMENT, Alert, Block, SetAside, Subject
from lullwort.tend.judging import Judging
from lullwort.tend.sensorclocks import SensorClocks
from lullwort.tend.unusable import Unusable

__all__ = ["CellarWatch"]

_NEWEST, _NEWEST_WITH_BATTERY = 12, 60
_LOOK_AT_SENSORS_US = 60 * 1_000_000
_WAKING_US = 11 * 60_000_000
"""After the start, as long as silence means nothing yet: a look longer than the clock of a vessel waits."""
_SET_BACK_US = 5 * 60_000_000
_MOST_SENSORS = 1000


@dataclass
class CellarWatch:
    """One look at a time; sensors, which cost more, are looked at once a minute, or when one sent impossible times."""

    book: Book
    judging: Judging
    settings: AlertSettings
    units: Units
    quiet: Quiet
    started_us: int
    seen_us: int | None
    """[µs] when a service on this book last showed that it was alive, before this one."""
    _clocks: SensorClocks = field(default_factory=SensorClocks)
    _unusable: Unusable = field(default_factory=Unusable)
    _heard_us: dict[str, int] = field(default_factory=dict)
    """[µs] when each sensor was last heard, whatever time its reading bore."""
    _set: list[Alert] = field(default_factory=list)
    _sensors: list[SensorSeen] = field(default_factory=list)
    _looked_us: int = 0
    _digest_us: int | None = None

    def __post_init__(self) -> None:
        if self.seen_us is not None and self.seen_us - self.started_us > _SET_BACK_US:
            self._set.append(clock_set(self.started_us - self.seen_us, self.started_us, self.units))

    @property
    def away_us(self) -> int:
        """[µs] for how long the service was away before it started, as its clock is known now."""
        return 0 if self.seen_us is None else max(0, self.started_us - self.seen_us)

    def hear(self, blocks: Sequence[Block], set_aside: Sequence[SetAside], now_us: int) -> None:
        """This has arrived now."""
        self._clocks.hear(blocks, set_aside, now_us)
        self._unusable.hear(blocks, set_aside)
        for sensor in {sensor for block in blocks for sensor in block.sensors}:
            if sensor in self._heard_us or len(self._heard_us) < _MOST_SENSORS:
                self._heard_us[sensor] = now_us
        if any(row.column == "time" for row in set_aside):
            self._looked_us = 0

    def clock_set(self, by_us: int, now_us: int) -> None:
        """The clock of this machine was set by so much [µs] and shows `now_us` now."""
        self.started_us += by_us
        self._heard_us = {sensor: at_us + by_us for sensor, at_us in self._heard_us.items()}
        self._clocks.forget()
        self._looked_us = 0
        self._digest_us = None
        self._set.append(clock_set(by_us, now_us, self.units))

    def look(self, judged: list[Judged], standing: Mapping[Subject, Alert], now_us: int) -> list[Alert]:
        """What is to be told that is not told yet."""
        if abs(now_us - self._looked_us) >= _LOOK_AT_SENSORS_US:
            self._looked_us = now_us
            self._sensors = [
                seen for vessel in sorted(self.judging.open_vessels()) for seen in self._in_vessel(vessel, now_us)
            ]
        service = ServiceSeen(now_us, self.started_us, self.away_us, self.book.free_bytes())
        on = {subject for subject, alert in standing.items() if alert.on}
        holding = conditions(map(BatchSeen, judged), self._sensors, service, self.settings, self.units, on)
        # What was told of a batch stays true of what is in the bottles: its end is no news.
        open_ones = [one for one in judged if one.verdict != "packaged"]
        sensors = {seen.sensor for seen in self._sensors} | self.judging.open_vessels()
        watched = {"", *(one.batch.name for one in open_ones), *sensors}
        lasting = [alert for alert in standing.values() if alert.on and (alert.batch or alert.sensor) in watched]
        self._set = [alert for alert in self._set if alert.subject not in standing]
        return [*self._set, *news(holding, standing, watched, now_us), *self._digest(open_ones, lasting, now_us)]

    def _in_vessel(self, vessel: str, now_us: int) -> list[SensorSeen]:
        found = []
        clock = self.judging.clocks.get(vessel)
        there_us = (clock.now_in_vessel(now_us) if clock else None) or now_us
        since_us = max(self.started_us, self.judging.pitched_us(vessel))
        settled = now_us - self.started_us > _WAKING_US
        refused, unusable = self._clocks.fault_in(vessel), self._unusable.of(vessel)
        for sensor in self.book.readings.sensors(vessel):
            newest = self.book.readings.newest(sensor, _NEWEST_WITH_BATTERY)
            heard_us = self._heard_us.get(sensor)
            if not newest or newest[-1].vessel != vessel:
                continue
            last = newest[-1]
            if max(last.at_us, heard_us or 0) < self.judging.pitched_us(vessel):
                continue  # it floated in another batch
            # A wrong clock is told by itself; that a sensor speaks is told by when it does, or by a log's newest line.
            at_us = there_us if heard_us is None else min(there_us, last.at_us + now_us - heard_us)
            interval_us = usual_interval_us([reading.at_us for reading in newest[-_NEWEST:]])
            # Not every reading tells of the battery, and one that does not says nothing of it.
            volts = next((r.battery_v for r in reversed(newest) if r.battery_v is not None), None)
            percent = next((r.battery_percent for r in reversed(newest) if r.battery_percent is not None), None)
            fault = refused or self._clocks.fault(sensor, now_us)
            found.append(
                SensorSeen(
                    sensor, vessel, at_us, last.at_us, interval_us, volts, percent, fault, unusable=unusable,
                    awaited=settled or heard_us is not None,
                )
            )  # fmt: skip
        if not found:
            found.append(
                SensorSeen(
                    vessel, vessel, now_us, since_us, None, clock_fault=refused, heard=False, unusable=unusable,
                    awaited=False,
                )
            )  # fmt: skip
        return found

    def _digest(self, open_ones: list[Judged], lasting: list[Alert], now_us: int) -> list[Alert]:
        if self.settings.digest is None:
            return []
        due_us = self._digest_us
        if due_us is None or now_us >= due_us:
            self._digest_us = self.quiet.next_us(self.settings.digest, now_us)
        if due_us is None or now_us < due_us or self._digest_us is None:
            return []
        to_go = [one.now.hours_to_go for one in open_ones if one.verdict == "holding"]
        soonest_us = min([self._digest_us, *(now_us + hours * HOUR_US for hours in to_go if hours is not None)])
        lines = [f"{one.batch.name}: {one.verdict}" for one in open_ones] or ["No batch is open."]
        waiting = [alert.title for alert in lasting if alert.kind not in OF_A_MOMENT]
        return [digest(due_us, lines, waiting, self.units.moment(soonest_us))]
