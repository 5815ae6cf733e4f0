"""Units of temperature, volume, pressure, mass and dissolved carbon dioxide: plain scaling, no physics.

Every function takes a float or a float array of any shape and returns the same; NaN stays NaN. The units of gravity
are named here, but turning °P or kg/m³ into SG needs the density of water and of sugar solutions, so that lives in
`lullwort.science.gravity_units`.
"""

from __future__ import annotations

from typing import Literal, TypeVar

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "CO2_G_PER_VOLUME",
    "BatteryUnit",
    "Co2Unit",
    "FloatArray",
    "GravityUnit",
    "MassUnit",
    "PressureUnit",
    "Quantity",
    "TemperatureUnit",
    "VolumeUnit",
    "co2_g_l_from_volumes",
    "co2_volumes_from_g_l",
    "from_bar",
    "from_celsius",
    "from_grams",
    "from_litres",
    "to_bar",
    "to_celsius",
    "to_grams",
    "to_litres",
]

FloatArray = NDArray[np.float64]
Quantity = TypeVar("Quantity", float, FloatArray)
"""One number or an array of them; what goes in comes out."""

GravityUnit = Literal["sg", "sg_1000", "points", "plato", "kg_m3"]
TemperatureUnit = Literal["C", "F", "K"]
BatteryUnit = Literal["V", "%"]
VolumeUnit = Literal["mL", "cL", "L", "hL", "us gal", "imp gal"]
PressureUnit = Literal["bar", "kPa", "psi"]
MassUnit = Literal["g", "kg", "oz", "lb"]
Co2Unit = Literal["volumes", "g/L"]

# Exact by definition of the units.
_LITRES: dict[VolumeUnit, float] = {
    "mL": 0.001,
    "cL": 0.01,
    "L": 1.0,
    "hL": 100.0,
    "us gal": 3.785411784,
    "imp gal": 4.54609,
}
# The pound-force per square inch is 0.45359237 kg x 9.80665 m/s² on (0.0254 m)².
_BAR: dict[PressureUnit, float] = {
    "bar": 1.0,
    "kPa": 0.01,
    "psi": 0.45359237 * 9.80665 / 0.0254**2 / 1e5,
}
# The international avoirdupois pound is exactly 453.59237 g, and has 16 ounces.
_GRAMS: dict[MassUnit, float] = {"g": 1.0, "kg": 1000.0, "oz": 453.59237 / 16.0, "lb": 453.59237}

CO2_G_PER_VOLUME = 1.977
"""[g/L] One volume of carbon dioxide: the real gas at 0 °C and 1 atm. The ideal gas would be 1.9635, and one
bottle standard rounds to 2.0; who quotes volumes should say which."""


def to_celsius(value: Quantity, unit: TemperatureUnit) -> Quantity:
    """Temperature `value` [`unit`] in °C.

    >>> to_celsius(68.0, "F"), to_celsius(273.15, "K")
    (20.0, 0.0)
    """
    if unit == "C":
        return value
    if unit == "F":
        return (value - 32.0) * 5.0 / 9.0
    return value - 273.15


def from_celsius(temp_c: Quantity, unit: TemperatureUnit) -> Quantity:
    """Temperature [°C] expressed in `unit`.

    >>> from_celsius(20.0, "F")
    68.0
    """
    if unit == "C":
        return temp_c
    if unit == "F":
        return temp_c * 9.0 / 5.0 + 32.0
    return temp_c + 273.15


def to_litres(value: Quantity, unit: VolumeUnit) -> Quantity:
    """Volume `value` [`unit`] in litres.

    >>> round(to_litres(5.0, "us gal"), 2), to_litres(1.0, "imp gal")
    (18.93, 4.54609)
    """
    return value * _LITRES[unit]


def from_litres(volume_l: Quantity, unit: VolumeUnit) -> Quantity:
    """Volume [L] expressed in `unit`."""
    return volume_l / _LITRES[unit]


def to_bar(value: Quantity, unit: PressureUnit) -> Quantity:
    """Pressure `value` [`unit`] in bar; gauge stays gauge, absolute stays absolute.

    >>> round(to_bar(40.0, "psi"), 3), to_bar(250.0, "kPa")
    (2.758, 2.5)
    """
    return value * _BAR[unit]


def from_bar(pressure_bar: Quantity, unit: PressureUnit) -> Quantity:
    """Pressure [bar] expressed in `unit`; gauge stays gauge, absolute stays absolute."""
    return pressure_bar / _BAR[unit]


def to_grams(value: Quantity, unit: MassUnit) -> Quantity:
    """Mass `value` [`unit`] in grams.

    >>> round(to_grams(4.0, "oz"), 1)
    113.4
    """
    return value * _GRAMS[unit]


def from_grams(mass_g: Quantity, unit: MassUnit) -> Quantity:
    """Mass [g] expressed in `unit`."""
    return mass_g / _GRAMS[unit]


def co2_g_l_from_volumes(volumes: Quantity) -> Quantity:
    """Carbon dioxide [g/L of beer] in so many volumes, `CO2_G_PER_VOLUME` each.

    >>> round(co2_g_l_from_volumes(2.4), 2)
    4.74
    """
    return volumes * CO2_G_PER_VOLUME


def co2_volumes_from_g_l(co2_g_l: Quantity) -> Quantity:
    """Volumes of carbon dioxide, `CO2_G_PER_VOLUME` each, in so many g per L of beer."""
    return co2_g_l / CO2_G_PER_VOLUME
