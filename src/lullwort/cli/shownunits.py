"""Moments and values as the settings want them shown."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from zoneinfo import ZoneInfo

from lullwort.cli.values import now_us
from lullwort.detector import Judged, Units, value_range
from lullwort.packaging_day import lots_say
from lullwort.records import to_datetime
from lullwort.settings import Settings

__all__ = ["local_as_of", "local_day", "local_time", "shown_in", "units_of"]


def units_of(settings: Settings) -> Units:
    """The units that the settings ask for."""
    return settings.units


def shown_in(settings: Settings) -> Callable[[str, Any], str]:
    """What shows the value of a field of a batch, a range of two as well, as the settings want it."""
    units = units_of(settings)

    def shown(field: str, value: Any) -> str:
        if field in ("bottles", "filled"):
            return lots_say(value, units)
        if isinstance(value, tuple):
            return value_range(*(shown(field, one) for one in value))
        if field.endswith("_us"):
            return units.moment(value)
        if field.endswith("_gravity"):
            return units.level((value - 1.0) * 1000.0)
        if field.endswith("_c"):
            return units.temp(value)
        if field.endswith("_g_l"):
            return units.co2(value)
        if field.endswith("_bar"):
            return units.gauge(value)
        if field.endswith("_l"):
            return units.amount(value)
        if field.endswith("_g"):
            return units.weight(value)
        if field == "tolerance":
            return units.difference(value * 1000.0)
        if field == "expected_attenuation":
            return f"{units.short(100.0 * value)} %"
        return units.short(value) if isinstance(value, float) else repr(value)

    return shown


def local_as_of(judged: Judged, settings: Settings) -> str:
    """As of when a batch was judged, as people are told it now."""
    return local_time(judged.told_by(now_us()).as_of_us, settings)


def local_day(at_us: int, settings: Settings) -> str:
    """The day of a moment in the settings' zone, as 19 Jul 2026."""
    local = to_datetime(at_us).astimezone(ZoneInfo(settings.zone or "UTC"))
    return f"{local.day} {local:%b %Y}"


def local_time(at_us: int, settings: Settings) -> str:
    """A moment as people read it, in the settings' zone, UTC where none is set."""
    return units_of(settings).moment(at_us)
