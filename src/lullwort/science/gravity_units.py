"""Gravity in the units that brewers and instruments write: SG, points, °P, kg/m³.

It stands here and not in `lullwort.units` because two of them need physics: °P the density of sugar
solutions, kg/m³ that of water.
"""

from __future__ import annotations

from lullwort.science.extract import plato_from_sg, sg_from_plato
from lullwort.science.water import water_density
from lullwort.units import GravityUnit, Quantity

__all__ = ["from_sg", "to_sg"]


def to_sg(value: Quantity, unit: GravityUnit, reference_c: float = 20.0) -> Quantity:
    """Specific gravity, over water at `reference_c`, of `value` [`unit`].

    Args:    value: SG itself; "sg_1000", SG x 1000, as 1052 is written for 1.052; points, (SG - 1) x 1000; °P, -10
             to 50 (negative: apparent extract); or density in kg/m³, at whatever temperature it was taken: a density
             that is not yet corrected gives an SG that is not yet corrected.
             reference_c: [°C] 0 to 40.
    Raises:  OutOfRangeError outside these ranges.

    >>> to_sg(12.0, "points"), round(to_sg(12.0, "plato"), 5), round(to_sg(1010.18, "kg_m3"), 4)
    (1.012, 1.04833, 1.012)
    """
    if unit == "sg":
        return value
    if unit == "sg_1000":
        return value / 1000.0
    if unit == "points":
        return 1.0 + value / 1000.0
    if unit == "plato":
        return sg_from_plato(value, reference_c)
    return value / water_density(reference_c)


def from_sg(sg: Quantity, unit: GravityUnit, reference_c: float = 20.0) -> Quantity:
    """Specific gravity, over water at `reference_c`, expressed in `unit`: the inverse of `to_sg`.

    Raises: OutOfRangeError for °P beyond -10 to 50 and for a reference beyond 0 to 40 °C.

    >>> round(from_sg(1.012, "points"), 9), round(from_sg(1.050, "plato"), 2)
    (12.0, 12.4)
    """
    if unit == "sg":
        return sg
    if unit == "sg_1000":
        return sg * 1000.0
    if unit == "points":
        return (sg - 1.0) * 1000.0
    if unit == "plato":
        return plato_from_sg(sg, reference_c)
    return sg * water_density(reference_c)
