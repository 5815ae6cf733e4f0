"""Published formulas of water, sugar, alcohol and carbon dioxide: pure, floats or arrays, in their ranges."""

from __future__ import annotations

from lullwort.science.extract import plato_from_sg, sg_from_plato, sucrose_density
from lullwort.science.gravity_units import GravityUnit, format_gravity, from_sg, to_sg
from lullwort.science.water import water_density

__all__ = [
    "GravityUnit",
    "format_gravity",
    "from_sg",
    "plato_from_sg",
    "sg_from_plato",
    "sucrose_density",
    "to_sg",
    "water_density",
]
