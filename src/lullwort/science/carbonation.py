"""Carbon dioxide: what dissolves, and what points still to fall will make; `sealedbottle` has the pressure.

One volume is `lullwort.units.CO2_G_PER_VOLUME` g/L. Solubility is that of water; beer takes up a few per cent
less at the same pressure.
"""

from __future__ import annotations

from lullwort.science.extract import plato_from_sg
from lullwort.science.numerics import exponential, logarithm, require_range
from lullwort.science.water import water_density, water_vapour_pressure_atm
from lullwort.units import Quantity, co2_volumes_from_g_l

__all__ = [
    "BAR_PER_ATM",
    "CO2_DISSOLVED_L_MOL",
    "CO2_G_MOL",
    "GAS_L_ATM_MOL_K",
    "YEAST_KEEPS",
    "co2_g_l_from_points",
    "co2_log_fugacity_per_atm",
    "co2_solubility_mol_l_atm",
    "residual_volumes",
]

CO2_G_MOL = 44.0095
GAS_L_ATM_MOL_K = 0.08205737
BAR_PER_ATM = 1.01325

CO2_DISSOLVED_L_MOL = 0.0323
"""[L/mol] Partial molar volume of the dissolved gas: pressure drives it out by so much. [Weiss1974]"""

_BY_BALLING = 0.9565 / 2.0665
_MALTOSE = 4.0 * CO2_G_MOL / 342.2965

YEAST_KEEPS = 1.0 - _BY_BALLING / _MALTOSE
"""Share of the gas of fermenting wort that its growing yeast keeps back, a tenth. In a bottle hardly any grows.
[Balling1865]"""


def co2_solubility_mol_l_atm(temp_c: Quantity) -> Quantity:
    """Carbon dioxide dissolved in water per atm of its partial pressure, near 1 atm.

    Args:    temp_c: [°C] 0 to 40.
    Returns: [mol/(L atm)], the fugacity of the gas at 1 atm included; NaN where `temp_c` is NaN.
    Raises:  OutOfRangeError outside 0 to 40 °C.
    Source:  [Weiss1974] at salinity 0, with the virial coefficient given there.

    >>> round(co2_solubility_mol_l_atm(20.0), 5)
    0.03889
    """
    require_range("temp_c", temp_c, 0.0, 40.0, "°C", source="Weiss1974")
    kelvin = temp_c + 273.15
    log_k0 = -58.0931 + 9050.69 / kelvin + 22.2940 * logarithm(kelvin / 100.0)
    return exponential(log_k0 + co2_log_fugacity_per_atm(kelvin))


def residual_volumes(temp_c: Quantity) -> Quantity:
    """Volumes left in beer that has come to rest under an airlock at this temperature, 1 atm in all.

    Args:    temp_c: [°C] 0 to 40: the warmest since fermentation ended. Cooling later takes nothing up.
    Raises:  OutOfRangeError outside 0 to 40 °C.

    >>> round(residual_volumes(20.0), 2)
    0.85
    """
    partial_atm = 1.0 - water_vapour_pressure_atm(temp_c)
    return co2_volumes_from_g_l(co2_solubility_mol_l_atm(temp_c) * partial_atm * CO2_G_MOL)


def co2_g_l_from_points(points_left: Quantity, *, final_gravity: float = 1.010, yeast_grows: bool = True) -> Quantity:
    """Carbon dioxide [g/L of beer] that so many points still to fall will make.

    Apparent extract becomes real by the classic quotient 0.8192, the larger one; that which our own mass
    balance gives, 0.80, would make 2 % less.

    Args:    points_left: [0.001 SG] 0 to 100.
             final_gravity: [SG at 20 °C] 0.975 to 1.060, where it will end.
             yeast_grows: as in a vessel, and keeps `YEAST_KEEPS` of the gas; False is the most that can be.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865]: 0.9565 g from 2.0665 g of extract; the 0.9565 from memory.

    >>> round(co2_g_l_from_points(1.0), 2)
    0.97
    """
    require_range("points_left", points_left, 0.0, 100.0, "points", source="Balling1865")
    require_range("final_gravity", final_gravity, 0.975, 1.060, "SG", source="Balling1865")
    fall_plato = plato_from_sg(final_gravity + points_left / 1000.0) - plato_from_sg(final_gravity)
    extract_g_l = 0.8192 * fall_plato / 100.0 * final_gravity * water_density(20.0)
    return extract_g_l * (_BY_BALLING if yeast_grows else _MALTOSE)


def co2_log_fugacity_per_atm(kelvin: Quantity) -> Quantity:
    """Logarithm of fugacity over pressure, an atm of pressure: the second virial coefficient over RT.

    Args:   kelvin: [K] 273.15 to 313.15, not checked here. One coefficient serves to some 10 atm.
    Source: [Weiss1974].
    """
    virial_cm3_mol = -1636.75 + 12.0408 * kelvin - 3.27957e-2 * kelvin**2 + 3.16528e-5 * kelvin**3
    return virial_cm3_mol / (1000.0 * GAS_L_ATM_MOL_K * kelvin)
