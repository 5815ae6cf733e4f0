"""The units and the decimal mark in which a brewer reads numbers: here alone a number becomes words."""

from __future__ import annotations

import math
from typing import Literal
from zoneinfo import ZoneInfo

import msgspec

from lullwort.decimalmark import DecimalMark, with_mark
from lullwort.records import format_utc, to_datetime
from lullwort.science import from_sg
from lullwort.units import (
    Co2Unit,
    MassUnit,
    PressureUnit,
    VolumeUnit,
    co2_volumes_from_g_l,
    from_bar,
    from_celsius,
    from_grams,
    from_litres,
)

__all__ = ["ShownGravity", "Units", "value_range"]

ShownGravity = Literal["sg", "plato", "points"]
_VOLUME_NAMES: dict[VolumeUnit, str] = {
    "L": "L", "mL": "mL", "cL": "cL", "hL": "hL", "us gal": "US gal", "imp gal": "imp gal",
}  # fmt: skip
_MASSES: dict[Literal["g", "oz"], tuple[MassUnit, MassUnit]] = {"g": ("g", "kg"), "oz": ("oz", "lb")}


class Units(msgspec.Struct, frozen=True):
    """What a brewer reads; by default what other programs read: SG, °C, litres, a decimal point."""

    gravity: ShownGravity = "sg"
    temperature: Literal["C", "F"] = "C"
    zone: str | None = None
    """In which moments are told; None for ISO 8601 in UTC, as other programs read it."""
    volume: VolumeUnit = "L"
    decimal: DecimalMark = "point"
    carbonation: Co2Unit = "volumes"
    pressure: PressureUnit = "bar"
    weight_unit: Literal["g", "oz"] = "g"

    def moment(self, at_us: int) -> str:
        """A moment given in µs.

        >>> Units().moment(0), Units(zone="Europe/Berlin").moment(0)
        ('1970-01-01T00:00:00Z', 'Thu 1 Jan 1970 01:00 CET')
        """
        if self.zone is None:
            return format_utc(at_us)
        local = to_datetime(at_us).astimezone(ZoneInfo(self.zone))
        return f"{local:%a} {local.day} {local:%b %Y %H:%M} {local.tzname()}"

    def day(self, at_us: int) -> str:
        """The local day of a moment given in µs, without its year.

        >>> Units().day(0), Units(zone="America/Chicago").day(0)
        ('1 Jan', '31 Dec')
        """
        local = to_datetime(at_us).astimezone(ZoneInfo(self.zone or "UTC"))
        return f"{local.day} {local:%b}"

    def day_and_time(self, at_us: int) -> str:
        """A moment given in µs for a list of many: without year and zone.

        >>> Units(zone="Europe/Berlin").day_and_time(0)
        '1 Jan 01:00'
        """
        local = to_datetime(at_us).astimezone(ZoneInfo(self.zone or "UTC"))
        return f"{self.day(at_us)} {local:%H:%M}"

    def time_near(self, at_us: int, now_us: int) -> str:
        """A moment given in µs, of the day on which `now_us` lies without that day.

        >>> Units().time_near(0, 60_000_000), Units().time_near(0, 2 * 86_400_000_000)
        ('00:00', '1 Jan 00:00')
        """
        said = self.day_and_time(at_us)
        return said.rpartition(" ")[2] if self.day(at_us) == self.day(now_us) else said

    def number(self, value: float, places: int) -> str:
        """A number with so many decimals, never grouped by thousands, never -0.

        >>> Units(decimal="comma").number(-1234.5678, 2), Units().number(-0.04, 1)
        ('-1234,57', '0.0')
        """
        return with_mark(f"{round(value, places) + 0.0:.{places}f}", self.decimal)

    def short(self, value: float, digits: int = 6) -> str:
        """A number with at most so many digits that count, without zeros at its end.

        >>> Units(decimal="comma").short(0.25), Units().short(20.0)
        ('0,25', '20')
        """
        return with_mark(f"{value + 0.0:.{digits}g}", self.decimal)

    def hours(self, hours: float) -> str:
        """How long something has lasted, given in hours: in days from two of them on.

        >>> Units().hours(4930.0), Units(decimal="comma").hours(61.0), Units().hours(48.0), Units().hours(41.2)
        ('205 days', '2,5 days', '2 days', '41 h')
        """
        if round(hours) < 48:
            return f"{self.number(hours, 0)} h"
        days = hours / 24.0
        return f"{self.short(round(days, 1 if days < 10.0 else 0))} days"

    def seconds(self, seconds: float) -> str:
        """How far apart two readings are, given in seconds, in the unit that suits it.

        >>> [Units(decimal="comma").seconds(s) for s in (15.0, 60.0, 5400.0, 86_400.0, 216_000.0)]
        ['15 s', '1 min', '1,5 h', '24 h', '2,5 days']
        """
        for size, name in ((86_400.0, "days"), (3600.0, "h"), (60.0, "min")):
            if seconds >= (1.5 if name == "days" else 1.0) * size:
                return f"{self.short(seconds / size, 3)} {name}"
        return f"{self.short(seconds, 3)} s"

    def level(self, points: float, places: int = 4) -> str:
        """A gravity given in points; `places` are the decimals that SG has.

        >>> Units().level(12.34), Units(gravity="plato").level(12.34), Units(gravity="points").level(12.34)
        ('1.0123', '3.16 °P', '12.3 points')
        """
        sg = 1.0 + points / 1000.0
        if self.gravity == "points":  # which lose some digits on the way through SG
            return self.shown_level(points, places)
        return self.shown_level(from_sg(sg, self.gravity), places)

    def shown_level(self, gravity: float, places: int = 4) -> str:
        """As `level`, of a gravity that is in the brewer's unit already: many are turned into it at once.

        >>> Units(gravity="plato").shown_level(3.158)
        '3.16 °P'
        """
        if self.gravity == "plato":
            return f"{self.number(gravity, places - 2)} °P"
        if self.gravity == "points":
            return f"{self.number(gravity, max(places - 3, 0))} points"
        return self.number(gravity, places)

    def difference(self, points: float) -> str:
        """A difference of gravities given in points, of any size; near beer's end 4 points are 1 °P.

        >>> Units(gravity="plato").difference(4.0), Units(gravity="plato").difference(400.0)
        ('1.01 °P', '93.41 °P')
        """
        if self.gravity == "plato":
            # A bound may be larger than any wort that the tables cover; there it need be no more exact than that.
            covered = min(max(points, -40.0), 200.0)
            plato = from_sg(1.010 + covered / 1000.0, "plato") - from_sg(1.010, "plato")
            return f"{self.number(plato + (points - covered) / 4.0, 2)} °P"
        shown = self.short(round(points, 1 if abs(points) >= 1.0 else 2))
        return f"{shown} point{'' if shown == '1' else 's'}"

    def rounds_away(self, points: float) -> bool:
        """Whether a difference given in points shows as 0.

        >>> Units().rounds_away(-0.004), Units().rounds_away(0.005), Units(gravity="plato").rounds_away(0.018)
        (True, False, True)
        """
        return self.difference(abs(points)) == self.difference(0.0)

    def temp(self, temp_c: float, places: int = 1) -> str:
        """A temperature."""
        return f"{self.number(from_celsius(temp_c, self.temperature), places)} °{self.temperature}"

    def temp_down(self, temp_c: float, step: float = 1.0) -> str:
        """A temperature up to which something holds, rounded down to whole steps of the brewer's degrees.

        >>> Units().temp_down(22.9), Units().temp_down(20.9, 0.5), Units(temperature="F").temp_down(22.0)
        ('22 °C', '20.5 °C', '71 °F')
        """
        degrees = step * math.floor(from_celsius(temp_c, self.temperature) / step + 1e-6)
        return f"{self.number(degrees, 0 if step >= 1.0 else 1)} °{self.temperature}"

    def temp_difference(self, kelvin: float, places: int = 0) -> str:
        """A difference of temperatures."""
        return f"{self.number(self._degrees(kelvin), places)} °{self.temperature}"

    def per_degree(self, points_per_k: float) -> str:
        """The size of a change of gravity for each degree, given in points/K.

        >>> Units().per_degree(-0.36), Units(gravity="plato", temperature="F", decimal="comma").per_degree(0.36)
        ('0.36 points', '0,051 °P')
        """
        size = abs(points_per_k) / self._degrees(1.0)
        if self.gravity == "plato":
            return f"{self.number(from_sg(1.010 + size / 1000.0, 'plato') - from_sg(1.010, 'plato'), 3)} °P"
        return f"{self.number(size, 2)} points"

    def temp_differences(self, low_k: float, high_k: float) -> str:
        """A range of differences of temperatures.

        >>> Units(temperature="F").temp_differences(2.0, 4.0)
        '4 to 7 °F'
        """
        return value_range(self.temp_difference(low_k), self.temp_difference(high_k))

    def amount(self, volume_l: float, places: int = 1) -> str:
        """A volume given in litres, in the brewer's unit.

        >>> Units().amount(19.0), Units(volume="us gal", decimal="comma").amount(19.0)
        ('19.0 L', '5,0 US gal')
        """
        return f"{self.number(from_litres(volume_l, self.volume), places)} {_VOLUME_NAMES[self.volume]}"

    def serving(self, volume_l: float) -> str:
        """The size of a bottle, given in litres: below one in millilitres, or in US fluid ounces beside US gallons.

        >>> Units().serving(0.33), Units(volume="us gal").serving(0.355), Units().serving(19.0)
        ('330 mL', '12 fl oz', '19.0 L')
        """
        if volume_l >= 1.0:
            return self.amount(volume_l)
        if self.volume == "us gal":
            return f"{self.short(from_litres(volume_l, 'us gal') * 128.0, 3)} fl oz"
        return f"{self.short(1000.0 * volume_l, 3)} mL"

    def co2(self, g_l: float) -> str:
        """Carbon dioxide in beer, given in g/L.

        >>> Units().co2(4.745), Units(carbonation="g/L", decimal="comma").co2(4.745)
        ('2.4 volumes', '4,7 g/L')
        """
        value = co2_volumes_from_g_l(g_l) if self.carbonation == "volumes" else g_l
        return f"{self.number(value, 1)} {self.carbonation}"

    def gauge(self, bar: float) -> str:
        """A pressure above that of the air, given in bar.

        >>> Units().gauge(1.86), Units(pressure="psi").gauge(1.86), Units(pressure="kPa").gauge(1.86)
        ('1.9 bar', '27 psi', '186 kPa')
        """
        return f"{self.number(from_bar(bar, self.pressure), 1 if self.pressure == 'bar' else 0)} {self.pressure}"

    def gauge_margin(self, limit_bar: float, bar: float) -> str:
        """By how much `bar` lies below `limit_bar`, as both are shown, so that the three add up; less than 0 above it.

        >>> Units().gauge_margin(2.36, 1.14), Units().gauge_margin(2.4, 2.42)
        ('1.3 bar', '0.0 bar')
        """
        places = 1 if self.pressure == "bar" else 0
        limit, at = (round(from_bar(each, self.pressure), places) for each in (limit_bar, bar))
        return f"{self.number(limit - at, places)} {self.pressure}"

    def weight(self, grams: float) -> str:
        """A weight as a kitchen scale shows it, given in grams; finer where it is little.

        >>> Units().weight(117.6), Units().weight(2.94), Units().weight(0.0), Units(weight_unit="oz").weight(117.6)
        ('118 g', '2.9 g', '0 g', '4.15 oz')
        >>> Units(weight_unit="oz").weight(2.94)
        '0.104 oz'
        """
        places = (1 if 0.05 <= abs(grams) < 20.0 else 0) + (2 if self.weight_unit == "oz" else 0)
        return f"{self.number(from_grams(grams, self.weight_unit), places)} {self.weight_unit}"

    def mass(self, grams: float, digits: int = 4) -> str:
        """What went into a brew, given in grams, with so many digits that count; in kg or lb from one of them on.

        >>> Units().mass(500.0), Units().mass(2250.0), Units(weight_unit="oz").mass(500.0)
        ('500 g', '2.25 kg', '1.102 lb')
        """
        small, large = _MASSES[self.weight_unit]
        unit = large if abs(from_grams(grams, large)) >= 1.0 else small
        return f"{self.short(from_grams(grams, unit), digits)} {unit}"

    @property
    def places_on_axis(self) -> int:
        """Decimals of a gravity on the axis of a picture."""
        return 3 if self.gravity == "sg" else 1

    def on_axis(self, gravity: float) -> str:
        """A gravity that is in the brewer's unit already, on the axis of a picture."""
        return self.number(gravity, self.places_on_axis)

    def _degrees(self, kelvin: float) -> float:
        return kelvin * (1.8 if self.temperature == "F" else 1.0)


def value_range(least: str, most: str) -> str:
    """Two values of one unit, which is told once; one of them where they are the same.

    >>> value_range("3,1 °P", "3,6 °P"), value_range("1.010", "1.010")
    ('3,1 to 3,6 °P', '1.010')
    """
    return most if least == most else f"{least.partition(' ')[0]} to {most}"
