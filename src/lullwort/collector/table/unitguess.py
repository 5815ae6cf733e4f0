"""Which units values may have been written in: one that cannot be in the stated unit, or a column without one."""

from __future__ import annotations

import numpy as np

from lullwort.units import BatteryUnit, FloatArray, GravityUnit, TemperatureUnit

__all__ = [
    "battery_units_that_fit",
    "gravity_units_that_fit",
    "probably_other_unit",
    "temperature_units_that_fit",
    "unit_probably_meant",
]

# What worts and beers come to in each unit, with room to spare; common practice, no source. Only values that
# beer cannot have in the stated unit are looked up: 12.9 may be points or °P, but it cannot be SG.
_SG = (0.9, 1.3)
_KG_M3 = (900.0, 1300.0)
_PLATO_TOP = 40.0
_THOUSANDS: tuple[GravityUnit, ...] = ("sg_1000", "kg_m3")
_POINTS_TOP = 200.0
_LOWEST_POINTS = -20.0
# A log of beer, from a crash to a hot day, room to spare.
_CELSIUS, _FAHRENHEIT, _KELVIN = (-8.0, 45.0), (28.0, 115.0), (265.0, 320.0)
_CANNOT_BE_BELOW: dict[GravityUnit, float] = {
    "sg": 2.0,
    "sg_1000": 0.9,
    "points": _POINTS_TOP,
    "plato": _PLATO_TOP,
    "kg_m3": 0.9,
}

_NO_BEER_ABOVE: dict[GravityUnit, float] = {"points": 1000.0, "sg_1000": 2000.0, "kg_m3": 1990.0}
# As SG these are above 2, where a readings file would have them set aside: so they are in every unit.


def unit_probably_meant(gravity: float, stated: GravityUnit) -> str | None:
    """Name of the unit that `gravity` suggests; None where it may be in the stated one or suggests none.

    >>> unit_probably_meant(1052.0, "sg"), unit_probably_meant(12.9, "sg"), unit_probably_meant(1.5, "sg")
    ('SG x 1000 or kg/m³', '°P', None)
    """
    if _KG_M3[0] <= gravity <= _KG_M3[1]:
        return None if stated in _THOUSANDS else "SG x 1000 or kg/m³"
    if gravity > _NO_BEER_ABOVE.get(stated, np.inf):
        return "no gravity at all"
    if stated in _THOUSANDS and _SG[0] <= gravity <= _SG[1]:
        return "SG"
    if not _CANNOT_BE_BELOW[stated] < gravity <= _POINTS_TOP:
        return None
    return "°P" if gravity <= _PLATO_TOP else "gravity points"


def probably_other_unit(gravity: FloatArray, stated: GravityUnit) -> bool:
    """Whether `unit_probably_meant` has an answer for any of these; NaN has none."""
    if np.any(gravity > _NO_BEER_ABOVE.get(stated, np.inf)):
        return True
    if stated in _THOUSANDS:
        return bool(np.any((gravity >= _SG[0]) & (gravity <= _POINTS_TOP)))
    in_kg_m3 = (gravity >= _KG_M3[0]) & (gravity <= _KG_M3[1])
    return bool(np.any(in_kg_m3 | ((gravity > _CANNOT_BE_BELOW[stated]) & (gravity <= _POINTS_TOP))))


def gravity_units_that_fit(values: FloatArray) -> tuple[GravityUnit, ...]:
    """Units in which a column of gravities, shape (n,), may be written, the likeliest first; none if it is no beer.

    >>> gravity_units_that_fit(np.array([1.052, 1.012])), gravity_units_that_fit(np.array([12.9, 3.1]))
    (('sg',), ('plato', 'points'))
    """
    values = values[np.isfinite(values) & (values != 0.0)]  # zero is what a sensor sends that has nothing to say
    if not len(values):
        return ()
    low, high = _ends(values)
    if _within(low, high, _SG):
        return ("sg",)
    if _within(low, high, _KG_M3):
        return _THOUSANDS
    if low < _LOWEST_POINTS or high > _POINTS_TOP:
        return ()
    return ("plato", "points") if high <= _PLATO_TOP else ("points",)


def temperature_units_that_fit(values: FloatArray) -> tuple[TemperatureUnit, ...]:
    """The same of temperatures: in °C beer may be all that is not frozen or hot, in °F it may be as cold as a crash."""
    values = values[np.isfinite(values)]
    if not len(values):
        return ()
    low, high = _ends(values)
    units: tuple[tuple[TemperatureUnit, tuple[float, float]], ...] = (
        ("C", _CELSIUS),
        ("F", _FAHRENHEIT),
        ("K", _KELVIN),
    )
    return tuple(unit for unit, span in units if _within(low, high, span))


def battery_units_that_fit(values: FloatArray) -> tuple[BatteryUnit, ...]:
    """The same of batteries: none of a sensor has more than 30 V."""
    values = values[np.isfinite(values)]
    return () if not len(values) else ("V",) if float(np.median(values)) <= 30.0 else ("%",)


def _ends(values: FloatArray) -> tuple[float, float]:
    """Lowest and highest value but for slips: one in twenty at either end, and of three or more one at least."""
    slips = max(1, len(values) // 20) if len(values) > 2 else 0
    inner = np.sort(values)[slips : len(values) - slips]
    return float(inner[0]), float(inner[-1])


def _within(low: float, high: float, span: tuple[float, float]) -> bool:
    return span[0] <= low and high <= span[1]
