"""The pressure in a closed bottle of beer."""

from __future__ import annotations

from dataclasses import dataclass

from lullwort.science.carbonation import (
    BAR_PER_ATM,
    CO2_DISSOLVED_L_MOL,
    CO2_G_MOL,
    GAS_L_ATM_MOL_K,
    co2_g_l_from_points,
    co2_log_fugacity_per_atm,
    co2_solubility_mol_l_atm,
    residual_volumes,
)
from lullwort.science.numerics import exponential, require_range
from lullwort.science.water import water_density, water_vapour_pressure_atm
from lullwort.units import CO2_G_PER_VOLUME, co2_volumes_from_g_l

__all__ = ["BEER_TAKES_UP_LEAST", "HEADSPACE_LEAST", "HEADSPACE_SHARE", "SealedBottle", "sealed"]

HEADSPACE_SHARE = 0.05
"""Volume of gas over volume of beer in a bottle as it is usually filled. Common practice, no source."""

HEADSPACE_LEAST = 0.03
"""The same in one that is filled well: 2 to 3 cm in the neck of a slim bottle. Common practice, no source."""

BEER_TAKES_UP_LEAST = 0.95
"""Of what water takes up of carbon dioxide at the same pressure and temperature: dissolved extract lowers it, and
water stands for beer within 5 %. [SpeersMacIntosh2013]"""

_FILLED_C = 20.0
# At which bottles are filled and closed.
_VIRIAL_UP_TO_ATM = 20.0
# One virial coefficient serves to some 10 atm. Without an end there would be amounts of gas that no pressure
# answers to; 20 atm is far above what beer bottles are made for (common practice, no source).
_STEPS = 16
# Each step comes 6 times closer at 20 atm, 25 times at 6 atm; the sixteenth is within 1e-9.


@dataclass(frozen=True)
class SealedBottle:
    """Carbon dioxide in a closed bottle: `volumes` in all, and `gauge_bar` [bar above the air outside]."""

    volumes: float
    gauge_bar: float


def sealed(
    points_left: float,
    temp_c: float,
    start_volumes: float | None = None,
    *,
    final_gravity: float = 1.010,
    air_in_headspace: bool = False,
    headspace_share: float = HEADSPACE_SHARE,
    takes_up: float = 1.0,
    yeast_grows: bool = True,
) -> SealedBottle:
    """What a bottle closed today comes to when the points left have fallen in it.

    The gas shares itself between the beer and the headspace, into which warm beer expands as water does. It dissolves
    by its fugacity at its own pressure in the bottle, less what that pressure drives out (the Poynting term): both
    together make 3.5 % more pressure at 10 points than solubility at 1 atm would. Above 20 atm the two stay, so that
    what is higher still is understated. Water vapour is counted.

    Args:    points_left: [0.001 SG] 0 to 100.  temp_c: [°C] 0 to 40, at which the bottle stands.
             start_volumes: dissolved before, 0 to 10; None: `residual_volumes` at `temp_c`. Priming comes on top.
             final_gravity: [SG at 20 °C] 0.975 to 1.060.
             air_in_headspace: True if air at 1 atm and 20 °C was shut in: adds about 1 bar.
             headspace_share: [1] of the volume of the beer at 20 °C, 0.02 to 0.5.
             takes_up: [1] share of what water would dissolve, 0.8 to 1.2; `BEER_TAKES_UP_LEAST` for a bound.
             yeast_grows: as of `co2_g_l_from_points`; False for a bound.
    Returns: gauge_bar is negative where the beer would still take up gas from an empty headspace.
    Raises:  OutOfRangeError outside these ranges.
    Source:  [Weiss1974], [Balling1865], [Tanaka2001].

    >>> bottle = sealed(5.0, 20.0, 0.86)
    >>> round(bottle.volumes, 2), round(bottle.gauge_bar, 1)
    (3.31, 2.8)
    """
    require_range("temp_c", temp_c, 0.0, 40.0, "°C", source="Weiss1974")
    start = residual_volumes(temp_c) if start_volumes is None else start_volumes
    require_range("start_volumes", start, 0.0, 10.0, "volumes", source="Weiss1974")
    require_range("headspace_share", headspace_share, 0.02, 0.5, "", source="Weiss1974")
    require_range("takes_up", takes_up, 0.8, 1.2, "", source="SpeersMacIntosh2013")
    made_g_l = co2_g_l_from_points(points_left, final_gravity=final_gravity, yeast_grows=yeast_grows)
    room = headspace_share - (water_density(_FILLED_C) / water_density(temp_c) - 1.0)
    air_atm = (temp_c + 273.15) / (_FILLED_C + 273.15) * headspace_share / room if air_in_headspace else 0.0
    beside_atm = water_vapour_pressure_atm(temp_c) + air_atm
    mol_l = (start * CO2_G_PER_VOLUME + made_g_l) / CO2_G_MOL
    inside_atm = _partial_pressure_atm(mol_l, temp_c, room, takes_up, beside_atm) + beside_atm
    return SealedBottle(volumes=start + co2_volumes_from_g_l(made_g_l), gauge_bar=(inside_atm - 1.0) * BAR_PER_ATM)


def _partial_pressure_atm(mol_l: float, temp_c: float, room: float, takes_up: float, beside_atm: float) -> float:
    """Of the gas, of which there are so many moles a litre of beer; `beside_atm`: of all else in the headspace."""
    kelvin = temp_c + 273.15
    solubility = takes_up * co2_solubility_mol_l_atm(temp_c)
    headspace_mol_l_atm = room / (GAS_L_ATM_MOL_K * kelvin)
    fugacity, driven_out = co2_log_fugacity_per_atm(kelvin), CO2_DISSOLVED_L_MOL / (GAS_L_ATM_MOL_K * kelvin)
    atm = 1.0
    for _ in range(_STEPS):
        # `co2_solubility_mol_l_atm` has the fugacity at 1 atm in it, and holds at 1 atm in all.
        up_to = min(atm, _VIRIAL_UP_TO_ATM)
        dissolves = exponential(fugacity * (up_to - 1.0) - driven_out * (up_to + beside_atm - 1.0))
        atm = mol_l / (solubility * dissolves + headspace_mol_l_atm)
    return atm
