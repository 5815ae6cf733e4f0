"""What a person states about a readings file that the file itself does not say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lullwort.errors import UsageError
from lullwort.records import ReportedUnits, check_id
from lullwort.units import GravityUnit, TemperatureUnit

__all__ = ["CsvOptions"]


@dataclass(frozen=True)
class CsvOptions:
    """How to read a readings file.

    Attributes:
        gravity_unit, temperature_unit: of those columns.
        zone: IANA name such as "Europe/Berlin", for times written without an offset; None refuses such rows.
        decimal_comma: numbers are written 1,012.
        vessel: the vessel of a file that has no such column.
    Raises: UsageError for a unit, zone or vessel that there cannot be.
    """

    gravity_unit: GravityUnit = "sg"
    temperature_unit: TemperatureUnit = "C"
    zone: str | None = None
    decimal_comma: bool = False
    vessel: str | None = None

    def __post_init__(self) -> None:
        for name, value, known in (
            ("gravity unit", self.gravity_unit, get_args(GravityUnit)),
            ("temperature unit", self.temperature_unit, get_args(TemperatureUnit)),
        ):
            if value not in known:
                raise UsageError(f"{name} is {value!r}, expected one of {', '.join(known)}")
        if self.zone is not None:
            zone_info(self.zone)
        if self.vessel is not None:
            try:
                check_id(self.vessel)
            except ValueError as exc:
                raise UsageError(f"vessel: {exc}") from exc

    @property
    def units(self) -> ReportedUnits:
        """Of the values in the file."""
        return ReportedUnits(self.gravity_unit, self.temperature_unit)


def zone_info(name: str) -> ZoneInfo:
    """The zone called `name`. Raises UsageError if there is none."""
    try:
        return ZoneInfo(name)
    # A name such as "../x" or "Europe" is no key, and on some systems a folder.
    except (ZoneInfoNotFoundError, ValueError, OSError) as exc:
        raise UsageError(f"zone is {name!r}, expected an IANA name such as Europe/Berlin or UTC") from exc
