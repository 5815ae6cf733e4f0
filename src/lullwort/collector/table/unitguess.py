"""Which units values may have been written in: one that cannot be in the stated unit, or a column without one."""

from __future__ import annotations

import numpy as np

from lullwort.units import FloatArray, GravityUnit, TemperatureUnit

__all__ = ["gravity_units_that_fit", "probably_other_unit", "temperature_units_that_fit", "unit_probably_meant"]

# What worts and beers come to in each unit, with room to spare; common practice, no source. Only values that
# beer cannot have in the stated unit are looked up: 12.9 may be points or °P, but it cannot be SG.
_SG = (0.9, 1.3)
_KG_M3 = (900.0, 1300.0)
_PLATO_TOP = 40.0
_POINTS_TOP = 200.0
_LOWEST_POINTS = -20.0
_CANNOT_BE_BELOW: dict[GravityUnit, float] = {
    "sg": 2.0,
    "points": _POINTS_TOP,
    "plato": _PLATO_TOP,
    "kg_m3": 0.9,
}


def unit_probably_meant(gravity: float, stated: GravityUnit) -> str | None:
    """Name of the unit that `gravity` suggests; None where it may be in the stated one or suggests none.

    >>> unit_probably_meant(1052.0, "sg"), unit_probably_meant(12.9, "sg"), unit_probably_meant(1.5, "sg")
    ('kg/m³', '°P', None)
    """
    if _KG_M3[0] <= gravity <= _KG_M3[1]:
        return None if stated == "kg_m3" else "kg/m³"
    if stated == "kg_m3" and _SG[0] <= gravity <= _SG[1]:
        return "SG"
    if not _CANNOT_BE_BELOW[stated] < gravity <= _POINTS_TOP:
        return None
    return "°P" if gravity <= _PLATO_TOP else "gravity points"


def probably_other_unit(gravity: FloatArray, stated: GravityUnit) -> bool:
    """Whether `unit_probably_meant` has an answer for any of these; NaN has none."""
    if stated == "kg_m3":
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
    middle, top = float(np.median(values)), float(np.quantile(values, 0.99))
    if _SG[0] <= middle <= _SG[1]:
        return ("sg",)
    if _KG_M3[0] <= middle <= _KG_M3[1]:
        return ("kg_m3",)
    if not middle >= _LOWEST_POINTS or top > _POINTS_TOP:
        return ()
    return ("plato", "points") if top <= _PLATO_TOP else ("points",)


def temperature_units_that_fit(values: FloatArray) -> tuple[TemperatureUnit, ...]:
    """The same of temperatures: a log of beer lies mostly below 40 in °C, above 45 in °F, above 260 in K."""
    values = values[np.isfinite(values)]
    if not len(values):
        return ()
    middle = float(np.median(values))
    fitting: list[TemperatureUnit] = []
    if -10.0 <= middle <= 45.0:
        fitting.append("C")
    if 40.0 <= middle <= 120.0:
        fitting.append("F")
    if 260.0 <= middle <= 330.0:
        fitting.append("K")
    return tuple(fitting)
