"""Hints of fields in the units that the brewer has chosen, and values on record as they would be typed."""

from __future__ import annotations

from typing import NamedTuple
from zoneinfo import ZoneInfo

from lullwort.detector import Units
from lullwort.records import BottleLot, to_datetime
from lullwort.settings import Settings

__all__ = ["InUnits"]

_USUAL_CO2_G_L = 4.745
"""2.4 volumes, as in the help of the command."""
_GRAVITY = {"sg": "SG", "plato": "°P", "points": "points"}


class InUnits(NamedTuple):
    """What labels and hints say of units, and how values are filled in."""

    units: Units

    @classmethod
    def of(cls, settings: Settings) -> InUnits:
        """Those of these settings."""
        return cls(settings.units)

    @property
    def gravity(self) -> str:
        """Name of the unit of gravity."""
        return _GRAVITY[self.units.gravity]

    @property
    def temperature(self) -> str:
        """Name of the unit of temperature."""
        return f"°{self.units.temperature}"

    @property
    def volume(self) -> str:
        """Name of the unit of volume."""
        return _unit(self.units.amount(1.0))

    @property
    def weight(self) -> str:
        """Name of the unit of weight."""
        return self.units.weight_unit

    @property
    def co2(self) -> str:
        """Name of the unit of carbon dioxide."""
        return self.units.carbonation

    @property
    def pressure(self) -> str:
        """Name of the unit of pressure."""
        return self.units.pressure

    @property
    def zone(self) -> str:
        """In which times are entered."""
        return self.units.zone or "UTC"

    @property
    def a_point(self) -> str:
        """What a point is."""
        return f"a point ({self.units.number(0.001, 3)} SG)"

    def such_gravity(self, points: float) -> str:
        """A gravity for an example, without its unit."""
        return bare(self.units.level(points, 3))

    def such_temp(self, temp_c: float) -> str:
        """A temperature for an example, without its unit."""
        return bare(self.units.temp(temp_c, 0))

    def such_amount(self, volume_l: float) -> str:
        """A volume for an example, without its unit."""
        return bare(self.units.amount(volume_l, 0))

    @property
    def such_co2(self) -> str:
        """A usual carbonation for an example, without its unit."""
        return bare(self.units.co2(_USUAL_CO2_G_L))

    def moment(self, at_us: int | None) -> str:
        """A moment as a field of date and time has it; empty for none."""
        if at_us is None:
            return ""
        return f"{to_datetime(at_us).astimezone(ZoneInfo(self.zone)):%Y-%m-%dT%H:%M}"

    def gravities(self, ends: tuple[float, float] | None) -> str:
        """One gravity [SG] or two, as they are typed."""
        if ends is None:
            return ""
        low, high = (self.units.level((end - 1.0) * 1000.0) for end in ends)
        return low if low == high else f"{bare(low)} to {high}"

    def lots(self, lots: tuple[BottleLot, ...]) -> str:
        """Bottles, as they are typed."""
        sized = [(lot.count, self.units.serving(lot.volume_l).replace("fl oz", "oz")) for lot in lots]
        return ", ".join(f"{count} x {size}" if count else size for count, size in sized)


def bare(shown: str) -> str:
    """A shown value without its unit."""
    return shown.partition(" ")[0]


def _unit(shown: str) -> str:
    return shown.partition(" ")[2]
