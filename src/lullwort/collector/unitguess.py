"""Which other unit a gravity was probably written in, where it cannot be in the one that was stated."""

from __future__ import annotations

import numpy as np

from lullwort.units import FloatArray, GravityUnit

__all__ = ["probably_other_unit", "unit_probably_meant"]

# What worts and beers come to in each unit, with room to spare; common practice, no source. Only values that
# beer cannot have in the stated unit are looked up: 12.9 may be points or °P, but it cannot be SG.
_SG = (0.9, 1.3)
_KG_M3 = (900.0, 1300.0)
_PLATO_TOP = 40.0
_POINTS_TOP = 200.0
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
