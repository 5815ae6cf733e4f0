"""Density of ethanol-water mixtures, and alcohol by weight ↔ by volume."""

from __future__ import annotations

from lullwort.science.numerics import DoubleSeries, horner, require_range
from lullwort.units import Quantity

__all__ = [
    "ETHANOL_DENSITY_20C_KG_M3",
    "abv_from_abw",
    "abw_from_abv",
    "ethanol_density_excess",
    "ethanol_water_density",
]

ETHANOL_DENSITY_20C_KG_M3 = 789.24
"""Pure ethanol at 20 °C, the density that turns alcohol by weight into alcohol by volume [OimlR22]."""

# [OimlR22] A1 and B1 to B6: water. It differs from `water_density` by less than 0.008 kg/m³.
_WATER_20C = 998.20123
_WATER = (0.0, -0.20618513, -5.2682542e-3, 3.6130013e-5, -3.8957702e-7, 7.169354e-9, -9.9739231e-11)

# [OimlR22] one line a power of p from 1 to 11: A(k+1), then C1,k to C5,k along powers of (t - 20 °C).
_ETHANOL = DoubleSeries((
    (-192.9769495, 0.1693443461530087, -0.0119301300505701, -6.802995733503803e-4,
     4.075376675622027e-6, -2.788074354782409e-8),
    (389.1238958, -10.46914743455169, 0.2517399633803461, 1.876837790289664e-2,
     -8.76305857347111e-6, 1.345612883493354e-8),
    (-1668.103923, 71.96353469546523, -2.170575700536993, -0.2002561813734156, 6.515031360099368e-6),
    (13522.15441, -704.7478054272792, 13.53034988843029, 1.02299296671922, -1.51578483698721e-6),
    (-88292.78388, 3924.090430035045, -50.29988758547014, -2.895696483903638),
    (306287.4042, -12101.64659068747, 109.635566657757, 4.810060584300675),
    (-613838.1234, 22486.46550400788, -142.2753946421155, -4.672147440794683),
    (747017.2998, -26055.62982188164, 108.043594285623, 2.458043105903461),
    (-547846.1354, 18523.73922069467, -44.14153236817392, -0.5411227621436812),
    (223446.0334, -7420.201433430137, 7.442971530188783),
    (-39032.85426, 1285.617841998974),
))  # fmt: skip


def ethanol_density_excess(mass_fraction: Quantity, temp_c: Quantity | float) -> Quantity:
    """How much denser than water (so: negative) a mixture is, both at `temp_c` [kg/m³]; caller checks ranges.

    Source: [OimlR22] general formula, without its water terms.
    """
    return _ETHANOL(mass_fraction, temp_c - 20.0)


def ethanol_water_density(mass_fraction: Quantity, temp_c: Quantity | float) -> Quantity:
    """Density of an air-free mixture of ethanol and water.

    Used here up to 0.14 (what fermentation can reach) and 0 to 40 °C; below 0 °C a weak mixture would be ice,
    which the formula does not know. Temperatures were IPTS-68: 0.01 °C off at 40 °C, 0.004 kg/m³.

    Args:    mass_fraction: [kg ethanol/kg] 0 to 1.  temp_c: [°C] -20 to 40.
    Returns: [kg/m³] broadcast shape; NaN where either is NaN.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [OimlR22] general formula.

    >>> round(ethanol_water_density(0.05, 20.0), 3)
    989.378
    """
    require_range("mass_fraction", mass_fraction, 0.0, 1.0, "kg/kg", source="OimlR22")
    t = 0.0 * mass_fraction + temp_c
    require_range("temp_c", t, -20.0, 40.0, "°C", source="OimlR22")
    return _WATER_20C + horner(_WATER, t - 20.0) + ethanol_density_excess(mass_fraction, t)


def abv_from_abw(abw_pct: Quantity, density_kg_m3: Quantity | float) -> Quantity:
    """Alcohol by volume [%] of a liquid with `abw_pct` [% by weight] and this density at 20 °C [kg/m³].

    >>> round(abv_from_abw(5.0, 989.378), 3)
    6.268
    """
    return abw_pct * density_kg_m3 / ETHANOL_DENSITY_20C_KG_M3


def abw_from_abv(abv_pct: Quantity, density_kg_m3: Quantity | float) -> Quantity:
    """Alcohol by weight [%] of a liquid with `abv_pct` [% by volume] and this density at 20 °C [kg/m³]."""
    return abv_pct * ETHANOL_DENSITY_20C_KG_M3 / density_kg_m3
