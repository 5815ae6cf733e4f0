"""Carbon dioxide: what dissolves, what points still to fall will make, and the pressure in a sealed bottle.

One volume is `lullwort.units.CO2_G_PER_VOLUME` g/L. Solubility is that of water; beer takes up a few per cent
less at the same pressure, so that pressures in it are a few per cent higher than said here.
"""

from __future__ import annotations

from dataclasses import dataclass

from lullwort.science.extract import plato_from_sg
from lullwort.science.numerics import exponential, logarithm, require_range
from lullwort.science.water import water_density, water_vapour_pressure_atm
from lullwort.units import CO2_G_PER_VOLUME, Quantity, co2_volumes_from_g_l

__all__ = [
    "CO2_G_MOL",
    "GAS_L_ATM_MOL_K",
    "SealedBottle",
    "co2_g_l_from_points",
    "co2_log_fugacity_per_atm",
    "co2_solubility_mol_l_atm",
    "residual_volumes",
    "sealed",
]

CO2_G_MOL = 44.0095
_BAR_PER_ATM = 1.01325
GAS_L_ATM_MOL_K = 0.08205737
# Volume of gas over volume of beer in a filled bottle, and the temperature at which air was shut in with it.
_HEADSPACE = 0.05
_FILLED_K = 293.15
# One virial coefficient serves to some 10 atm. Without an end there would be amounts of gas that no pressure
# answers to; 20 atm is far above what beer bottles are made for (common practice, no source).
_VIRIAL_UP_TO_ATM = 20.0
# Each step comes 7 times closer at 20 atm, 30 times at 6 atm; the twelfth is within 1e-9.
_FUGACITY_STEPS = 12


@dataclass(frozen=True)
class SealedBottle:
    """Carbon dioxide in a closed bottle: `volumes` in all, and `gauge_bar` [bar above the air outside]."""

    volumes: float
    gauge_bar: float


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


def co2_g_l_from_points(points_left: Quantity, *, final_gravity: float = 1.010) -> Quantity:
    """Carbon dioxide [g/L of beer] that so many points still to fall will make.

    Apparent extract becomes real by the classic quotient 0.8192, the larger one; that which our own mass
    balance gives, 0.80, would make 2 % less.

    Args:    points_left: [0.001 SG] 0 to 100.
             final_gravity: [SG at 20 °C] 0.975 to 1.060, where it will end.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Balling1865]: 0.9565 g from 2.0665 g of extract; the 0.9565 from memory.

    >>> round(co2_g_l_from_points(1.0), 2)
    0.97
    """
    require_range("points_left", points_left, 0.0, 100.0, "points", source="Balling1865")
    require_range("final_gravity", final_gravity, 0.975, 1.060, "SG", source="Balling1865")
    fall_plato = plato_from_sg(final_gravity + points_left / 1000.0) - plato_from_sg(final_gravity)
    extract_g_l = 0.8192 * fall_plato / 100.0 * final_gravity * water_density(20.0)
    return extract_g_l * 0.9565 / 2.0665


def sealed(
    points_left: float,
    temp_c: float,
    start_volumes: float | None = None,
    *,
    final_gravity: float = 1.010,
    air_in_headspace: bool = False,
) -> SealedBottle:
    """What a bottle closed today comes to when the points left have fallen in it.

    The gas shares itself between the beer and a headspace of 5 % of it. It dissolves by its fugacity at its own
    pressure in the bottle, which makes 3 % more pressure at 10 points than solubility at 1 atm would. What is
    left out still understates: beer takes up up to 5 % less than water, and pressure itself drives gas out (the
    Poynting term, 0.7 % at 10 points). Above 20 atm the fugacity coefficient stays, and understates further.

    Args:    points_left: [0.001 SG] 0 to 100.  temp_c: [°C] 0 to 40, at which the bottle stands.
             start_volumes: dissolved before; None: `residual_volumes` at `temp_c`. Priming comes on top.
             final_gravity: [SG at 20 °C] 0.975 to 1.060.
             air_in_headspace: True if air at 1 atm and 20 °C was shut in: adds about 1 bar.
    Returns: gauge_bar is negative where the beer would still take up gas from an empty headspace.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Weiss1974], [Balling1865].

    >>> bottle = sealed(5.0, 20.0, 0.86)
    >>> round(bottle.volumes, 2), round(bottle.gauge_bar, 1)
    (3.31, 2.7)
    """
    start = residual_volumes(temp_c) if start_volumes is None else start_volumes
    require_range("start_volumes", start, 0.0, 10.0, "volumes", source="Weiss1974")
    made_g_l = co2_g_l_from_points(points_left, final_gravity=final_gravity)
    mol_l = (start * CO2_G_PER_VOLUME + made_g_l) / CO2_G_MOL
    kelvin = temp_c + 273.15
    partial_atm = _partial_pressure_atm(mol_l, temp_c)
    air_atm = kelvin / _FILLED_K if air_in_headspace else 0.0
    inside_atm = partial_atm + water_vapour_pressure_atm(temp_c) + air_atm
    return SealedBottle(volumes=start + co2_volumes_from_g_l(made_g_l), gauge_bar=(inside_atm - 1.0) * _BAR_PER_ATM)


def co2_log_fugacity_per_atm(kelvin: Quantity) -> Quantity:
    """Logarithm of fugacity over pressure, an atm of pressure: the second virial coefficient over RT.

    Args:   kelvin: [K] 273.15 to 313.15, not checked here. One coefficient serves to some 10 atm.
    Source: [Weiss1974].
    """
    virial_cm3_mol = -1636.75 + 12.0408 * kelvin - 3.27957e-2 * kelvin**2 + 3.16528e-5 * kelvin**3
    return virial_cm3_mol / (1000.0 * GAS_L_ATM_MOL_K * kelvin)


def _partial_pressure_atm(mol_l: float, temp_c: float) -> float:
    kelvin = temp_c + 273.15
    solubility = co2_solubility_mol_l_atm(temp_c)
    headspace_mol_l_atm = _HEADSPACE / (GAS_L_ATM_MOL_K * kelvin)
    atm = 1.0
    for _ in range(_FUGACITY_STEPS):
        beyond_1_atm = min(atm, _VIRIAL_UP_TO_ATM) - 1.0
        fugacity = exponential(co2_log_fugacity_per_atm(kelvin) * beyond_1_atm)
        atm = mol_l / (solubility * fugacity + headspace_mol_l_atm)
    return atm
