"""Sensors whose clocks are wrong, told from when their readings arrive."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from lullwort.records import HOUR_US, Block, SetAside

__all__ = ["SensorClocks"]

_MINUTE_US = 60 * 1_000_000
_AHEAD_US = 10 * _MINUTE_US
_BEHIND_US = 30 * _MINUTE_US
_STEADY_US = 10 * _MINUTE_US
_PROVED_US = 30 * _MINUTE_US
_PROVED_ARRIVALS = 3
_REFUSED_STANDS_US = 24 * HOUR_US
_MOST_SENSORS = 1000


@dataclass
class _Lag:
    """From the arrival at `since_us` on readings were as late as they are now."""

    lag_us: int
    since_us: int
    last_us: int
    arrivals: int


@dataclass
class SensorClocks:
    """Hears all that arrives. A backlog is late too, but it catches up; a clock that is behind stays behind."""

    _newest_us: dict[str, int] = field(default_factory=dict)
    _lags: dict[str, _Lag] = field(default_factory=dict)
    _refused: dict[str, tuple[str, int]] = field(default_factory=dict)
    """By vessel what impossible time was last seen, and when it came."""

    def hear(self, blocks: Iterable[Block], set_aside: Iterable[SetAside], now_us: int) -> None:
        """These readings have arrived at `now_us` [µs], and these rows that are none."""
        for block in blocks:
            for code, sensor in enumerate(block.sensors):
                times = block.at_us[block.sensor_codes == code]
                if len(times):
                    self._hear(sensor, int(times.max()), now_us)
            for vessel in self._refused.keys() & set(block.vessels):
                # Another sensor there may be right, so that one good time is no proof; after a day it is.
                if abs(now_us - self._refused[vessel][1]) > _REFUSED_STANDS_US:
                    del self._refused[vessel]
        for row in set_aside:
            known = row.vessel in self._refused or len(self._refused) < _MOST_SENSORS
            if row.column == "time" and row.vessel and known:
                self._refused[row.vessel] = row.seen, now_us

    def forget(self) -> None:
        """The clock of this machine was set: all that was told by it is void, until something arrives again."""
        self._newest_us.clear()
        self._lags.clear()
        self._refused.clear()

    def _hear(self, sensor: str, at_us: int, now_us: int) -> None:
        if sensor not in self._newest_us and len(self._newest_us) >= _MOST_SENSORS:
            return  # so many sensors float in no cellar: somebody makes names up
        self._newest_us[sensor] = at_us
        lag_us, before = now_us - at_us, self._lags.get(sensor)
        if before is None or abs(lag_us - before.lag_us) > _STEADY_US:
            self._lags[sensor] = _Lag(lag_us, now_us, now_us, 1)
        else:
            before.last_us = now_us
            before.arrivals += 1

    def fault(self, sensor: str, now_us: int) -> str | None:
        """What is wrong with the clock of a sensor; empty where nothing is, None while that is not known."""
        lag = self._lags.get(sensor)
        if lag is None:
            return None
        ahead_us = self._newest_us[sensor] - now_us
        if ahead_us > _AHEAD_US:
            return f"Its newest reading is dated {ahead_us / _MINUTE_US:.0f} minutes ahead."
        if lag.lag_us < _BEHIND_US:
            return ""
        if lag.arrivals < _PROVED_ARRIVALS or lag.last_us - lag.since_us < _PROVED_US:
            return None  # late so far; it may catch up
        return f"Its readings are dated {lag.lag_us / _MINUTE_US:.0f} minutes before they arrive, one like the other."

    def fault_in(self, vessel: str) -> str:
        """What is wrong with times that came from a vessel and could not be; empty where nothing is."""
        seen, _ = self._refused.get(vessel, ("", 0))
        return f"It sent readings of a time that cannot be ({seen}), which were set aside." if seen else ""
